package kind

import (
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// quietingTarget is the quieting that defines the point: 20 dB, common practice.
var quietingTarget = job.Criterion{Quantity: job.QuantityQuieting, Value: 20, Unit: "dB"}

// Quieting compares the hiss of an open squelch without a signal with the noise
// that is left with an unmodulated carrier:
//
//	quieting = hiss - what is left, both all that is heard through the filter, in dBFS
//
// with the hum, as a voltmeter shows it; the noise alone gives a second figure.
//
// Its recordings are off, carrier (at one level or several) and, if wanted,
// modulated; all share one volume. The figure is that of the test's level if it
// states one, else of the strongest. Several levels give the curve and the level
// for 20 dB. Where the modulation was on as well, hum and noise and the
// recovered audio are given too.
func Quieting(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	rows, why, err := takes.Gather(t, rs, takes.Switched(takes.QuietingParts...))
	if err != nil || why != "" {
		return analyze.Refused(t, why, rows...), err
	}
	q := quietingRows{t: t, off: takes.InState(rows, job.StateOff), carriers: takes.InState(rows, job.StateCarrier), modulated: takes.InState(rows, job.StateModulated)}
	if why := q.misfit(rows); why != "" {
		return analyze.Refused(t, why, rows...), nil
	}
	hiss := q.hiss(allHeard)
	for i := range rows {
		if rows[i].Take.State == job.StateCarrier {
			m := rows[i].Measured
			rows[i].Worth = append(rows[i].Worth, lessUnseen(analyze.Below(job.QuantityQuieting, hiss, m.Kept.Output), m.Kept),
				lessUnseen(analyze.Below(job.FigureQuietingNoise, q.hiss(noiseOf), noiseOf(m)), m.Kept))
		}
	}
	q.carriers = takes.InState(rows, job.StateCarrier)
	at := chosenOf(t, q.carriers)
	f := at.Get(job.QuantityQuieting)
	if f.OK() && f.Value <= hissHeard {
		return analyze.Refused(t, fmt.Sprintf("the hiss without a signal is no louder than the noise with the carrier (%.1f dB): was the squelch closed, or the carrier too weak?", f.Value), rows...), nil
	}
	out := analyze.Result{Setup: t, Rows: rows}
	q.point(&out)
	out.Says = append(out.Says, takes.GeneratorSays(t, out.Figures)...)
	out.Figures = append(out.Figures, f, at.Get(job.FigureQuietingNoise))
	if len(q.off) == 1 {
		out.Says = append(out.Says, note.Phrase("the hiss was recorded once: a volume that was moved between the recordings would not show; record it before and after"))
	}
	if len(q.carriers) > 1 && at.Label != "" {
		out.Says = append(out.Says, note.Phrase("quieting is that of "+at.Label))
	}
	q.audio(&out, at)
	q.lines(&out, hiss)
	return out, nil
}

// hissHeard is the quieting in dB below which the hiss cannot have been open.
const hissHeard = 0.5

type quietingRows struct {
	t                        job.Setup
	off, carriers, modulated []analyze.Used
}

// allHeard is everything that comes through the filter.
func allHeard(m analyze.Measured) analyze.Reading { return m.Kept.Output }

func noiseOf(m analyze.Measured) analyze.Reading { return m.Get(analyze.NoiseLevel) }

// misfit says why the recordings are none of a quieting test.
func (q quietingRows) misfit(rows []analyze.Used) string {
	switch {
	case len(q.off) == 0:
		return "quieting needs the hiss without a signal: record one part or file with the generator off"
	case len(q.carriers) == 0:
		return "quieting needs an unmodulated carrier: record one part or file with the modulation off"
	}
	for _, u := range rows {
		noise, tone := noiseOf(u.Measured), takes.ToneIn(u)
		switch {
		case u.Take.State == "":
			return takes.Named(u) + " does not say what it holds: off, carrier or modulated"
		case u.Take.State == job.StateOff && tone != "":
			return tone + ", but no signal is due there: switch the generator off and record again"
		case u.Take.State == job.StateCarrier && tone != "":
			return tone + ", but the carrier must be unmodulated: switch the modulation off and record again"
		case u.Take.State == job.StateModulated && !analyze.HasTone(u):
			return "there is no tone in " + takes.Named(u) + ": was the modulation on?"
		case u.Take.State == job.StateOff && noise.Why == analyze.WhySilence:
			return takes.Named(u) + " is silent: was the squelch closed?"
		case u.Take.State != job.StateModulated && !noise.OK():
			return takes.Named(u) + " gives no noise: " + string(noise.Why)
		}
	}
	if why := takes.OneScale(q.t, rows); why != "" {
		return why
	}
	return sameVolume(q.t, rows)
}

// sameVolume compares all recordings of a test that are of the same thing.
func sameVolume(t job.Setup, rows []analyze.Used) string {
	for _, c := range []struct {
		state, what string
		of          func(analyze.Measured) analyze.Reading
	}{
		{job.StateOff, "the hiss", noiseOf},
		{job.StateModulated, "the audio", func(m analyze.Measured) analyze.Reading { return m.Get(analyze.ToneLevel) }},
	} {
		if why := takes.VolumeMoved(t, c.what, takes.InState(rows, c.state), c.of); why != "" {
			return why
		}
	}
	return ""
}

// hiss is the mean power of all recordings without a signal.
func (q quietingRows) hiss(of func(analyze.Measured) analyze.Reading) analyze.Reading {
	var all []analyze.Reading
	for _, u := range q.off {
		all = append(all, of(u.Measured))
	}
	return meanPower(all)
}

// meanPower is the mean of levels in dBFS as powers, with the interval of
// independent readings.
func meanPower(rs []analyze.Reading) analyze.Reading {
	if len(rs) == 1 {
		return rs[0]
	}
	var sum, low, high float64
	n, noInterval := float64(len(rs)), ""
	for _, r := range rs {
		p := math.Pow(10, r.Value/10)
		sum += p / n
		if !r.HasInterval() {
			noInterval = r.NoInterval
			continue
		}
		low += math.Pow((p-math.Pow(10, r.Low/10))/n, 2)
		high += math.Pow((math.Pow(10, r.High/10)-p)/n, 2)
	}
	value := 10 * math.Log10(sum)
	if noInterval != "" {
		return analyze.Exact(rs[0].Name, "dBFS", value, noInterval)
	}
	return analyze.NewReading(rs[0].Name, "dBFS", value, 10*math.Log10(math.Max(sum-math.Sqrt(low), sum*1e-3)), 10*math.Log10(sum+math.Sqrt(high)))
}

// point adds the level for 20 dB where there are several levels.
func (q quietingRows) point(out *analyze.Result) {
	if levelsOf(q.t, q.carriers) < 2 {
		return
	}
	h := analyze.Used{Measured: analyze.Measured{Readings: []analyze.Reading{renamed(q.hiss(allHeard), analyze.NoiseLevel)}}}
	out.Figures = append(out.Figures, takes.Point(q.t, quietingTarget, q.carriers, &h).Figure(job.FigureQuietingPoint))
}

// audio adds what modulated recordings tell.
func (q quietingRows) audio(out *analyze.Result, at analyze.Used) {
	if len(q.modulated) == 0 {
		return
	}
	for i := range out.Rows {
		if out.Rows[i].Take.State == job.StateModulated {
			out.Rows[i].Worth = append(out.Rows[i].Worth, out.Rows[i].Measured.Get(analyze.SINAD))
		}
	}
	on, off, ok := pairOf(q.t, q.modulated, q.carriers, at)
	if !ok {
		out.Says = append(out.Says, note.Phrase("hum and noise is not given: it needs carrier and modulation at one level"))
		on = takes.Strongest(q.t, q.modulated)
	} else {
		out.Figures = append(out.Figures, analyze.Below(job.QuantityHumNoise, output(on), output(off)))
	}
	out.Figures = append(out.Figures, recovered(on)...)
}

// recovered is the audio of the standard modulation, in dBFS, and in volts with
// calibration.
func recovered(u analyze.Used) []analyze.Reading {
	tone := u.Measured.Get(analyze.ToneLevel)
	tone.Name = job.FigureRecoveredAudio
	out := []analyze.Reading{tone}
	if level, volts := u.Measured.Get(analyze.Level), u.Measured.Get(analyze.LevelVolts); tone.OK() && level.OK() && volts.OK() {
		perDBFS := func(db float64) float64 { return volts.Value * math.Pow(10, (db-level.Value)/20) }
		v := analyze.Exact(job.FigureRecoveredVolts, "V", perDBFS(tone.Value), tone.NoInterval)
		if tone.HasInterval() {
			v = analyze.NewReading(job.FigureRecoveredVolts, "V", perDBFS(tone.Value), perDBFS(tone.Low), perDBFS(tone.High))
		}
		out = append(out, v)
	}
	return out
}

// pairOf is a modulated row and a carrier at one level: those of the row wanted
// if it has a partner, else the strongest pair.
func pairOf(t job.Setup, modulated, carriers []analyze.Used, wanted analyze.Used) (on, off analyze.Used, ok bool) {
	top := math.Inf(-1)
	for _, c := range carriers {
		for _, m := range modulated {
			if !analyze.SameLevel(t, c.Take, m.Take) {
				continue
			}
			l, _ := analyze.AtSet(t, c.Take)
			db := l.DB
			if analyze.SameLevel(t, c.Take, wanted.Take) && wanted.Take.State != "" {
				db = math.Inf(1)
			}
			if !ok || db > top {
				on, off, ok, top = m, c, true, db
			}
		}
	}
	return on, off, ok
}

// lines are noise and audio over the level, both against the open hiss.
func (q quietingRows) lines(out *analyze.Result, hiss analyze.Reading) {
	const picture = "quieting"
	y := analyze.Quantity{Name: "against the open hiss", Unit: "dB"}
	noise := takes.LevelLine(q.t, picture, "noise", y, q.carriers, func(u analyze.Used) analyze.Reading { return negative(u.Get(job.QuantityQuieting)) })
	if len(noise.Points) < 2 {
		return
	}
	x := noise.Points
	ends := []analyze.Dot{{X: x[0].X, Y: -20, Low: -20, High: -20}, {X: x[len(x)-1].X, Y: -20, Low: -20, High: -20}}
	out.Lines = append(out.Lines, noise)
	if audio := takes.LevelLine(q.t, picture, "audio", y, q.modulated, func(u analyze.Used) analyze.Reading {
		return analyze.Below("audio", u.Measured.Get(analyze.ToneLevel), hiss)
	}); len(audio.Points) > 1 {
		out.Lines = append(out.Lines, audio)
	}
	out.Lines = append(out.Lines, analyze.Line{Picture: picture, Name: "20 dB", Role: analyze.RoleIdeal, X: noise.X, Y: y, Points: ends})
}

// negative turns a reading over.
func negative(r analyze.Reading) analyze.Reading {
	r.Value, r.Low, r.High = -r.Value, -r.High, -r.Low
	return r
}
