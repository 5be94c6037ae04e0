package card

import (
	"fmt"
	"math"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// nearCardDB is how near its own a reading may come to the card: 10 dB above it
// the card adds 0.46 dB.
const nearCardDB = 10

// Limits says which readings of a recording lie less than 10 dB above what the
// card makes by itself, by how much they read wrong at most, and in which direction.
// It says nothing where nothing is known of the card at the recording's rate.
func Limits(q *job.Qualified, m analyze.Measured) []capture.Warning {
	e := On(q, m)
	if !e.Known {
		return nil
	}
	var out []capture.Warning
	add := func(format string, args ...any) {
		out = append(out, capture.Warning{Code: capture.CardLimits, Text: fmt.Sprintf(format, args...)})
	}
	near := cardRaises(-nearCardDB, 0)
	noise, _ := levelThrough(q.Card.NoiseDBFS, m.Filter)
	if e.Noise > near || e.SINAD > near {
		var wrong []string
		say := func(name string, dB float64, way string) {
			if r := m.Get(name); r.OK() && dB > near {
				wrong = append(wrong, fmt.Sprintf("%s too %s by %s", cardNames[name], way, decibels(dB, cardRaises(0, 0))))
			}
		}
		say(analyze.NoiseLevel, e.Noise, "high")
		say(analyze.SNR, e.Noise, "low")
		say(analyze.SINAD, e.SINAD, "low")
		read := "what is left beside the tone"
		above := -10 * math.Log10(1-math.Pow(10, -e.Rest/10))
		if n := m.Get(analyze.NoiseLevel); n.OK() && e.Noise > near {
			read, above = "the noise that is read", n.Value-noise
		}
		add("the sound card's own noise (%.1f dBFS when it was qualified) is %s: %s; raise the set's audio at the card's input",
			noise, belowBy(above, read), list(wrong))
	}
	if h := m.Get(analyze.HumLevel); e.Hum > 0 && h.Value-*q.Card.HumDBFS < nearCardDB {
		add("the sound card's own hum (%.1f dBFS when it was qualified) is %s: it adds to it or takes from it, by %s; look for a ground loop, or raise the set's audio",
			*q.Card.HumDBFS, belowBy(h.Value-*q.Card.HumDBFS, "the hum that is read"), decibels(e.Hum, voltages(0, 0)))
	}
	if d := m.Get(analyze.THD); e.Distortion > 0 && d.Value > 0 && 20*math.Log10(d.Value/e.Distortion) < nearCardDB {
		add("the sound card's own distortion (%.3g %%) is %s (%.3g %%): the set's own lies between %.3g and %.3g %%; lower the level at the card's input, or use another card",
			e.Distortion, belowBy(20*math.Log10(d.Value/e.Distortion), "the distortion that is read"), d.Value, math.Max(0, d.Value-e.Distortion), d.Value+e.Distortion)
	}
	return out
}

// cardNames are readings as sentences name them.
var cardNames = map[string]string{analyze.NoiseLevel: "the noise reads", analyze.SNR: "S/N", analyze.SINAD: "SINAD"}

// decibels is a difference in words, most the one from which on there is no
// telling: that is said.
func decibels(dB, most float64) string {
	if dB >= 0.98*most {
		return "any amount"
	}
	return fmt.Sprintf("up to %.1f dB", dB)
}

func belowBy(dB float64, what string) string {
	if dB < 0.5 {
		return "all of " + what
	}
	return fmt.Sprintf("only %.1f dB below %s", dB, what)
}

func list(all []string) string {
	if n := len(all); n > 1 {
		return strings.Join(all[:n-1], ", ") + " and " + all[n-1]
	}
	return strings.Join(all, "")
}

// OtherRate warns of a qualification at another sample rate than the recording's:
// a card works differently there. ok is false where they agree, or without one.
func OtherRate(q *job.Qualified, m analyze.Measured) (w capture.Warning, ok bool) {
	if q == nil || m.Rate == 0 || q.Card.RateHz == m.Rate {
		return w, false
	}
	return capture.Warning{Code: capture.CardMismatch, Text: fmt.Sprintf(
		"the sound card (%s) was qualified at %d Hz, and %s was recorded at %d Hz: what the card adds is not known there and left out", q.Label(), q.Card.RateHz, m.Origin.File, m.Rate)}, true
}

// OfTest is what a card does to the figures of a test, as warnings: those of
// the recording that it limits most, or that the rates differ. Tests of the bench's
// own noise and of muted stretches are left out: they are meant to be that quiet.
func OfTest(r analyze.Result) []capture.Warning {
	q := r.Setup.Reading.Card
	if kind, _ := job.KindOf(r.Setup.Kind); q == nil || kind.NoCard {
		return nil
	}
	var ms []analyze.Measured
	for _, u := range r.Series() {
		if !analyze.MutedIn(u) {
			ms = append(ms, u.Measured)
		}
	}
	switch {
	case r.Response != nil:
		return OfResponse(*r.Response)
	case r.Point != nil:
		return ofPoint(r, q, ms)
	}
	return mostLimited(q, ms)
}

// ofPoint is the same of a series: what counts are the levels around the point, since
// far above the criterion a card may well be the quieter one.
func ofPoint(r analyze.Result, q *job.Qualified, ms []analyze.Measured) []capture.Warning {
	if w, differs := firstOtherRate(q, ms); differs {
		return []capture.Warning{w}
	}
	most := OnPoint(r)
	if most*r.Point.Slope <= cardRaises(-nearCardDB, 0) {
		return nil
	}
	return []capture.Warning{{Code: capture.CardLimits, Text: fmt.Sprintf(
		"the sound card's own noise lies less than 10 dB below what is left beside the tone at the point: the set may be more sensitive by %s than is read; raise the set's audio at the card's input", decibels(most, cardRaises(0, 0)/r.Point.Slope))}}
}

func firstOtherRate(q *job.Qualified, ms []analyze.Measured) (capture.Warning, bool) {
	for _, m := range ms {
		if w, differs := OtherRate(q, m); differs {
			return w, true
		}
	}
	return capture.Warning{}, false
}

func mostLimited(q *job.Qualified, ms []analyze.Measured) (out []capture.Warning) {
	if w, differs := firstOtherRate(q, ms); differs {
		return []capture.Warning{w}
	}
	most := 0.0
	for _, m := range ms {
		e := On(q, m)
		if all := e.Noise + e.SINAD + e.Hum + e.Distortion; out == nil || all > most {
			if ws := Limits(q, m); len(ws) > 0 {
				out, most = ws, all
				for i := range out {
					out[i].Text = m.Origin.File + ": " + out[i].Text
				}
			}
		}
	}
	return out
}

// OfResponse warns where the card's own response is a large part of what a
// response deviates: more than its 10 dB, a third.
func OfResponse(r analyze.ResponseResult) []capture.Warning {
	q := r.How.Card
	if q == nil || !r.OK() {
		return nil
	}
	if len(r.Files) > 0 {
		if w, differs := OtherRate(q, analyze.Measured{Origin: r.Files[0].Origin, Rate: r.Files[0].Rate}); differs {
			return []capture.Warning{w}
		}
	}
	deviates, at, own := 0.0, 0.0, 0.0
	for _, p := range r.MaskPoints(analyze.LandMobileMask) {
		deviates = math.Max(deviates, math.Abs(p.Deviation))
		if c := q.Card.ResponseAt(p.Hz); math.Abs(c) > math.Abs(own) {
			own, at = c, p.Hz
		}
	}
	if math.Abs(own) < leastUneven || math.Abs(own)*math.Pow(10, nearCardDB/20.0) <= deviates {
		return nil
	}
	return []capture.Warning{{Code: capture.CardLimits, Text: fmt.Sprintf(
		"the sound card's own response (%+.2f dB at %.0f Hz against 1 kHz) is a large part of the %.2f dB that the response deviates at most: switch off its enhancements, or use another card", own, at, deviates)}}
}

// leastUneven is the response of a card in dB that is not worth a word.
const leastUneven = 0.05
