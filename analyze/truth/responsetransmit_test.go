package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/response"
	"hisspoint/capture"
	testsignal "hisspoint/capture/signal"
	"hisspoint/capture/simulate"
)

// monitorCurve is the monitor's own curve, as measuring it with a generator of
// level deviation would give it.
func monitorCurve(b simulate.TransmitBench) analyze.MonitorCurve {
	m := analyze.MonitorCurve{Name: "monitor.json"}
	for _, hz := range testsignal.Frequencies(150, 6300, 12) {
		m.Hz, m.DB = append(m.Hz, hz), append(m.DB, b.MonitorDB(hz))
	}
	return m
}

// Simulated transmitters in working order, heard through a monitor whose curve is
// taken out, give the response that they were made with, within the mask; with
// faults they are called bassy or thin as they should be, and are outside.
func TestResponseOfSimulatedTransmitters(t *testing.T) {
	// Full scale is 26 dB above standard modulation; each tone 29 dB below that.
	played := testsignal.Multitone(24000, testsignal.StandardMultitone(), -42, 2)
	heard := func(b simulate.TransmitBench) analyze.ResponseResult {
		r, err := response.Measure([]capture.Recording{b.Recording("tx.wav", played.Samples, played.Rate)},
			analyze.ResponseHow{Against: analyze.AgainstPreEmphasis, Monitor: monitorCurve(b)})
		require.NoError(t, err)
		require.Empty(t, r.Why)
		require.Equal(t, analyze.ResponseMultitone, r.Kind)
		return r
	}
	for seed := range uint64(runsOf(2, 100)) {
		b := simulate.HealthyTransmitter(seed + 1)
		r := heard(b)
		for _, p := range r.Points {
			assert.InDelta(t, b.Transmitter.ResponseDB(p.Hz), p.DB, 1.5*(p.High-p.Low)+0.05, "seed %d, %g Hz", seed+1, p.Hz)
		}
		assert.Equal(t, analyze.LeanEven, r.Lean, "seed %d", seed+1)
		assert.Equal(t, analyze.MaskInside, r.Mask.Outcome, "seed %d: %+v", seed+1, r.Mask)
	}
	for fault, lean := range map[string]string{
		"no pre-emphasis": analyze.LeanBassy, "oversized bypass": analyze.LeanBassy, "wrong insert": analyze.LeanBassy,
		"dried coupling capacitor": analyze.LeanThin, "thin insert": analyze.LeanThin,
	} {
		f, ok := simulate.TransmitFaultNamed(fault)
		require.True(t, ok, fault)
		r := heard(f.On(simulate.HealthyTransmitter(7)))
		assert.Equal(t, lean, r.Lean, fault)
		assert.Equal(t, analyze.MaskOutside, r.Mask.Outcome, fault)
	}
}

// Real speech through a simulated transmitter, and through one whose microphone
// insert tilts by 3 dB an octave more: the comparison finds that within 0.3 dB.
func TestRealSpeechThroughATransmitter(t *testing.T) {
	files := spoken(t)
	b := simulate.HealthyTransmitter(3)
	through := func(b simulate.TransmitBench) analyze.ResponseResult {
		var rs []capture.Recording
		for i, r := range files {
			x := samplesOf(t, r)
			b.Seed = uint64(i)
			rs = append(rs, b.Recording(r.Origin.File, times(0.02/math.Sqrt(power(x)), x), r.Rate))
		}
		r, err := response.Measure(rs, analyze.ResponseHow{Kind: analyze.ResponseSpeech, Against: analyze.AgainstPreEmphasis, Monitor: monitorCurve(b)})
		require.NoError(t, err)
		require.Empty(t, r.Why)
		return r
	}
	f, ok := simulate.TransmitFaultNamed("wrong insert")
	require.True(t, ok)
	d := response.Compare(through(f.On(b)), through(b))
	require.Empty(t, d.Why)
	t.Logf("tilt %.3f [%.3f %.3f], %s", d.Tilt.Value, d.Tilt.Low, d.Tilt.High, d.Lean)
	assert.InDelta(t, -3, d.Tilt.Value, 0.3)
	assert.Equal(t, analyze.ChangeBassier, d.Lean)
}

// A sweep through x + 0.1 x^2 + 0.1 x^3, as a unit sine: fundamental 1.075, second
// harmonic 0.05, third 0.025 (power-reduction identities), so 4.651 and 2.326 %, 5.200 %
// in all, at every frequency whose harmonics the rate holds; with noise 40 dB below.
func TestDistortionAgainstFrequency(t *testing.T) {
	sweep := testsignal.Sweep{LowHz: 60, HighHz: 6000, Seconds: 5}.Synchronized()
	s := testsignal.SweepSignal(24000, sweep, 0, 0.4)
	x := within(s.Samples, 24000, 0.5, 40, 61)
	for i, v := range s.Samples {
		x[i] += 0.1*v*v + 0.1*v*v*v
	}
	r := responseOf(t, 24000, times(0.4, x), analyze.ResponseHow{Sweep: sweep})
	require.Empty(t, r.Why)
	require.Equal(t, analyze.ResponseSweep, r.Kind)
	seen := 0
	for _, d := range r.Distortion {
		if d.Hz < 300 || d.Hz > 3000 {
			continue
		}
		seen++
		require.GreaterOrEqual(t, len(d.Harmonics), 2)
		assert.InDelta(t, 5/1.075, d.Harmonics[0].Percent, 0.35, "2nd at %g Hz", d.Hz)
		assert.InDelta(t, 2.5/1.075, d.Harmonics[1].Percent, 0.35, "3rd at %g Hz", d.Hz)
		assert.InDelta(t, math.Hypot(5, 2.5)/1.075, d.Percent, 0.4, "%g Hz", d.Hz)
		assert.Less(t, d.FloorPercent, 1.0)
	}
	assert.GreaterOrEqual(t, seen, 20)
}

// A simulated FM receiver at a strong signal, one tone a recording at equal
// deviation, gives the response it was made with; held against de-emphasis.
func TestResponseOfASimulatedReceiver(t *testing.T) {
	b := bench(71)
	set := b.Set.(simulate.FM)
	set.IFBandwidthHz, set.IFPoles = 30000, 0              // so wide that it takes nothing off a tone's sidebands
	set.Audio.SecondPercent, set.Audio.ThirdPercent = 0, 0 // bent, it would give strong low tones more than their due
	b.Set = set
	var rs []capture.Recording
	for i, hz := range []float64{300, 400, 550, 750, 1000, 1400, 1900, 2500, 3000} {
		b.Generator.ToneHz, b.Seed = hz, uint64(100+i)
		rs = append(rs, capture.FromSamples("tone.wav", b.Card.Rate, b.Record(simulate.Segment{Seconds: 0.8, LevelDBm: -47})))
	}
	r, err := response.Measure(rs, analyze.ResponseHow{Against: analyze.AgainstDeEmphasis})
	require.NoError(t, err)
	require.Empty(t, r.Why)
	require.Equal(t, analyze.ResponseStepped, r.Kind)
	require.Len(t, r.Points, len(rs))
	for _, p := range r.Points {
		assert.InDelta(t, set.ResponseDB(p.Hz)-set.ResponseDB(1000), p.DB, 1.5*(p.High-p.Low)/2+0.05, "%g Hz", p.Hz)
	}
}
