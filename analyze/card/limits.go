package card

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
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
	add := func(sentence string, parts ...any) {
		out = append(out, capture.Warning{Code: capture.CardLimits, Says: note.Of(sentence, parts...)})
	}
	near := cardRaises(-nearCardDB, 0)
	noise, _ := levelThrough(q.Card.NoiseDBFS, m.Filter)
	if e.Noise > near || e.SINAD > near {
		var wrong []note.Note
		say := func(name string, dB float64, reads string) {
			if r := m.Get(name); r.OK() && dB > near {
				wrong = append(wrong, note.Of(reads, decibels(dB, cardRaises(0, 0))))
			}
		}
		say(analyze.NoiseLevel, e.Noise, "noise-too-high")
		say(analyze.SNR, e.Noise, "snr-too-low")
		say(analyze.SINAD, e.SINAD, "sinad-too-low")
		read := "of-rest"
		above := -10 * math.Log10(1-math.Pow(10, -e.Rest/10))
		if n := m.Get(analyze.NoiseLevel); n.OK() && e.Noise > near {
			read, above = "of-noise", n.Value-noise
		}
		add("card-noise", note.DBFS(noise), belowBy(above, read), list(wrong))
	}
	if h := m.Get(analyze.HumLevel); e.Hum > 0 && h.Value-*q.Card.HumDBFS < nearCardDB {
		add("card-hum", note.DBFS(*q.Card.HumDBFS), belowBy(h.Value-*q.Card.HumDBFS, "of-hum"), decibels(e.Hum, voltages(0, 0)))
	}
	if d := m.Get(analyze.THD); e.Distortion > 0 && d.Value > 0 && 20*math.Log10(d.Value/e.Distortion) < nearCardDB {
		add("card-distortion", note.Percent(e.Distortion), belowBy(20*math.Log10(d.Value/e.Distortion), "of-distortion"),
			note.Percent(d.Value), note.Percent(math.Max(0, d.Value-e.Distortion)), note.Percent(d.Value+e.Distortion))
	}
	return out
}

// decibels is a difference, most the one from which on there is no telling: that is said.
func decibels(dB, most float64) note.Note {
	if dB >= 0.98*most {
		return note.Of("any-amount")
	}
	return note.Of("up-to-db", note.DB(dB))
}

// belowBy is how far below a reading something lies; what names the reading.
func belowBy(dB float64, what string) note.Note {
	if dB < 0.5 {
		return note.Run("all of ", note.Of(what))
	}
	return note.Of("only-below", note.DB(dB), note.Of(what))
}

func list(all []note.Note) note.Note {
	if n := len(all); n > 1 {
		return note.Run(note.Joined(", ", all[:n-1]), " and ", all[n-1])
	}
	return note.Joined("", all)
}

// OtherRate warns of a qualification at another sample rate than the recording's:
// a card works differently there. ok is false where they agree, or without one.
func OtherRate(q *job.Qualified, m analyze.Measured) (w capture.Warning, ok bool) {
	if q == nil || m.Rate == 0 || q.Card.RateHz == m.Rate {
		return w, false
	}
	return capture.Warning{Code: capture.CardMismatch, Says: note.Of("card-other-rate", q.Label(), q.Card.RateHz, m.Origin.File, m.Rate)}, true
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
	return []capture.Warning{{Code: capture.CardLimits, Says: note.Of("card-at-point", decibels(most, cardRaises(0, 0)/r.Point.Slope))}}
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
					out[i].Says = note.Run(m.Origin.File, ": ", out[i].Says)
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
	return []capture.Warning{{Code: capture.CardLimits, Says: note.Of("card-response", note.DB(own), note.Hz(at), note.DB(deviates))}}
}

// leastUneven is the response of a card in dB that is not worth a word.
const leastUneven = 0.05
