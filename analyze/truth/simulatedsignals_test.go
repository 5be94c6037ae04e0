package truth_test

import (
	"math"
	"math/cmplx"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	testsignal "hisspoint/capture/signal"
	"hisspoint/capture/simulate"
)

// Every signal that is written for a test goes through a simulated transmitter and its
// monitor, with the silence around it that record adds, and is read by that test: the
// response, distortion and deviation are those that the transmitter was made with.
func TestSignalsThroughASimulatedTransmitter(t *testing.T) {
	rates := []int{22050}
	if long() {
		rates = append(rates, 44100, 48000, 96000)
	}
	for _, rate := range rates {
		b := simulate.HealthyTransmitter(5)
		b.Card.Rate = min(rate, 48000)
		linear, err := testsignal.Set(testsignal.Options{Rate: rate, LevelDBFS: -40})
		require.NoError(t, err)
		limited, err := testsignal.Set(testsignal.Options{Rate: rate, LevelDBFS: -18})
		require.NoError(t, err)
		seen := 0
		for i, s := range linear {
			if !long() && (s.Name == "stepped-sixth-octave" || s.Kind == testsignal.KindNoise) {
				seen++ // these take longest
				continue
			}
			switch s.Kind {
			case testsignal.KindStepped, testsignal.KindSweep, testsignal.KindMultitone:
				transmittedResponse(t, b, s)
			case testsignal.KindTone:
				transmittedDistortion(t, b, s)
			case testsignal.KindNoise:
				r := transmitted(t, b, s, job.KindSpeechBalance)
				require.NotNil(t, r.Response, s.Name)
				assert.Equal(t, analyze.LeanEven, r.Response.Lean, s.Name)
			case testsignal.KindLevels:
				transmittedDeviation(t, b, limited[i])
			default:
				continue // two tones are for other means
			}
			seen++
		}
		assert.Equal(t, len(linear)-1, seen)
	}
}

func transmitted(t *testing.T, b simulate.TransmitBench, s testsignal.Signal, of string) analyze.Result {
	t.Helper()
	mic := make([]float64, len(s.Samples)+s.Rate*22/10)
	copy(mic[s.Rate:], s.Samples)
	setup := job.Setup{Kind: of, Mode: job.FM, Stanza: job.Stanza{Takes: []job.Take{{File: s.Name + ".wav"}}, Settings: map[string]string{job.SettingAgainst: analyze.AgainstPreEmphasis}}}
	r, err := kind.Run(setup, []capture.Recording{b.Recording(s.Name+".wav", mic, s.Rate)})
	require.NoError(t, err)
	require.Empty(t, r.Why, "%s at %d Hz", s.Name, s.Rate)
	return r
}

func transmittedResponse(t *testing.T, b simulate.TransmitBench, s testsignal.Signal) {
	t.Helper()
	r := transmitted(t, b, s, job.KindTransmitResponse)
	require.NotNil(t, r.Response)
	require.Greater(t, len(r.Response.Points), 10, s.Name)
	for _, p := range r.Response.Points {
		if p.Hz >= 300 && p.Hz <= 3000 {
			assert.InDelta(t, b.ResponseDB(p.Hz), p.DB, 0.1+math.Max(p.High-p.DB, p.DB-p.Low), "%s at %d Hz, %.0f Hz", s.Name, s.Rate, p.Hz)
		}
	}
}

// transmittedDistortion holds the distortion against the harmonics of the modulation
// itself, by projection onto whole periods, as the monitor's curve bends them.
func transmittedDistortion(t *testing.T, b simulate.TransmitBench, s testsignal.Signal) {
	t.Helper()
	got := transmitted(t, b, s, job.KindTransmitDistortion).Get(job.QuantityDistortion)
	clean := b
	clean.Transmitter.Noise, clean.Transmitter.Hum = 0, nil
	wave := clean.Modulation(s.Samples, s.Rate)[2*simulate.ModulationRate:][:simulate.ModulationRate]
	amplitude := func(hz float64) float64 {
		var sum complex128
		for i, v := range wave {
			sum += complex(v, 0) * cmplx.Rect(1, -2*math.Pi*hz*float64(i)/simulate.ModulationRate)
		}
		return cmplx.Abs(sum) * math.Pow(10, b.MonitorDB(hz)/20)
	}
	sum := 0.0
	for k := 2.0; k <= 5; k++ {
		sum += math.Pow(amplitude(1000*k), 2)
	}
	assert.InDelta(t, 100*math.Sqrt(sum)/amplitude(1000), got.Value, 0.03+math.Max(got.High-got.Value, got.Value-got.Low), s.Name)
}

// transmittedDeviation holds the deviation of each step against the transmitter's own.
func transmittedDeviation(t *testing.T, b simulate.TransmitBench, s testsignal.Signal) {
	t.Helper()
	mic := make([]float64, len(s.Samples)+s.Rate*22/10)
	copy(mic[s.Rate:], s.Samples)
	setup := transmitSetup(job.KindLimiter, map[string]string{job.SettingReferenceDeviation: "1.5 kHz", job.SettingRatedDeviation: "2.5 kHz"}, inputsOf(s)...)
	setup.OneFile = true

	b.Monitor = simulate.Monitor(simulate.DeemphasisNone)
	setup.Settings[job.SettingMonitorCurve] = analyze.MonitorFlat
	r, err := kind.Limiter(setup, []capture.Recording{b.Recording(s.Name+".wav", mic, s.Rate), capture.FromSamples("reference.wav", b.Card.Rate, b.Substitute(1000, 1500, 3))})
	require.NoError(t, err)
	require.Empty(t, r.Why, "%s at %d Hz", s.Name, s.Rate)
	require.Len(t, r.Rows, len(s.Parts)+1)
	quiet := b
	quiet.Transmitter.Noise, quiet.Transmitter.Hum = 0, nil
	for i, p := range s.Parts {
		up, down := quiet.Peaks(s.Samples, s.Rate, (p.From+p.To)/2, (p.From+p.To)/2+0.02)
		got := r.Rows[i].Worth[0]
		assert.InDelta(t, math.Max(up, -down), got.Value, 0.02*up+25, "%s at %d Hz, input %d, %+.0f dBFS", s.Name, s.Rate, i+1, p.LevelDBFS)
	}
}
