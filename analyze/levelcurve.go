package analyze

import (
	"errors"
	"fmt"
	"math"

	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Figures of audio against RF level.
const (
	AudioDown     = "audio_down"      // dB: the audio at a level against that of a strong signal
	LimitingOneDB = "limiting_1_db"   // FM: RF level at which the audio is 1 dB down
	LimitingThree = "limiting_3_db"   // FM: and 3 dB
	GainSixDB     = "agc_6_db"        // AM, SSB: RF level at which the audio is 6 dB down
	GainSpread    = "agc_audio"       // dB: the audio's change between the strongest and the weakest level
	GainMerit     = "agc_merit"       // dB of RF for one dB of audio, between these
	overloads     = 1.0               // dB by which the audio may fall with a stronger signal
	leastMerit    = 0.05              // dB of audio below which no merit is given: scatter would make it
	curvePicture  = "audio and level" // of the curve
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
func LevelCurve(t job.Setup, rs []capture.Recording) (Result, error) {
	rows, why, err := gather(t, rs, steppedBy(settledSteps))
	if err != nil || why != "" {
		return refused(t, why, rows...), err
	}
	if why = curveMisfit(t, rows); why != "" {
		return refused(t, why, rows...), nil
	}
	reference := chosenOf(t, withTone(rows))
	for i, u := range rows {
		d := none(AudioDown, "dB", u.Measured.Get(ToneLevel).Why)
		if hasTone(u) {
			d = below(AudioDown, u.Measured.Get(ToneLevel), reference.Measured.Get(ToneLevel))
			if u.Take == reference.Take {
				d = reading(AudioDown, "dB", 0, d.Low, d.High)
			}
		}
		rows[i].Worth = append(rows[i].Worth, d)
	}
	out := Result{Setup: t, Rows: rows}
	if t.Mode == job.AM || t.Mode == job.SSB {
		out.Figures = append(out.Figures, audioFallsTo(t, GainSixDB, rows, -6))
		merit(&out)
	} else {
		out.Figures = append(out.Figures, audioFallsTo(t, LimitingThree, rows, -3), audioFallsTo(t, LimitingOneDB, rows, -1))
	}
	out.Figures = append(out.Figures, recovered(reference)...)
	out.Lines = append(out.Lines, levelLine(t, curvePicture, "audio", Quantity{"audio", "dB"}, rows, func(u Used) Reading { return u.Get(AudioDown) }))
	if s := overloaded(t, rows); s != "" {
		out.Says = append(out.Says, s)
	}
	out.Says = append(out.Says, generatorSays(t, out.Figures)...)
	return out, nil
}

// curveMisfit says why the recordings give no curve.
func curveMisfit(t job.Setup, rows []Used) string {
	heard := withTone(rows)
	switch {
	case len(heard) == 0:
		return "no recording has a tone: was the modulation on?"
	case levelsOf(t, heard) < 2:
		return "a curve needs a tone at two levels at least: record more levels"
	}
	top := strongest(t, rows)
	if !hasTone(top) {
		return "there is no tone in " + named(top) + ", the strongest signal: was the modulation on?"
	}
	if why := oneScale(t, rows); why != "" {
		return why
	}
	if t.Mode != job.SSB {
		if why := oneToneOf(heard); why != "" {
			return why
		}
	}
	return volumeMoved(t, "the audio", heard, func(m Measured) Reading { return m.Get(ToneLevel) })
}

// oneToneOf says which recordings have different tones; empty: none.
func oneToneOf(rows []Used) string {
	first := rows[0]
	hz := first.Measured.Get(ToneFrequency).Value
	for _, u := range rows {
		if f := u.Measured.Get(ToneFrequency).Value; math.Abs(f/hz-1) > sameTone {
			return fmt.Sprintf("%s has a tone of %.0f Hz and %s one of %.0f Hz: a series needs one tone", named(u), f, named(first), hz)
		}
	}
	return ""
}

func withTone(rows []Used) []Used {
	var out []Used
	for _, u := range rows {
		if hasTone(u) {
			out = append(out, u)
		}
	}
	return out
}

// audioFallsTo is the level at which the audio has fallen to so many dB.
func audioFallsTo(t job.Setup, name string, rows []Used, down float64) Reading {
	p := pointOf(t, job.Criterion{Quantity: AudioDown, Value: down, Unit: "dB"}, rows, AudioDown, nil)
	r := levelReading(name, p)
	switch p.Status {
	case BelowRange:
		r.Why = fmt.Sprintf("the audio is less than %g dB down at every level: record weaker signals", -down)
	case AboveRange, Multiple:
		r.Why = fmt.Sprintf("the audio passes %g dB down more than once: look for a volume that was moved, or an overload, and record the doubtful levels again", -down)
	case TooFew:
		r.Why = fmt.Sprintf("the audio leaps past %g dB down: record a level between", -down)
	}
	return r
}

// merit adds how much of the change of level the AGC passes on to the audio.
func merit(out *Result) {
	top := strongest(out.Setup, withTone(out.Rows))
	low := top
	for _, u := range withTone(out.Rows) {
		l, ok := atSet(out.Setup, u.Take)
		if a, _ := atSet(out.Setup, low.Take); ok && l.DB < a.DB {
			low = u
		}
	}
	a, _ := atSet(out.Setup, top.Take)
	b, _ := atSet(out.Setup, low.Take)
	rf := a.DB - b.DB
	audio := below(GainSpread, top.Measured.Get(ToneLevel), low.Measured.Get(ToneLevel))
	out.Figures = append(out.Figures, audio, meritOf(rf, audio))
	out.Says = append(out.Says, fmt.Sprintf("the AGC is judged between %s and %s, %.0f dB apart", top.Label, low.Label, rf))
}

// meritOf is rf over audio; where the audio hardly moves, or falls with a
// stronger signal, there is no such figure.
func meritOf(rf float64, audio Reading) Reading {
	const unit = "dB/dB"
	switch {
	case !audio.OK():
		return none(GainMerit, unit, audio.Why)
	case audio.Value < leastMerit || audio.HasInterval() && audio.Low <= 0:
		return none(GainMerit, unit, "the audio does not rise beyond its scatter")
	case !audio.HasInterval():
		return exact(GainMerit, unit, rf/audio.Value, audio.NoInterval)
	}
	return reading(GainMerit, unit, rf/audio.Value, rf/audio.High, rf/audio.Low)
}

// overloaded tells where the audio falls with a stronger signal; empty: nowhere.
func overloaded(t job.Setup, rows []Used) string {
	for _, u := range rows {
		for _, o := range rows {
			x, y := u.Get(AudioDown), o.Get(AudioDown)
			a, okA := atSet(t, u.Take)
			b, okB := atSet(t, o.Take)
			if okA && okB && x.OK() && y.OK() && a.DB < b.DB && y.Value < x.Value-overloads {
				return fmt.Sprintf("the audio falls by %.1f dB from %s to the stronger %s: overload, or the volume was moved", x.Value-y.Value, u.Label, o.Label)
			}
		}
	}
	return ""
}

// recovers is how long, in seconds, an AGC may take to let the gain up again after
// the generator was turned down.
const recovers = 1.5

// settledSteps is Steps without the dips of a set whose AGC recovers: after a
// step down the audio falls at once and comes back with the gain. Such a dip is
// short, and its tone weaker than before and after.
func settledSteps(r capture.Recording, n int, how job.Reading) ([]Part, error) {
	parts, err := Steps(r, n, how)
	if !errors.Is(err, ErrSteps) || len(parts) <= n || how.Mode == job.FM {
		return parts, err
	}
	var settled []Part
	for i, p := range parts {
		dip := i > 0 && i < len(parts)-1 && p.To-p.From < recovers && p.Tone < parts[i-1].Tone-1 && p.Tone < parts[i+1].Tone-1
		if !dip {
			settled = append(settled, p)
		}
	}
	if misfit(settled, n, "level") != "" {
		return parts, err
	}
	return settled, nil
}
