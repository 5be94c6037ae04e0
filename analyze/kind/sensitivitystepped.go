package kind

import (
	"errors"
	"fmt"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/parts"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// steppedSensitivity is Sensitivity on one recording in which the generator was
// stepped through the levels of the test's takes, in their order. If the
// plateaus found do not fit the list, in number or in the way they go, the
// point's status is StepsMismatch, the rows are what was found, and there is neither a
// series nor a point: no level is guessed.
func steppedSensitivity(t job.Setup, r capture.Recording) (analyze.Result, error) {
	var misfit *parts.Misfit
	stretches, err := parts.Steps(r, len(t.Takes), t.Reading)
	if err != nil && !parts.IsMisfit(err) {
		return analyze.Result{Setup: t}, err
	}
	if err == nil {
		err = directions(t, stretches, r.Origin.File)
	}
	rows := make([]analyze.Used, len(stretches))
	for i, p := range stretches {
		one, err := r.Whole().Cut(parts.Frames(r, p.From), parts.Frames(r, p.To)-parts.Frames(r, p.From))
		if err != nil {
			return analyze.Result{Setup: t}, err
		}
		m, err := reading.Measure(one, t.Reading)
		if err != nil {
			return analyze.Result{Setup: t}, err
		}
		rows[i] = analyze.Used{Take: job.Take{File: r.Origin.File, From: p.From, To: p.To}, Measured: m}
	}
	if errors.As(err, &misfit) {
		return mismatch(t, rows, misfit.Why), nil
	}
	for i := range rows {
		rows[i].Take.Level, rows[i].Take.Typed, rows[i].Take.State = t.Takes[i].Level, t.Takes[i].Typed, t.Takes[i].State
	}
	return SensitivityOf(t, rows)
}

// directions checks that the audio gets better where the list says that the
// signal got stronger, and worse where it got weaker. Each take is held against
// the last one of its state; a carrier without modulation is only for quieting:
// in AM the gain control decides which way its noise goes.
func directions(t job.Setup, stretches []parts.Part, file string) error {
	quieting := t.Criterion.Quantity == job.QuantityQuieting
	good := func(p parts.Part) float64 {
		if quieting {
			return -p.Noise
		}
		return p.Tone - p.Noise
	}
	last := map[string]int{}
	for i, b := range t.Takes {
		state := b.State
		if quieting {
			state = ""
		} else if state == job.StateOff || state == job.StateCarrier && t.Mode == job.AM {
			continue
		}
		k, seen := last[state]
		last[state] = i
		if !seen {
			continue
		}
		a := t.Takes[k]
		up, same := stronger(b.Level, a.Level)
		if better := good(stretches[i]) > good(stretches[k]); !same && better != up {
			return &parts.Misfit{File: file, Why: fmt.Sprintf("at %.1f s the list goes from %s to %s, but the audio goes the other way: check the order of the list",
				stretches[i].From, shortLevel(a), shortLevel(b))}
		}
	}
	return nil
}

// stronger tells whether level a is above level b, or the same.
func stronger(a, b unit.Level) (up, same bool) {
	if a.Scale == unit.Off || b.Scale == unit.Off {
		return b.Scale == unit.Off, a.Scale == b.Scale
	}
	return a.DB > b.DB, a.DB == b.DB
}

// mismatch is the result of steps that do not fit: what was found, in time.
func mismatch(t job.Setup, rows []analyze.Used, why string) analyze.Result {
	var list []string
	for i := range rows {
		rows[i].Level.Scale = unit.Off // has no level; what is shown of it is place and readings
		s := "no tone"
		if r := rows[i].Measured.Get(analyze.SINAD); r.OK() {
			s = fmt.Sprintf("SINAD %.1f dB", r.Value)
		}
		list = append(list, fmt.Sprintf("%.1f to %.1f s %s", rows[i].Take.From, rows[i].Take.To, s))
	}
	return analyze.Result{Setup: t, Rows: rows}.WithPoint(
		analyze.Point{Status: analyze.StepsMismatch, Why: why + "; found: " + strings.Join(list, ", ")})
}

// shortLevel is a level as it was typed, or, where that is a figure that was
// computed from it, in dBm to a hundredth.
func shortLevel(k job.Take) string {
	if len(k.Typed) > 14 && k.Level.Scale == unit.Absolute {
		return fmt.Sprintf("%.2f dBm", k.Level.DB)
	}
	return k.Typed
}
