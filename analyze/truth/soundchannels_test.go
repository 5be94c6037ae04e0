package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze/soundness"
	"hisspoint/capture"
)

func TestCompareChannels(t *testing.T) {
	own := func(seed uint64) []float64 {
		return times(0.001, noise(seeded(seed), 8000, 16000, between(50, 3900)))
	}
	tone := func(a float64, seed uint64) []float64 {
		return silence(8000, 2).tone(a, 1000, 0).add(own(seed)).x
	}
	left := tone(0.3, 1)
	for name, c := range map[string]struct {
		channels [][]float64
		want     []string
	}{
		"one":             {[][]float64{left}, nil},
		"both differ":     {[][]float64{left, tone(0.28, 2)}, nil},
		"tone and hiss":   {[][]float64{left, own(3)}, nil},
		"silent":          {[][]float64{left, make([]float64, 16000)}, []string{"channel-silent"}},
		"first is silent": {[][]float64{make([]float64, 16000), left}, []string{"channel-silent"}},
		"nearly silent":   {[][]float64{left, times(1e-5, noise(seeded(4), 8000, 16000, between(50, 3900)))}, []string{"channel-silent"}},
		"same":            {[][]float64{left, left}, []string{"channels-identical"}},
		"inverted":        {[][]float64{left, tone(-0.3, 5)}, []string{"channels-inverted"}},
		"all silent":      {[][]float64{make([]float64, 100), make([]float64, 100)}, []string{"channel-silent"}},
		"three":           {[][]float64{left, tone(0.2, 6), left}, []string{"channels-identical"}},
		"not a number":    {[][]float64{left, {math.NaN()}}, nil},
	} {
		var rs []capture.Recording
		for _, x := range c.channels {
			rs = append(rs, capture.FromSamples("x.wav", 8000, x))
		}
		var got []string
		for _, w := range soundness.CompareChannels(rs) {
			got = append(got, string(w.Code))
		}
		assert.Equal(t, c.want, got, name)
	}
}
