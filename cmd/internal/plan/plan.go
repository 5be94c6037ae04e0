// Package plan says what a job is to record: the tests and levels of a plan, the
// places that recordings take in it, and what each of them tells once it lies there.
// It knows no layout, and not how the job's file is written.
package plan

import (
	"fmt"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
)

// Plans that job new can make a job for.
const (
	Short = "short" // what a paid-for service has time for
	Full  = "full"  // every test, in the usual order
)

// readings are what a plan has read off instruments, the transmitter last.
var readings = map[string][]string{
	job.FM:  {"squelch threshold", "squelch tight", "S-meter reads S9 at", "transmit frequency", "carrier power", "deviation at full speech"},
	job.AM:  {"squelch threshold", "squelch tight", "S-meter reads S9 at", "transmit frequency", "carrier power", "modulation at full speech"},
	job.SSB: {"S-meter reads S9 at", "transmit frequency", "peak envelope power", "carrier suppression"},
}

// usualPoint is where a set in order has 10 dB (S+N)/N, in dBm at the set: 1 µV PD in
// AM, 0.25 µV PD in SSB (common practice, no source). A series is planned about it
// where no profile has a limit.
var usualPoint = map[string]float64{job.AM: unit.DBmFromMicrovoltPD(1), job.SSB: unit.DBmFromMicrovoltPD(0.25)}

// checks are what a plan has looked at and answered with yes or no.
var (
	checks     = []string{"display and controls", "push-to-talk"}
	moreChecks = []string{"all channels", "air test"} // of a full plan
)

// bare is the round that a plan asks for in a mode by itself: tests without recordings
// and meter readings without values. A set whose mode is not known is taken for
// FM.
func bare(plan, mode string) (job.Round, error) {
	if mode == "" {
		mode = job.FM
	}
	var r job.Round
	for _, k := range job.Kinds() {
		if !k.Fits(mode) || plan == Short && !k.Short {
			continue
		}
		tests, err := planOf(k, mode)
		if err != nil {
			return r, err
		}
		r.Tests = append(r.Tests, tests...)
	}
	for _, what := range readings[mode] {
		if plan == Full && strings.HasPrefix(what, "squelch") {
			continue // recorded
		}
		r.MeterReadings = append(r.MeterReadings, job.MeterReading{What: what})
	}
	for _, what := range checks {
		r.Checks = append(r.Checks, job.Check{What: what, Open: true})
	}
	for _, what := range moreChecks {
		if plan == Full {
			r.Checks = append(r.Checks, job.Check{What: what, Open: true})
		}
	}
	return r, nil
}

// planOf are the tests of one kind in a full plan.
func planOf(k job.Kind, mode string) ([]job.Test, error) {
	text := k.Sketch
	for _, of := range []string{"", mode} {
		if own, ok := k.Plan[of]; ok {
			text = k.Name + ": " + own
		}
	}
	t, err := jobfile.ParseTest(text, unit.PD)
	if err != nil {
		return nil, fmt.Errorf("the plan cannot be made: %w", err)
	}
	t = t.AsPlan()
	t.Dialled(unit.PD, func(text string) string { return unit.WithKind(text, unit.PD) })
	if t.Stanza.Criterion.Quantity == job.QuantitySNN {
		if t.Stanza.Takes, err = around(usualPoint[mode], t.Stanza.Criterion, mode); err != nil {
			return nil, err
		}
	}
	if k.Each == "" {
		return []job.Test{t}, nil
	}
	var out []job.Test
	for _, word := range job.SettingWords(k.Each) {
		one := t.AsPlan()
		if places, own := k.EachAt[word]; own {
			if one, err = jobfile.ParseTest(k.Name+": {"+k.Each+": "+word+", "+k.AxisKey()+": "+places+"}", unit.PD); err != nil {
				return nil, fmt.Errorf("the plan cannot be made: %w", err)
			}
			one.Dialled(unit.PD, func(text string) string { return unit.WithKind(text, unit.PD) })
		}
		one.Name, one.Stanza.Settings[k.Each] = word, word
		out = append(out, one)
	}
	return out, nil
}
