package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
)

// Zeros of J0 and the values of J1 there: Abramowitz & Stegun, table 9.5. Values of
// J0: table 9.1.
func TestBesselZeros(t *testing.T) {
	for number, want := range []struct{ zero, slope float64 }{
		{2.4048255577, 0.5191474973}, {5.5200781103, 0.3402648065}, {8.6537279129, 0.2714522999}, {11.7915344391, 0.2324598314}, {14.9309177085, 0.2065464331},
	} {
		z := analyze.BesselZero(number + 1)
		assert.InDelta(t, want.zero, z, 1e-10)
		assert.InDelta(t, 100*0.01/want.slope/want.zero, analyze.NullMiss(number+1, -40), 1e-8)
	}
	for x, want := range map[float64]float64{0: 1, 0.5: 0.938469807240813, 1: 0.765197686557967, 2: 0.223890779141236, 5: -0.177596771314338, 10: -0.245935764451348} {
		assert.InDelta(t, want, math.J0(x), 1e-14, "A&S 9.1: J0(%g)", x)
	}
}

// Common practice: a tone of 1 kHz nulls the carrier at 2.405 kHz, one of 1247.5 Hz
// at 3 kHz.
func TestCarrierNulls(t *testing.T) {
	n := analyze.CarrierNullOfTone(1, 1000)
	assert.InDelta(t, 2404.8, n.Deviation, 0.1)
	assert.InDelta(t, 0.8, n.PercentAt40dB, 0.01)
	n = analyze.CarrierNullOfDeviation(1, 3000)
	assert.InDelta(t, 1247.5, n.ToneHz, 0.1)
	assert.Equal(t, 3000.0, n.Deviation)
	assert.InDelta(t, 5520.1, analyze.CarrierNullOfTone(2, 1000).Deviation, 0.1)
}
