package truth_test

import (
	"encoding/csv"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Properties are tried on the same values every time; -rapid.seed tries others.
func init() { must(flag.Set("rapid.seed", "1")) }

func must(err error) {
	if err != nil {
		panic(err)
	}
}

var rates = []int{8000, 44100, 48000, 96000}

var wide = job.Reading{Filter: job.Filter{Name: job.Wide}}

func long() bool { return os.Getenv("HISSPOINT_LONG") == "1" }

// signal is sound under construction.
type signal struct {
	rate int
	x    []float64
}

func silence(rate int, seconds float64) signal {
	return signal{rate: rate, x: make([]float64, int(math.Round(seconds*float64(rate))))}
}

// tone adds a sin(2 pi hz t + phase).
func (s signal) tone(a, hz, phase float64) signal {
	for i := range s.x {
		cycles := hz * float64(i) / float64(s.rate)
		s.x[i] += a * math.Sin(2*math.Pi*(cycles-math.Floor(cycles))+phase)
	}
	return s
}

// series adds harmonics of hz below half the sample rate: b(n) sin(n w t).
func (s signal) series(a, hz float64, b func(n int) float64) signal {
	for n := 1; float64(n)*hz < 0.499*float64(s.rate); n++ {
		if v := b(n); v != 0 {
			s.tone(a*v, float64(n)*hz, 0)
		}
	}
	return s
}

func (s signal) offset(v float64) signal {
	return s.each(func(_ int, x float64) float64 { return x + v })
}

func (s signal) each(f func(i int, x float64) float64) signal {
	for i, v := range s.x {
		s.x[i] = f(i, v)
	}
	return s
}

func (s signal) add(x []float64) signal {
	return s.each(func(i int, v float64) float64 { return v + x[i] })
}

// power is the mean square.
func power(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum / float64(len(x))
}

func (s signal) measure(t testing.TB, how job.Reading) analyze.Measured {
	t.Helper()
	m, err := reading.Measure(capture.FromSamples("x.wav", s.rate, s.x), how)
	require.NoError(t, err)
	healthy(t, m)
	return m
}

// healthy checks what every measured recording must keep to: no number that is
// none, every interval around its value.
func healthy(t testing.TB, m analyze.Measured) {
	t.Helper()
	finite := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	for _, r := range m.Readings {
		require.True(t, finite(r.Value) && finite(r.Low) && finite(r.High), "%+v", r)
		require.NotEmpty(t, r.Unit, "%+v", r)
		if r.HasInterval() {
			require.True(t, r.Low <= r.Value && r.Value <= r.High, "%+v", r)
		}
	}
	for _, h := range m.Harmonics {
		require.True(t, finite(h.Percent), "%+v", h)
	}
}

// value is a reading that must be there.
func value(t testing.TB, m analyze.Measured, name string) float64 {
	t.Helper()
	r := m.Get(name)
	require.Empty(t, r.Why, name)
	return r.Value
}

func percents(m analyze.Measured) map[int]float64 {
	out := map[int]float64{}
	for _, h := range m.Harmonics {
		out[h.Order] = h.Percent
	}
	return out
}

func db(powerRatio float64) float64 { return 10 * math.Log10(powerRatio) }

var libraryPlans sync.Map // int -> *sync.Pool of *fourier.FFT

// libraryPlan is gonum's transform of a length, kept because a plan costs as much as
// its use.
func libraryPlan(n int) (f *fourier.FFT, done func()) {
	pool, ok := libraryPlans.Load(n)
	if !ok {
		pool, _ = libraryPlans.LoadOrStore(n, &sync.Pool{New: func() any { return fourier.NewFFT(n) }})
	}
	f = pool.(*sync.Pool).Get().(*fourier.FFT)
	return f, func() { pool.(*sync.Pool).Put(f) }
}

// noise is Gaussian noise of unit power whose density follows shape over
// frequency; it repeats after n samples.
func noise(r *rand.Rand, rate, n int, shape func(hz float64) float64) []float64 {
	f, done := libraryPlan(n)
	defer done()
	c := make([]complex128, n/2+1)
	sum := 0.0
	for k := 1; k < (n+1)/2; k++ {
		w := shape(float64(k) * float64(rate) / float64(n))
		c[k] = complex(math.Sqrt(w/2)*r.NormFloat64(), math.Sqrt(w/2)*r.NormFloat64())
		sum += w
	}
	x := f.Sequence(nil, c)
	scale := 1 / math.Sqrt(2*sum)
	for i := range x {
		x[i] *= scale
	}
	return x
}

// between is flat noise from low to high Hz.
func between(low, high float64) func(float64) float64 {
	return func(hz float64) float64 {
		if hz >= low && hz <= high {
			return 1
		}
		return 0
	}
}

func times(k float64, x []float64) []float64 {
	for i := range x {
		x[i] *= k
	}
	return x
}

func seeded(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0x5ee)) }

// reference reads a table of values from outside the project.
func reference(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	require.NotEmpty(t, out)
	return out
}

func number(t testing.TB, row map[string]string, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[column], 64)
	require.NoError(t, err, column)
	return v
}

// figure is the value of an item in the table of closed forms.
func figure(t testing.TB, item string) float64 {
	t.Helper()
	for _, r := range reference(t, "thd_sinad.csv") {
		if r["item"] == item {
			return number(t, r, "value")
		}
	}
	t.Fatalf("no %s in the table", item)
	return 0
}

func codes(m analyze.Measured) []string {
	var out []string
	for _, w := range m.Warnings {
		out = append(out, string(w.Code))
	}
	return out
}

// noSINAD checks that nothing that only a tone has was read off.
func noSINAD(t testing.TB, m analyze.Measured, what string) {
	t.Helper()
	for _, name := range []string{analyze.ToneFrequency, analyze.ToneLevel, analyze.SINAD, analyze.THD, analyze.THDN, analyze.SNR} {
		r := m.Get(name)
		assert.Equal(t, analyze.WhyNoTone, r.Why, "%s: %s reads %g", what, name, r.Value)
	}
}
