package service

import (
	"path/filepath"
	"strings"

	"hisspoint/capture/job"
)

// Plans that job new can make a job for.
const (
	PlanShort = "short" // what a paid-for service has time for
	PlanFull  = "full"  // every test, in the usual order
)

// Plan is the round that a plan asks for in a mode: the tests that can be
// analysed, and what else the plan would hold, as not measured yet.
func Plan(plan, mode string) job.Round {
	t := &job.SensitivityTest{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}, ToneHz: 1000, Filter: job.Filter{Name: job.SpeechBand}}
	if mode == job.AM {
		t.Depth = 30
	}
	return job.Round{Tests: []job.Test{{Kind: job.KindSensitivity, Sensitivity: t}}}
}

// Later are the tests that a plan would hold and that cannot be analysed yet.
func Later(plan, mode string) []string {
	list := []string{"squelch (opening and closing levels as meter readings)", "transmit audio (deviation or modulation as meter readings)"}
	if plan == PlanFull {
		list = append([]string{"distortion", "hum and noise", "audio response"}, list...)
	}
	if mode == job.FM {
		list = append([]string{"quieting"}, list...)
	}
	return list
}

// Natural tells whether a file name comes before another as people order them:
// numbers by their value, so that "(10)" comes after "(2)".
func Natural(a, b string) bool {
	a, b = filepath.ToSlash(a), filepath.ToSlash(b)
	for a != "" && b != "" {
		x, y := digits(a), digits(b)
		if x != "" && y != "" {
			p, q := strings.TrimLeft(x, "0"), strings.TrimLeft(y, "0")
			if len(p) != len(q) {
				return len(p) < len(q)
			}
			if p != q {
				return p < q
			}
			a, b = a[len(x):], b[len(y):]
			continue
		}
		if a[0] != b[0] {
			return a[0] < b[0]
		}
		a, b = a[1:], b[1:]
	}
	return len(a) < len(b)
}

func digits(s string) string { return s[:len(s)-len(strings.TrimLeft(s, "0123456789"))] }
