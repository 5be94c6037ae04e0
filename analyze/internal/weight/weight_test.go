package weight

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// table reads two columns of a table of published values.
func table(t *testing.T, name, x, y string) (xs, ys []float64) {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	column := map[string]int{}
	for i, h := range rows[0] {
		column[h] = i
	}
	require.Contains(t, column, x)
	require.Contains(t, column, y)
	for _, r := range rows[1:] {
		a, err := strconv.ParseFloat(r[column[x]], 64)
		require.NoError(t, err)
		b, err := strconv.ParseFloat(r[column[y]], 64)
		require.NoError(t, err)
		xs, ys = append(xs, a), append(ys, b)
	}
	return xs, ys
}

func TestPublishedTables(t *testing.T) {
	for _, c := range []struct {
		name, file, x, y string
		curve            Curve
		rows             int
		within           float64 // dB
	}{
		{"ITU-T O.41 (10/94) table 1", "psophometric_weighting.csv", "freq_hz", "rel_weight_db", Psophometric(), 24, 0.01},
		{"IEEE Std 743-1995 C-message", "c_message_weighting.csv", "freq_hz", "rel_weight_db", CMessage(), 24, 0.01},
		{"IEC 61672-1:2013 A, poles", "a_c_weighting.csv", "exact_hz", "A_db_analytic", A(), 34, 0.01},
		// The printed table is rounded to 0.1 dB.
		{"IEC 61672-1:2013 table 3, A", "a_c_weighting.csv", "exact_hz", "A_db_table", A(), 34, 0.0501},
	} {
		t.Run(c.name, func(t *testing.T) {
			xs, ys := table(t, c.file, c.x, c.y)
			require.Len(t, xs, c.rows)
			for i, hz := range xs {
				assert.InDelta(t, ys[i], c.curve.DB(hz), c.within, "%g Hz", hz)
				assert.InDelta(t, math.Pow(10, ys[i]/10), c.curve.Line(hz), math.Pow(10, ys[i]/10)*(math.Pow(10, c.within/10)-1), "%g Hz", hz)
			}
		})
	}
}

// White noise between two edges through a weighting: the mean of the power
// weight over the band. The figures belong to the published tables, read with
// dB against log frequency between their rows.
var whiteNoise = []struct {
	curve    func() Curve
	low, top float64
	db       float64
}{
	{Psophometric, 300, 3400, -2.51},
	{Psophometric, 300, 3000, -2.12},
	{CMessage, 300, 3400, -1.91},
	{CMessage, 300, 3000, -1.64},
}

func TestWhiteNoiseByIntegration(t *testing.T) {
	for _, c := range whiteNoise {
		const steps = 100000
		sum := 0.0
		for i := range steps {
			hz := c.low + (c.top-c.low)*(float64(i)+0.5)/steps
			sum += math.Pow(10, c.curve().DB(hz)/10) / steps
		}
		assert.InDelta(t, c.db, 10*math.Log10(sum), 0.006, "%g to %g Hz", c.low, c.top)
	}
}

// Between two rows of a table a straight line in dB against log frequency:
// at the geometric mean, the mean of both. Outside, the last slope goes on.
func TestBetweenAndBeyondTheRows(t *testing.T) {
	o := Psophometric()
	assert.InDelta(t, (-21.0-10.6)/2, o.DB(math.Sqrt(200*300)), 1e-9)
	assert.InDelta(t, -43+(-43+36)*math.Log(7000./6000)/math.Log(6000./5000), o.DB(7000), 1e-9)
	assert.InDelta(t, -85+(-63+85)*math.Log(10/16.66)/math.Log(50/16.66), o.DB(10), 1e-9)
	c := CMessage()
	assert.InDelta(t, -28.7+(-28.7+22.3)*math.Log(10000./5000)/math.Log(5000./4500), c.DB(10000), 1e-9)
	for _, w := range []Curve{o, c, A()} {
		assert.True(t, math.IsInf(w.DB(0), -1))
		assert.Zero(t, w.Line(0))
	}
}

func TestFlat(t *testing.T) {
	c := Flat(300, 3400)
	for hz, want := range map[float64]float64{299: 0, 300: 1, 1000: 1, 3400: 1, 3404: 0, 0: 0} {
		assert.Equal(t, want, c.Line(hz), "%g Hz", hz)
	}
	// A line on the edge stays inside with a sound card's clock 100 ppm off.
	assert.Equal(t, 1.0, c.Line(300*(1-100e-6)))
	assert.Equal(t, 1.0, c.Line(3400*(1+100e-6)))
}

// The grid of bins holds the curve bin for bin, and leaves out only what weighs nothing.
func TestOnBins(t *testing.T) {
	for name, c := range map[string]Curve{"flat": Flat(300, 3400), "o41": Psophometric(), "c": CMessage(), "a": A()} {
		for _, step := range []float64{0.1, 1.7, 50} {
			last := int(8000 / step)
			b := c.OnBins(step, last)
			assert.Equal(t, b, c.OnBins(step, last), name)
			left := 0.0
			for k := 1; k <= last; k++ {
				want := math.Pow(10, c.DB(float64(k)*step)/10)
				if i := k - b.First; i >= 0 && i < len(b.W) {
					if math.Abs(want-b.W[i]) > 1e-12 {
						t.Fatalf("%s: bin %d of %g Hz weighs %g, want %g", name, k, step, b.W[i], want)
					}
				} else {
					left = math.Max(left, want)
				}
			}
			assert.LessOrEqual(t, left, 1e-6, name) // 60 dB down
		}
	}
	assert.Empty(t, Flat(3000, 3400).OnBins(1, 2000).W)
}
