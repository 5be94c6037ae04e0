package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	sound "hisspoint/capture/signal"
	"hisspoint/capture/simulate"
	"hisspoint/reports/sentence"
)

// sine is a microphone signal at 16 kHz whose peak is amp.
func sine(hz, amp, seconds float64) []float64 {
	x := make([]float64, int(seconds*16000))
	for i := range x {
		x[i] = amp * math.Sin(2*math.Pi*hz*float64(i)/16000)
	}
	return x
}

func transmitBench(monitor simulate.Set, seed uint64) simulate.TransmitBench {
	b := simulate.TransmitBench{Transmitter: simulate.Healthy27MHzTransmitter(), Monitor: monitor, Card: simulate.PlainCard(), Seed: seed}
	b.Card.Rate = 16000
	return b
}

func transmitSetup(kindName string, settings map[string]string, takes ...job.Take) job.Setup {
	settings[job.SettingReferenceFile] = "reference.wav"
	return job.Setup{Kind: kindName, Mode: job.FM, Stanza: job.Stanza{Takes: takes, Settings: settings}}
}

// Peak deviation by substitution within 1 % of what the simulated transmitter
// does, half-wave by half-wave, through monitors with and without de-emphasis.
func TestDeviationBySubstitution(t *testing.T) {
	for name, curve := range map[string]simulate.Deemphasis{analyze.MonitorFlat: simulate.DeemphasisNone, analyze.Monitor750us: simulate.Deemphasis750us} {
		b := transmitBench(simulate.Monitor(curve), 3)
		b.Transmitter.SecondPercent = 8 // an unsymmetrical modulator
		mic := sine(1000, 0.045, 2)
		up, down := wavePeaks(b, mic)
		s := transmitSetup(job.KindDeviation, map[string]string{job.SettingReferenceDeviation: "1.5 kHz", job.SettingMonitorCurve: name}, job.Take{File: "tx.wav"})
		r, err := kind.Deviation(s, []capture.Recording{
			b.Recording("tx.wav", mic, 16000), capture.FromSamples("reference.wav", 16000, b.Substitute(1000, 1500, 2)),
		})
		require.NoError(t, err)
		require.Empty(t, r.Why, name)
		larger, smaller := math.Max(up, -down), math.Min(up, -down)
		assert.InEpsilon(t, larger, r.Get(job.QuantityDeviation).Value, 0.01, name)
		assert.InEpsilon(t, smaller, r.Get(job.FigureSmallerHalf).Value, 0.01, name)
		assert.Less(t, r.Get(job.QuantityDeviation).High-r.Get(job.QuantityDeviation).Low, 0.04*larger)
	}
}

// wavePeaks is the truth of one period: without the transmitter's noise and hum,
// and without its mean, which as DC passes no sound card.
func wavePeaks(b simulate.TransmitBench, mic []float64) (up, down float64) {
	b.Transmitter.Noise, b.Transmitter.Hum = 0, nil
	wave := b.Modulation(mic, 16000)[simulate.ModulationRate/2:][:simulate.ModulationRate/4] // whole periods of 1 kHz
	mean := 0.0
	for _, v := range wave {
		mean += v / float64(len(wave))
	}
	up, down = b.Peaks(mic, 16000, 0.5, 0.75)
	return up - mean, down - mean
}

// Monitors that are off tune or overdriven, and clipped recordings, give a
// reason and no figure.
func TestDeviationOfBadMonitorsIsRefused(t *testing.T) {
	s := transmitSetup(job.KindDeviation, map[string]string{job.SettingReferenceDeviation: "2.5 kHz"}, job.Take{File: "tx.wav"})
	b := transmitBench(simulate.Monitor(simulate.DeemphasisNone), 4)
	tx := b.Recording("tx.wav", sine(1000, 0.045, 2), 16000)
	clipped := b.Substitute(1000, 2500, 2)
	for i := range clipped {
		clipped[i] = math.Max(-0.1, math.Min(0.1, clipped[i]*3))
	}
	r, err := kind.Deviation(s, []capture.Recording{tx, capture.FromSamples("reference.wav", 16000, clipped)})
	require.NoError(t, err)
	assert.NotEmpty(t, r.Why)
	assert.Empty(t, r.Figures)

	off := simulate.Monitor(simulate.DeemphasisNone)
	off.Depth, off.IFBandwidthHz, off.IFErrorHz = simulate.DepthCarrier, 6000, 3500
	b = transmitBench(off, 5)
	r, err = kind.Deviation(s, []capture.Recording{tx, capture.FromSamples("reference.wav", 16000, b.Substitute(1000, 2500, 2))})
	require.NoError(t, err)
	assert.Contains(t, r.Why, "off tune or overdriven")

	r, err = kind.Deviation(s, []capture.Recording{tx})
	require.NoError(t, err)
	assert.Contains(t, r.Why, "reference_file")
}

// The limiter: input for 60 %, deviation 20 dB above, largest of all.
func TestLimiterOfASimulatedTransmitter(t *testing.T) {
	b := transmitBench(simulate.Monitor(simulate.DeemphasisNone), 6)
	s := transmitSetup(job.KindLimiter, map[string]string{job.SettingReferenceDeviation: "1.5 kHz", job.SettingRatedDeviation: "2.5 kHz"})
	var rs []capture.Recording
	most := 0.0
	peakAt := func(db float64) float64 {
		up, down := wavePeaks(b, sine(1000, math.Pow(10, db/20), 0.8))
		return math.Max(up, -down)
	}
	for _, db := range []float64{-36, -32, -28, -24, -16, -12, -8, -4} {
		s.Takes = append(s.Takes, job.Take{At: db, AtTyped: "x dB"})
		rs = append(rs, b.Recording("in.wav", sine(1000, math.Pow(10, db/20), 1), 16000))
		most = math.Max(most, peakAt(db))
	}
	rs = append(rs, capture.FromSamples("reference.wav", 16000, b.Substitute(1000, 1500, 2)))
	r, err := kind.Limiter(s, rs)
	require.NoError(t, err)
	require.Empty(t, r.Why)
	low, high := -60.0, 0.0 // where the truth passes 60 %
	for range 10 {
		if mid := (low + high) / 2; peakAt(mid) < 1500 {
			low = mid
		} else {
			high = mid
		}
	}
	input := r.Get(job.FigureInputFor60)
	require.True(t, input.OK(), input.Why)
	assert.InDelta(t, low, input.Value, 0.3)
	assert.InEpsilon(t, most, r.Get(job.QuantityDeviation).Value, 0.02)
	assert.InEpsilon(t, peakAt(low+20), r.Get(job.FigureLimited).Value, 0.03)
}

func TestModulationDepth(t *testing.T) {
	// (15 - 1)/(15 + 1) is 87.5 %.
	s := job.Setup{Kind: job.KindModulationDepth, Mode: job.AM, Stanza: job.Stanza{Settings: map[string]string{job.SettingHighest: "15 V", job.SettingLowest: "1 V"}}}
	r, err := kind.ModulationDepth(s, nil)
	require.NoError(t, err)
	assert.InDelta(t, 87.5, r.Get(job.QuantityModulation).Value, 1e-9)
	s.Settings[job.SettingLowest] = "20 V"
	r, err = kind.ModulationDepth(s, nil)
	require.NoError(t, err)
	assert.NotEmpty(t, r.Why)

	b := simulate.TransmitBench{Transmitter: simulate.Healthy27MHzAMTransmitter(), Monitor: simulate.AMMonitor(), Card: simulate.PlainCard(), Seed: 7}
	b.Card.Rate = 16000
	mic := sine(1000, 0.05, 2)
	up, down := b.Peaks(mic, 16000, 1, 1.5)
	s = transmitSetup(job.KindModulationDepth, map[string]string{job.SettingReferenceDepth: "50 %"}, job.Take{File: "tx.wav"})
	r, err = kind.ModulationDepth(s, []capture.Recording{b.Recording("tx.wav", mic, 16000), capture.FromSamples("reference.wav", 16000, b.Substitute(1000, 0.5, 2))})
	require.NoError(t, err)
	require.Empty(t, r.Why)
	assert.InDelta(t, 100*math.Max(up, -down), r.Get(job.QuantityModulation).Value, 1.5)
}

// A transmitter without pre-emphasis sounds bassy through its monitor, a healthy
// one does not; the response is what the simulation says, the monitor's taken out.
func TestTransmitResponseIsJudgedInWords(t *testing.T) {
	mic := sound.Stepped(16000, sound.StandardSteps(3), -36, 0.5).Samples
	for fault, lean := range map[string]string{"": "even", "no pre-emphasis": "bassy"} {
		b := transmitBench(simulate.Monitor(simulate.Deemphasis750us), 8)
		if f, ok := simulate.TransmitFaultNamed(fault); ok {
			b = f.On(b)
		}
		s := transmitSetup(job.KindTransmitResponse, map[string]string{job.SettingMonitorCurve: analyze.Monitor750us}, job.Take{File: "tx.wav"})
		s.Monitor.Name = analyze.Monitor750us
		r, err := kind.ResponseTest(s, []capture.Recording{b.Recording("tx.wav", mic, 16000)})
		require.NoError(t, err)
		require.Empty(t, r.Why)
		assert.Contains(t, sentence.Of(r.Says[0]), lean)
		require.NotEmpty(t, r.Lines)
		for _, p := range r.Lines[0].Points {
			if p.X >= 350 && p.X <= 2600 {
				assert.InDelta(t, b.Transmitter.ResponseDB(p.X), p.Y, 0.3, "%s, %.0f Hz", fault, p.X)
			}
		}
	}
}

// Stepped in one recording, inputs that are all limited have no edge between
// them; the deviation is that of each all the same, and a list that does not fit
// is refused.
func TestLimiterSteppedInOneRecording(t *testing.T) {
	b := transmitBench(simulate.Monitor(simulate.DeemphasisNone), 9)
	s := transmitSetup(job.KindLimiter, map[string]string{job.SettingReferenceDeviation: "1.5 kHz", job.SettingRatedDeviation: "2.5 kHz"})
	s.OneFile = true
	var mic []float64
	inputs := []float64{-40, -34, -28, -20, -12}
	for _, db := range inputs {
		s.Takes = append(s.Takes, job.Take{At: db, AtTyped: "x dB"})
		mic = append(mic, sine(1000, math.Pow(10, db/20), 2)...)
	}
	rs := []capture.Recording{b.Recording("tx.wav", mic, 16000), capture.FromSamples("reference.wav", 16000, b.Substitute(1000, 1500, 2))}
	r, err := kind.Limiter(s, rs)
	require.NoError(t, err)
	require.Empty(t, r.Why)
	require.Len(t, r.Rows, len(inputs)+1)
	for i, db := range inputs {
		up, down := wavePeaks(b, sine(1000, math.Pow(10, db/20), 0.8))
		assert.InEpsilon(t, math.Max(up, -down), r.Rows[i].Worth[0].Value, 0.03, "%g dB", db)
	}
	s.Takes = append(s.Takes, job.Take{At: -8, AtTyped: "x dB"}) // which was never played
	r, err = kind.Limiter(s, rs)
	require.NoError(t, err)
	assert.Contains(t, r.Why, "do not fit")
}
