package truth_test

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/capture"
	testsignal "hisspoint/capture/signal"
)

// damages are what sound cards and their drivers do to a recording from a sample on.
var damages = map[string]func(x []float64, at, rate int) []float64{
	"1 sample lost": func(x []float64, at, rate int) []float64 { return slices.Delete(x, at, at+1) },
	"10 ms lost":    func(x []float64, at, rate int) []float64 { return slices.Delete(x, at, at+rate/100) },
	"40 ms lost":    func(x []float64, at, rate int) []float64 { return slices.Delete(x, at, at+rate/25) },
	"10 ms doubled": func(x []float64, at, rate int) []float64 { return doubled(x, at, rate/100) },
	"40 ms doubled": func(x []float64, at, rate int) []float64 { return doubled(x, at, rate/25) },
	"40 ms muted":   func(x []float64, at, rate int) []float64 { return muted(x, at, rate/25) },
	"150 ms muted":  func(x []float64, at, rate int) []float64 { return muted(x, at, rate*3/20) },
	"none":          nil,
	"echo": func(x []float64, _, rate int) []float64 { // nothing is broken
		for i := len(x) - 1; i >= rate/75; i-- {
			x[i] += 0.4 * x[i-rate/75]
		}
		return x
	},
}

func doubled(x []float64, at, n int) []float64 {
	return slices.Insert(x, at, slices.Clone(x[at-n:at])...)
}

func muted(x []float64, at, n int) []float64 {
	clear(x[at : at+n])
	return x
}

// A flat set's response whose recording is damaged anywhere is flat all the same: each point's
// level within its interval and 0.1 dB, or it is left out, or all is refused. What is
// damaged within a tone is told wherever it costs more.
func TestBrokenResponses(t *testing.T) {
	const rate = 16000
	sweep := testsignal.Sweep{LowHz: 60, HighHz: 6000, Seconds: 8}.Synchronized()
	signals := map[string]testsignal.Signal{
		"stepped":   testsignal.Stepped(rate, testsignal.StandardSteps(3), -20, 0.6),
		"sweep":     testsignal.SweepSignal(rate, sweep, -20, 0.5),
		"multitone": testsignal.Multitone(rate, testsignal.StandardMultitone(), -20, 3),
	}
	for _, kind := range []string{"stepped", "sweep", "multitone"} {
		s := signals[kind]
		for i, damage := range slices.Sorted(maps.Keys(damages)) {
			told := 0
			tries := runsOf(1, 40)
			for try := range tries {
				seed := uint64(1000*i + try)
				r := seeded(seed)
				x := slices.Concat(make([]float64, rate), s.Samples, make([]float64, rate))
				x = within(x, rate, gain(-40)/2, 40, seed)
				at := rate + int((0.05+0.9*r.Float64())*float64(len(s.Samples)))
				if do := damages[damage]; do != nil {
					x = do(x, at, rate)
				}
				got := responseOf(t, rate, x, analyze.ResponseHow{Kind: kind, Sweep: sweep})
				name := fmt.Sprintf("%s, %s at %.3f s, try %d", kind, damage, float64(at)/rate, try)
				if got.Why != "" || slices.ContainsFunc(got.Warnings, func(w capture.Warning) bool { return w.Code == capture.Unsteady }) {
					told++
				}
				if damage == "echo" {
					continue // it has a response of its own
				}
				for _, p := range got.Points {
					assert.InDelta(t, 0, p.DB, 0.1+math.Max(p.High-p.DB, p.DB-p.Low), "%s: %g Hz", name, p.Hz)
				}
			}
			if damages[damage] == nil || damage == "echo" {
				assert.Zero(t, told, "%s, nothing damaged, is told", kind)
			}
			t.Logf("%s, %s: told %d of %d", kind, damage, told, tries)
		}
	}
}
