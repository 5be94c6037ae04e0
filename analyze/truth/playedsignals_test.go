package truth_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	testsignal "hisspoint/capture/signal"
	"hisspoint/capture/unit"
)

// around is a signal as it is recorded while it is played: silence of 1 s before it and
// of 1.2 s behind it, noise 50 dB down throughout.
func around(s testsignal.Signal, x []float64, seed uint64) capture.Recording {
	r := rand.New(rand.NewPCG(seed, 11))
	lead, tail := s.Rate, s.Rate*6/5
	out := make([]float64, lead+len(x)+tail)
	for i := range out {
		if k := i - lead; k >= 0 && k < len(x) {
			out[i] = x[k]
		}
		out[i] += 1e-3 * r.NormFloat64()
	}
	return capture.FromSamples(s.Name+".wav", s.Rate, out)
}

// creeping is what a transmitter's limiter makes of a tone that is stepped in level: no
// more than an amplitude of 0.1, which it reaches within 20 ms and 0.5 dB too high, and
// which it then creeps down to with a time constant of 0.5 s.
func creeping(s testsignal.Signal) []float64 {
	const most = 0.1
	out := make([]float64, len(s.Samples))
	for _, p := range s.Parts {
		a := math.Pow(10, p.LevelDBFS/20)
		first, last := int(p.From*float64(s.Rate)+0.5), int(p.To*float64(s.Rate)+0.5)
		for i := first; i < min(last, len(out)); i++ {
			at := float64(i-first) / float64(s.Rate)
			gain := 1.0
			if a > most {
				held := most / a * math.Pow(10, 0.5/20*math.Exp(-at/0.5))
				gain = held + (1-held)*math.Exp(-at/0.004)
			}
			out[i] = gain * s.Samples[i]
		}
	}
	return out
}

// inputsOf are the levels of a signal's parts against its loudest, as inputs of a test.
func inputsOf(s testsignal.Signal) (taken []job.Take) {
	for _, p := range s.Parts {
		db := p.LevelDBFS - s.LevelDBFS
		taken = append(taken, job.Take{File: s.Name + ".wav", At: db, AtTyped: fmt.Sprintf("%g dB", db)})
	}
	return taken
}

// Each signal that steps a tone in level is read with the silence around it, through a
// limiter that creeps, at each rate: the deviation of each input is that of the model,
// whose creep has gone down to 0.1 dB when the part of a step that is read begins.
func TestLevelSignalsAreReadThroughALimiterThatCreeps(t *testing.T) {
	for _, rate := range []int{22050, 44100, 48000, 96000} {
		signals := []testsignal.Signal{testsignal.Attack(rate, 1000, -12, 1, 3), testsignal.Jumps(rate, 1000, []float64{-42, -32, -22, -12}, 1.5)} // as record plays them
		if rate == 22050 || long() {
			signals = append(signals, testsignal.LevelSteps(rate, 1000, -52, -12, 2, 1.5)) // as signals writes them
		}
		for _, s := range signals {
			setup := transmitSetup(job.KindLimiter, map[string]string{job.SettingReferenceDeviation: "1.5 kHz", job.SettingRatedDeviation: "3 kHz"}, inputsOf(s)...)
			setup.OneFile = true
			reference := testsignal.Tone(rate, 1000, 20*math.Log10(0.05), 2)
			r, err := kind.Limiter(setup, []capture.Recording{around(s, creeping(s), 1), capture.FromSamples("reference.wav", rate, reference.Samples)})
			require.NoError(t, err)
			require.Empty(t, r.Why, "%s at %d Hz", s.Name, rate)
			require.Len(t, r.Rows, len(s.Parts)+1)
			for i, p := range s.Parts {
				want := 1500 / 0.05 * math.Min(0.1, math.Pow(10, p.LevelDBFS/20))
				got := r.Rows[i].Worth[0]
				noise := 60.0 // Hz of peak
				assert.InDelta(t, want, got.Value, 0.035*want+noise, "%s at %d Hz, input %d", s.Name, rate, i+1)
				middle := 1 + (p.From+p.To)/2
				assert.True(t, r.Rows[i].Take.From < middle+0.3 && r.Rows[i].Take.To > middle, "%s at %d Hz, input %d: %+v", s.Name, rate, i+1, r.Rows[i].Take)
			}
		}
	}
}

// A list that is not the signal's is refused.
func TestAWrongListOfInputsIsRefused(t *testing.T) {
	s := testsignal.Attack(22050, 1000, -12, 1, 3)
	for _, leave := range []int{1, 2} {
		setup := transmitSetup(job.KindLimiter, map[string]string{job.SettingReferenceDeviation: "1.5 kHz", job.SettingRatedDeviation: "3 kHz"}, inputsOf(s)[leave:]...)
		setup.OneFile = true
		r, err := kind.Limiter(setup, []capture.Recording{around(s, s.Samples, 1), capture.FromSamples("reference.wav", s.Rate, testsignal.Tone(s.Rate, 1000, -26, 2).Samples)})
		require.NoError(t, err)
		assert.Contains(t, r.Why, "do not fit", "%d inputs", len(setup.Takes))
	}
}

// Every other signal is read by the test that wants it, at the usual rates: a set that passes all alike has a flat response and no distortion.
func TestSignalsAreReadByTheirTests(t *testing.T) {
	if !long() {
		t.Skip("HISSPOINT_LONG=1 reads them at three rates; TestSignalsThroughASimulatedTransmitter reads them at one")
	}
	for _, rate := range []int{44100, 48000, 96000} {
		all, err := testsignal.Set(testsignal.Options{Rate: rate, LevelDBFS: -18})
		require.NoError(t, err)
		for _, s := range all {
			var of string
			switch s.Kind {
			case testsignal.KindTone:
				of = job.KindTransmitDistortion
			case testsignal.KindStepped, testsignal.KindSweep, testsignal.KindMultitone:
				of = job.KindTransmitResponse
			case testsignal.KindNoise:
				of = job.KindSpeechBalance
			default:
				continue // levels above; two tones are for other means
			}
			setup := job.Setup{Kind: of, Mode: job.FM, Stanza: job.Stanza{Takes: []job.Take{{File: s.Name + ".wav"}}, Settings: map[string]string{}}}
			r, err := kind.Run(setup, []capture.Recording{around(s, s.Samples, 2)})
			require.NoError(t, err)
			require.Empty(t, r.Why, "%s at %d Hz", s.Name, rate)
			switch of {
			case job.KindTransmitDistortion:
				assert.Less(t, r.Get(job.QuantityDistortion).Value, 0.2, s.Name)
			default:
				require.NotNil(t, r.Response, s.Name)
				if of == job.KindTransmitResponse {
					assert.Greater(t, len(r.Response.Points), 10, s.Name)
					for _, p := range r.Response.Points {
						assert.InDelta(t, 0, p.DB, 0.2, "%s at %d Hz, %.0f Hz", s.Name, rate, p.Hz)
					}
				}
			}
		}
	}
}

// Offsets of the generator, or levels of a second one, stepped through in one recording
// give what recordings of each place give.
func TestOffsetsAndInterferersInOneFile(t *testing.T) {
	const rate, each = 16000, 3
	piece := func(sinad float64, seed uint64) []float64 { // SINAD over 300 to 3400 Hz of 8 kHz
		r := rand.New(rand.NewPCG(seed, 12))
		x := make([]float64, each*rate)
		sigma := math.Sqrt(0.005 * math.Pow(10, -sinad/10) * 8000 / 3100)
		for i := range x {
			x[i] = 0.1*math.Sin(2*math.Pi*1000*float64(i)/rate) + sigma*r.NormFloat64()
		}
		return x
	}
	for _, c := range []struct {
		kind   string
		sinads []float64
		place  func(i int) job.Take
		figure string
	}{
		{job.KindCentring, []float64{4, 10, 16, 19, 17, 11, 5}, func(i int) job.Take {
			hz := 1000 * float64(i-3)
			return job.Take{At: hz, AtTyped: fmt.Sprintf("%g Hz", hz)}
		}, job.FigureCentre},
		{job.KindDegradation, []float64{18, 15, 11, 7, 4}, func(i int) job.Take {
			db := float64(60 + 3*i)
			return job.Take{Level: unit.Level{DB: db, Scale: unit.Relative}, Typed: fmt.Sprintf("%g dB", db)}
		}, job.FigureRejection},
	} {
		setup := job.Setup{Kind: c.kind, Mode: job.FM, Stanza: job.Stanza{Level: unit.Level{DB: 3, Scale: unit.Relative}, LevelTyped: "3 dB"}}
		var apart []capture.Recording
		var all []float64
		for i, s := range c.sinads {
			x := piece(s, uint64(i))
			setup.Takes = append(setup.Takes, c.place(i))
			apart, all = append(apart, capture.FromSamples("a.wav", rate, x)), append(all, x...)
		}
		want, err := kind.Run(setup, apart)
		require.NoError(t, err)
		setup.OneFile = true
		got, err := kind.Run(setup, []capture.Recording{capture.FromSamples("all.wav", rate, all)})
		require.NoError(t, err)
		require.Empty(t, got.Why, c.kind)
		require.Len(t, got.Rows, len(c.sinads))
		for i := range c.sinads {
			assert.InDelta(t, 10*math.Log10(1+math.Pow(10, c.sinads[i]/10)), got.Rows[i].Measured.Get("sinad").Value, 0.4, "%s, place %d", c.kind, i+1)
			assert.InDelta(t, float64(each*i)+each/2.0, (got.Rows[i].Take.From+got.Rows[i].Take.To)/2, 0.3)
		}
		w, g := want.Get(c.figure), got.Get(c.figure)
		require.True(t, w.OK() && g.OK(), "%s: %+v %+v", c.kind, w, g)
		assert.InDelta(t, w.Value, g.Value, (w.High-w.Low)/2, c.kind)
		setup.Takes = setup.Takes[1:]
		got, err = kind.Run(setup, []capture.Recording{capture.FromSamples("all.wav", rate, all)})
		require.NoError(t, err)
		assert.Contains(t, got.Why, "do not fit", c.kind)
	}
}
