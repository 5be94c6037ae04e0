package audio_test

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/internal/audio"
)

func table(t *testing.T, name string) []map[string]float64 {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]float64
	for _, r := range rows[1:] {
		m := map[string]float64{}
		for i, h := range rows[0] {
			if v, err := strconv.ParseFloat(r[i], 64); err == nil {
				m[h] = v
			}
		}
		out = append(out, m)
	}
	require.NotEmpty(t, out)
	return out
}

// De-emphasis as computed outside the project from 1/f and 1/sqrt(1+(2 pi f tau)^2).
func TestEmphasisCurves(t *testing.T) {
	for _, row := range table(t, "deemphasis.csv") {
		hz := row["freq_hz"]
		assert.InDelta(t, row["ideal_6dB_oct_re1k"], -audio.SixDB(hz), 6e-4)
		assert.InDelta(t, row["tau750us_re1k"], -audio.TimeConstant(750e-6)(hz), 6e-4)
		assert.InDelta(t, row["tau530us_re1k"], -audio.TimeConstant(530e-6)(hz), 6e-4)
		assert.InDelta(t, row["tau75us_re1k"], -audio.TimeConstant(75e-6)(hz), 6e-4)
		assert.InDelta(t, row["tau50us_re1k"], -audio.TimeConstant(50e-6)(hz), 6e-4)
	}
}

// A straight line has its own slope, whatever points it is seen at, and the mean
// over a band is that at its middle; a straight line falls 3 dB where it says.
func TestShapesOfAStraightLine(t *testing.T) {
	for _, hz := range [][]float64{
		{300, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3000, 3150, 3400},
		{305, 900, 1100, 1150, 2985, 3400},
	} {
		dB := make([]float64, len(hz))
		for i, f := range hz {
			dB[i] = 4 - 2.5*math.Log2(f/1000)
		}
		assert.InDelta(t, -2.5, audio.Tilt(hz, 300, 3000).Of(dB), 1e-9)
		assert.InDelta(t, 4, audio.AtReference(hz, 1).Of(dB), 1e-9)
		for _, b := range [][2]float64{{600, 1200}, {1200, 2400}} {
			assert.InDelta(t, 4-2.5*math.Log2(math.Sqrt(b[0]*b[1])/1000), audio.Mean(hz, b[0], b[1]).Of(dB), 1e-9)
		}
		for i := range dB {
			dB[i] -= 4
		}
		low, high := audio.Edges(hz, dB, -3)
		assert.Zero(t, low)
		assert.InEpsilon(t, 1000*math.Pow(2, 3/2.5), high, 1e-9)
	}
	assert.Nil(t, audio.Tilt([]float64{500, 1000, 1900}, 300, 3000), "less than two octaves")
	assert.Nil(t, audio.Mean([]float64{500, 1000, 1900}, 300, 600))
	assert.Nil(t, audio.AtReference([]float64{1300, 2000}, 1))
}

func tone(n int, rate, hz, a, sigma float64, r *rand.Rand) []float64 {
	x := make([]float64, n)
	p := 2 * math.Pi * r.Float64()
	for i := range x {
		x[i] = a*math.Sin(2*math.Pi*math.Mod(hz*float64(i)/rate, 1)+p) + sigma*r.NormFloat64()
	}
	return x
}

// The scatter of a line's level is what it says: of 600 tones in white noise,
// their errors over their own standard deviations have the spread of 1.
func TestLineScattersAsItSays(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	var sum, square float64
	const runs = 300
	for range runs {
		hz := 300 + 2700*r.Float64()
		l := audio.NewStretch(tone(4000, 8000, hz, 0.1, 0.05, r), 8000).Near(hz, 6)
		assert.True(t, l.Counts())
		assert.InDelta(t, hz, l.Hz, 0.3)
		z := (l.DB() - 10*math.Log10(0.005)) / l.SD()
		sum, square = sum+z/runs, square+z*z/runs
	}
	assert.InDelta(t, 0, sum, 0.15)
	assert.InDelta(t, 1, math.Sqrt(square), 0.123) // 3 standard deviations of a spread from 300
}

// Each plateau is found where it is; in noise there is none.
func TestPlateaus(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	const rate = 8000
	var x []float64
	tones := []float64{300, 315, 400, 1000, 3150, 1000}
	for _, hz := range tones {
		x = append(x, tone(rate*6/10, rate, hz, 0.1, 0.03, r)...)
	}
	f := audio.NewFinder(rate)
	f.Add(x[:1234])
	f.Add(x[1234:])
	got := f.Plateaus()
	require.Len(t, got, len(tones))
	for i, p := range got {
		assert.InDelta(t, tones[i], p.Hz, 5)
		assert.GreaterOrEqual(t, p.From, i*rate*6/10-10)
		assert.LessOrEqual(t, p.To, (i+1)*rate*6/10+10)
		assert.Greater(t, p.To-p.From, rate*4/10)
	}
	f = audio.NewFinder(rate)
	f.Add(tone(20*rate, rate, 1000, 0, 0.1, r))
	assert.Empty(t, f.Plateaus())
}

var sweep = audio.Sweep{LowHz: 100, HighHz: 3600, Seconds: 4.48}

func init() { // f1 L is a whole number
	l := math.Round(sweep.LowHz*sweep.Seconds/math.Log(sweep.HighHz/sweep.LowHz)) / sweep.LowHz
	sweep.Seconds = l * math.Log(sweep.HighHz/sweep.LowHz)
}

// swept is a recording of the sweep, lead seconds of silence around it, with a
// clock fast by ppm, through f.
func swept(rate, lead, ppm float64, f func(v float64) float64) []float64 {
	l := sweep.Seconds / math.Log(sweep.HighHz/sweep.LowHz)
	x := make([]float64, int((sweep.Seconds+2*lead)*rate))
	for i := range x {
		t := (float64(i)/rate - lead) * (1 + ppm*1e-6)
		if t >= 0 && t <= sweep.Seconds {
			x[i] = f(math.Sin(2 * math.Pi * math.Mod(sweep.LowHz*l*math.Expm1(t/l), 1)))
		}
	}
	return x
}

// x + 0.1 x^2 + 0.1 x^3 of a unit sine holds a fundamental of 1 + 3/4 0.1 = 1.075,
// a second harmonic of 0.1/2 = 0.05 and a third of 0.1/4 = 0.025 (power-reduction
// identities), whatever the clock and wherever the sweep begins.
func TestSweepTellsHarmonics(t *testing.T) {
	const rate = 24000
	for _, c := range []struct{ lead, ppm float64 }{{0.123, 200}, {1.7, -200}} {
		x := swept(rate, c.lead, c.ppm, func(v float64) float64 { return v + 0.1*v*v + 0.1*v*v*v })
		w, part, whole, ok := audio.FindSweep(x, rate, sweep)
		require.True(t, ok && whole)
		assert.Greater(t, part, 0.9)
		for _, hz := range []float64{320, 400, 500, 1000, 1700, 2500, 3000} {
			one := math.Sqrt(2 * w.At(hz).Power)
			assert.InDelta(t, 1.075, one, 0.002, "%g Hz, %+v", hz, c)
			assert.InDelta(t, 0.05, math.Sqrt(2*w.Harmonic(hz, 2).Power), 0.0005, "%g Hz, %+v", hz, c)
			assert.InDelta(t, 0.025, math.Sqrt(2*w.Harmonic(hz, 3).Power), 0.0005, "%g Hz, %+v", hz, c)
			assert.Less(t, math.Sqrt(2*w.Harmonic(hz, 4).Power), 0.0005, "%g Hz, %+v", hz, c)
		}
	}
}

// A sweep that is cut off is told from one that is not there.
func TestSweepThatIsNotWhole(t *testing.T) {
	x := swept(8000, 0.4, 0, func(v float64) float64 { return v })
	_, _, whole, ok := audio.FindSweep(x[:len(x)*3/4], 8000, sweep)
	assert.True(t, ok)
	assert.False(t, whole)
	_, _, whole, ok = audio.FindSweep(x[len(x)/4:], 8000, sweep)
	assert.True(t, ok)
	assert.False(t, whole)
	r := rand.New(rand.NewPCG(3, 3))
	_, part, _, ok := audio.FindSweep(tone(8*8000, 8000, 1000, 0, 0.1, r), 8000, sweep)
	assert.False(t, ok)
	assert.Less(t, part, 0.1)
	_, part, _, ok = audio.FindSweep(tone(8*8000, 8000, 1000, 0.1, 0.01, r), 8000, sweep)
	assert.False(t, ok)
	assert.Less(t, part, 0.1)
}

// The error of the response that a sweep gives has the spread that it says.
func TestSweepScattersAsItSays(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	clean := swept(8000, 0.5, 0, func(v float64) float64 { return 0.3 * v })
	square, n := 0.0, 0.0
	x := make([]float64, len(clean))
	for range 6 {
		for i, v := range clean {
			x[i] = v + 0.05*r.NormFloat64()
		}
		w, _, whole, ok := audio.FindSweep(x, 8000, sweep)
		require.True(t, ok && whole)
		for _, hz := range []float64{320, 360, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3000} {
			l := w.At(hz)
			z := (l.DB() - 10*math.Log10(0.045)) / l.SD()
			square, n = square+z*z, n+1
		}
	}
	assert.InDelta(t, 1, math.Sqrt(square/n), 0.25)
}
