package budget

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A published evaluation that cites ETSI TR 100 028: six mismatch terms and
// their root-sum-square, printed to 0.001 dB.
func TestMismatchOfAPublishedEvaluation(t *testing.T) {
	var b Budget
	for _, c := range []struct{ g1, g2, s21, want float64 }{
		{0.7, 0.099, 1, 0.426}, {0.099, 0.333, 1, 0.203}, {0.333, 0.091, 1, 0.186},
		{0.7, 0.333, 0.912, 1.192}, {0.099, 0.333, 0.794, 0.128}, {0.7, 0.091, 0.724, 0.205},
	} {
		m := Mismatch("", c.g1, c.g2, c.s21, c.s21)
		assert.InDelta(t, c.want, m.Standard(), 0.0006)
		b = append(b, m)
	}
	assert.InDelta(t, 1.318, b.Combined(), 0.001)
	assert.InDelta(t, 1.96*b.Combined(), b.Expanded(), 1e-12)
}

// ETSI TR 100 028: a tolerance of +-1 dB, rectangular, is 0.577 dB.
func TestRectangular(t *testing.T) {
	assert.InDelta(t, 0.577, Rectangular("generator level", 1).Standard(), 0.0005)
	assert.InDelta(t, 1.132, Budget{Rectangular("generator level", 1)}.Expanded(), 0.0005)
}

func TestContributions(t *testing.T) {
	assert.InDelta(t, 0.5, Normal("calibration", 1, 2).Standard(), 1e-12) // GUM 4.3.3
	assert.InDelta(t, 0.3, Scatter("readings", 0.3).Standard(), 1e-12)
	// 20 log10(1.1) = 0.828 dB of SINAD; a curve of 2 dB a dB halves it.
	assert.InDelta(t, 0.828/1.7320508/2, DeviationPercent("deviation", 10, 2).Standard(), 0.0005)
	assert.InDelta(t, 5, Budget{Scatter("a", 3), Scatter("b", 4)}.Combined(), 1e-12)
	assert.Zero(t, Budget{}.Expanded())
	assert.Zero(t, Contribution{HalfWidth: 1, Sensitivity: 1}.Standard())
}
