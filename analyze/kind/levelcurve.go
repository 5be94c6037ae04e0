package kind

import (
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/parts"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// Figures of audio against RF level.
const (
	overloads = 1.0 // dB by which the audio may fall with a stronger signal

	leastMerit = 0.05 // dB of audio below which no merit is given: scatter would make it

	curvePicture = "audio and level" // of the curve
)

// LevelCurve is the recovered audio (the tone alone) over the RF level, against
// that at the test's level if it states one, else at the strongest.
//
// FM: the knee of the limiter, the levels at which the audio has fallen by 1 and
// by 3 dB. AM and SSB: what the AGC holds, as the level at which the audio has
// fallen by 6 dB, and as the figure of merit between the strongest and the
// weakest level of the list:
//
//	merit = change of RF in dB / change of audio in dB
//
// Levels are found on the measured curve and never extrapolated.
func LevelCurve(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	rows, why, err := takes.Gather(t, rs, takes.SteppedBy(settledSteps))
	if err != nil || why != "" {
		return analyze.Refused(t, why, rows...), err
	}
	if why = curveMisfit(t, rows); why != "" {
		return analyze.Refused(t, why, rows...), nil
	}
	reference := chosenOf(t, withTone(rows))
	for i, u := range rows {
		d := analyze.None(job.FigureAudioDown, "dB", u.Measured.Get(analyze.ToneLevel).Why)
		if analyze.HasTone(u) {
			d = analyze.Below(job.FigureAudioDown, u.Measured.Get(analyze.ToneLevel), reference.Measured.Get(analyze.ToneLevel))
			if u.Take == reference.Take {
				d = analyze.NewReading(job.FigureAudioDown, "dB", 0, d.Low, d.High)
			}
		}
		rows[i].Worth = append(rows[i].Worth, d)
	}
	out := analyze.Result{Setup: t, Rows: rows}
	if t.Mode == job.AM || t.Mode == job.SSB {
		out.Figures = append(out.Figures, audioFallsTo(t, job.FigureGainSixDB, rows, -6))
		merit(&out)
	} else {
		out.Figures = append(out.Figures, audioFallsTo(t, job.FigureLimitingThree, rows, -3), audioFallsTo(t, job.FigureLimitingOneDB, rows, -1))
	}
	out.Figures = append(out.Figures, recovered(reference)...)
	out.Lines = append(out.Lines, takes.LevelLine(t, curvePicture, "audio", analyze.Quantity{Name: "audio", Unit: "dB"}, rows, func(u analyze.Used) analyze.Reading { return u.Get(job.FigureAudioDown) }))
	if s := overloaded(t, rows); !s.None() {
		out.Says = append(out.Says, s)
	}
	out.Says = append(out.Says, takes.GeneratorSays(t, out.Figures)...)
	return out, nil
}

// curveMisfit says why the recordings give no curve.
func curveMisfit(t job.Setup, rows []analyze.Used) string {
	heard := withTone(rows)
	switch {
	case len(heard) == 0:
		return "no recording has a tone: was the modulation on?"
	case levelsOf(t, heard) < 2:
		return "a curve needs a tone at two levels at least: record more levels"
	}
	top := takes.Strongest(t, rows)
	if !analyze.HasTone(top) {
		return "there is no tone in " + takes.Named(top) + ", the strongest signal: was the modulation on?"
	}
	if why := takes.OneScale(t, rows); why != "" {
		return why
	}
	if t.Mode != job.SSB {
		if why := oneToneOf(heard); why != "" {
			return why
		}
	}
	return takes.VolumeMoved(t, "the audio", heard, func(m analyze.Measured) analyze.Reading { return m.Get(analyze.ToneLevel) })
}

// oneToneOf says which recordings have different tones; empty: none.
func oneToneOf(rows []analyze.Used) string {
	first := rows[0]
	hz := first.Measured.Get(analyze.ToneFrequency).Value
	for _, u := range rows {
		if f := u.Measured.Get(analyze.ToneFrequency).Value; math.Abs(f/hz-1) > sameTone {
			return fmt.Sprintf("%s has a tone of %.0f Hz and %s one of %.0f Hz: a series needs one tone", takes.Named(u), f, takes.Named(first), hz)
		}
	}
	return ""
}

func withTone(rows []analyze.Used) []analyze.Used {
	var out []analyze.Used
	for _, u := range rows {
		if analyze.HasTone(u) {
			out = append(out, u)
		}
	}
	return out
}

// audioFallsTo is the level at which the audio has fallen to so many dB.
func audioFallsTo(t job.Setup, name string, rows []analyze.Used, down float64) analyze.Reading {
	p := takes.Point(t, job.Criterion{Quantity: job.FigureAudioDown, Value: down, Unit: "dB"}, rows, nil)
	r := p.Figure(name)
	switch p.Status {
	case analyze.BelowRange:
		r.Why = analyze.Because("the audio is less than %g dB down at every level: record weaker signals", -down)
	case analyze.AboveRange, analyze.Multiple:
		r.Why = analyze.Because("the audio passes %g dB down more than once: look for a volume that was moved, or an overload, and record the doubtful levels again", -down)
	case analyze.TooFew:
		r.Why = analyze.Because("the audio leaps past %g dB down: record a level between", -down)
	}
	return r
}

// merit adds how much of the change of level the AGC passes on to the audio.
func merit(out *analyze.Result) {
	top := takes.Strongest(out.Setup, withTone(out.Rows))
	low := top
	for _, u := range withTone(out.Rows) {
		l, ok := analyze.AtSet(out.Setup, u.Take)
		if a, _ := analyze.AtSet(out.Setup, low.Take); ok && l.DB < a.DB {
			low = u
		}
	}
	a, _ := analyze.AtSet(out.Setup, top.Take)
	b, _ := analyze.AtSet(out.Setup, low.Take)
	rf := a.DB - b.DB
	audio := analyze.Below(job.FigureGainSpread, top.Measured.Get(analyze.ToneLevel), low.Measured.Get(analyze.ToneLevel))
	out.Figures = append(out.Figures, audio, meritOf(rf, audio))
	out.Says = append(out.Says, note.Of("agc-judged", top.Label, low.Label, note.DB(rf)))
}

// meritOf is rf over audio; where the audio hardly moves, or falls with a
// stronger signal, there is no such figure.
func meritOf(rf float64, audio analyze.Reading) analyze.Reading {
	const unit = "dB/dB"
	switch {
	case !audio.OK():
		return analyze.None(job.FigureGainMerit, unit, audio.Why)
	case audio.Value < leastMerit || audio.HasInterval() && audio.Low <= 0:
		return analyze.None(job.FigureGainMerit, unit, "the audio does not rise beyond its scatter")
	case !audio.HasInterval():
		return analyze.Exact(job.FigureGainMerit, unit, rf/audio.Value, audio.NoInterval)
	}
	return analyze.NewReading(job.FigureGainMerit, unit, rf/audio.Value, rf/audio.High, rf/audio.Low)
}

// overloaded tells where the audio falls with a stronger signal; none: nowhere.
func overloaded(t job.Setup, rows []analyze.Used) note.Note {
	for _, u := range rows {
		for _, o := range rows {
			x, y := u.Get(job.FigureAudioDown), o.Get(job.FigureAudioDown)
			a, okA := analyze.AtSet(t, u.Take)
			b, okB := analyze.AtSet(t, o.Take)
			if okA && okB && x.OK() && y.OK() && a.DB < b.DB && y.Value < x.Value-overloads {
				return note.Of("audio-falls", note.DB(x.Value-y.Value), u.Label, o.Label)
			}
		}
	}
	return note.Note{}
}

// recovers is how long, in seconds, an AGC may take to let the gain up again after
// the generator was turned down.
const recovers = 1.5

// settledSteps is Steps without the dips of a set whose AGC recovers: after a
// step down the audio falls at once and comes back with the gain. Such a dip is
// short, and its tone weaker than before and after.
func settledSteps(r capture.Recording, n int, how job.Reading) ([]parts.Part, error) {
	stretches, err := parts.Steps(r, n, how)
	if !parts.IsMisfit(err) || len(stretches) <= n || how.Mode == job.FM {
		return stretches, err
	}
	var settled []parts.Part
	for i, p := range stretches {
		dip := i > 0 && i < len(stretches)-1 && p.To-p.From < recovers && p.Tone < stretches[i-1].Tone-1 && p.Tone < stretches[i+1].Tone-1
		if !dip {
			settled = append(settled, p)
		}
	}
	if parts.Unfit(settled, n, "level") != "" {
		return stretches, err
	}
	return settled, nil
}
