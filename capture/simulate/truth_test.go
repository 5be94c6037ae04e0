package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestSensitivityOfTheInventedSets(t *testing.T) {
	speech := Band(300, 3400)
	for _, c := range []struct {
		set FM
		uV  float64
	}{{Healthy27MHzFM(), 0.28}, {Deaf27MHzFM(), 0.9}} {
		assert.InDelta(t, c.uV, MicrovoltPDFromDBm(c.set.LevelForCNR(9.1)), 0.05*c.uV)
		if !long() && c.set.FrontLossDB > 0 {
			continue // the same set 10 dB down
		}
		b := healthyBench(1)
		b.Set = c.set
		k, err := b.Sensitivity(12, speech, pick(40.0, 1000))
		require.NoError(t, err)
		t.Logf("%s: 12 dB SINAD at %.3f dBm, standard error %.3f dB, %.4f uV PD", c.set.Name, k.Value, k.StdErr, MicrovoltPDFromDBm(k.Value))
		assert.InDelta(t, c.uV, MicrovoltPDFromDBm(k.Value), 0.04*c.uV)
		assert.Less(t, k.StdErr, 0.06)
		// Two other ways to the same answer: the formula, and the deeper model.
		assert.InDelta(t, 12, c.set.TheorySINAD(b.Generator, k.Value, speech), 0.35)
		c.set.Depth = DepthCarrier
		b.Set = c.set
		deep, err := b.TrueSINAD(k.Value, speech, pick(40.0, 1000))
		require.NoError(t, err)
		t.Logf("carrier level there: %.3f dB, standard error %.3f dB", deep.Value, deep.StdErr)
		assert.InDelta(t, 12, deep.Value, 0.1+3*math.Hypot(deep.StdErr, 1.7*k.StdErr))
	}
}

// The stated error against the scatter of answers with other seeds.
func TestSensitivityErrorIsHonest(t *testing.T) {
	if !long() {
		t.Skip("long: set HISSPOINT_LONG=1")
	}
	var values []float64
	stated := 0.0
	const n = 30
	for i := range n {
		k, err := healthyBench(uint64(1000+i)).Sensitivity(12, Band(300, 3400), 100)
		require.NoError(t, err)
		values = append(values, k.Value)
		stated += k.StdErr / n
	}
	t.Logf("scatter %.4f dB, stated %.4f dB", spreadOf(values), stated)
	assert.InEpsilon(t, spreadOf(values), stated, 0.35)
}

// Pooled powers of a flat-noise case with a closed form: the card's white
// noise alone on a strong, noiseless signal.
func TestTrueSINADOfWhiteNoise(t *testing.T) {
	b := bareBench(ideal(20000, 0, 1200, DepthAudio), 1200)
	b.Card = SoundCard{Rate: 48000, FullScaleVolts: 2, NoiseDBFS: -30}
	k, err := b.TrueSINAD(0, Band(300, 3400), 40)
	require.NoError(t, err)
	// Tone 20 log10(1/2) dBFS; noise -30 dBFS over 24 kHz, of it 3100 Hz.
	want := 10 * math.Log10(1+math.Pow(10, (-6.0206+30)/10)*24000/3100)
	assert.InDelta(t, want, k.Value, 0.08)
	assert.Less(t, k.StdErr, 0.03)
	b.Generator.ToneHz = 1000.03
	_, err = b.TrueSINAD(0, Band(300, 3400), 40)
	assert.ErrorIs(t, err, ErrOffBin)
	_, err = bareBench(ideal(20000, 0, 1200, DepthAudio), 1200).Sensitivity(130, Band(300, 3400), 40)
	assert.ErrorContains(t, err, "does not meet")
}
