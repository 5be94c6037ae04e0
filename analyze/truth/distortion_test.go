package truth_test

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// harmonicSet is a fundamental with harmonics 10, 5 and 2 % of it: THD
// sqrt(.01+.0025+.0004) = 11.3578 %, and SINAD with all of them in the band.
func harmonicSet(n int) float64 { return []float64{0, 1, 0.1, 0.05, 0.02}[min(n, 5)%5] }

func TestHarmonicsOfKnownSize(t *testing.T) {
	thd := figure(t, "set_1_0.1_0.05_0.02_THD_F_pct")
	sinad := figure(t, "set_SINAD_dB")
	require.InDelta(t, 11.3578, thd, 1e-4)
	require.InDelta(t, 18.950, sinad, 1e-3)
	for _, rate := range rates {
		for _, hz := range []float64{300, 412.34, 711.1, 887.7} { // 4 x 887.7 Hz lies below 0.45 of 8 kHz
			s := silence(rate, 0.8)
			for n := 1; n <= 4; n++ {
				s.tone(0.5*harmonicSet(n), float64(n)*hz, float64(n*n))
			}
			how := wide
			how.ToneHz = hz
			m := s.measure(t, how)
			name := fmt.Sprintf("%d Hz, %g Hz", rate, hz)
			assert.InDelta(t, thd, value(t, m, analyze.THD), 0.001, name)
			assert.InDelta(t, sinad, value(t, m, analyze.SINAD), 0.001, name)
			assert.InDelta(t, 100*math.Pow(10, -sinad/20), value(t, m, analyze.THDN), 0.001, name)
			assert.InDelta(t, db(0.25*(1+.01+.0025+.0004)), value(t, m, analyze.Level), 0.01, name)
			p := percents(m)
			for n := 2; n <= 4; n++ {
				assert.InDelta(t, 100*harmonicSet(n), p[n], 0.001, "%s: harmonic %d", name, n)
			}
			assert.Len(t, p, min(10, int(0.45*float64(rate)/hz))-1, name)
		}
	}
}

// With the speech band, harmonics above 3400 Hz are no part of N+D, but of the THD.
func TestFilteredSINADAndUnfilteredTHD(t *testing.T) {
	s := silence(48000, 1)
	for n := 1; n <= 4; n++ {
		s.tone(0.5*harmonicSet(n), 1000*float64(n), 0)
	}
	m := s.measure(t, job.Reading{})
	assert.InDelta(t, figure(t, "set_1_0.1_0.05_0.02_THD_F_pct"), value(t, m, analyze.THD), 0.001)
	assert.InDelta(t, db((1+.01+.0025)/(.01+.0025)), value(t, m, analyze.SINAD), 0.001)
}

func square(n int) float64 { return float64(n%2) / float64(n) }

func triangle(n int) float64 {
	if n%2 == 0 {
		return 0
	}
	return math.Pow(-1, float64(n/2)) / float64(n*n)
}

// rss is the root of the summed squares of harmonics 2 to last over the first, in percent.
func rss(b func(int) float64, last int) float64 {
	sum := 0.0
	for n := 2; n <= last; n++ {
		sum += b(n) * b(n)
	}
	return 100 * math.Sqrt(sum) / math.Abs(b(1))
}

// Square and triangle from their Fourier series, no alias among them. Of the
// harmonics, those to the 10th below 0.45 of the sample rate count.
func TestSquareAndTriangle(t *testing.T) {
	for _, c := range []struct {
		rate  int
		hz    float64
		last  int    // highest harmonic that counts
		table string // suffix in the table of closed forms
	}{
		{8000, 1000, 3, "to_3"},
		{12000, 1000.7, 5, "to_5"},
		{44100, 1001.3, 10, ""},
		{48000, 1000, 10, ""},
		{96000, 2999.9, 10, ""},
		{96000, 300.03, 10, ""},
	} {
		for name, b := range map[string]func(int) float64{"square": square, "triangle": triangle} {
			want := rss(b, c.last)
			if c.table != "" {
				require.InDelta(t, figure(t, name+"_THD_F_pct_harmonics_"+c.table), want, 1e-9)
			}
			m := silence(c.rate, 0.6).series(0.6, c.hz, b).measure(t, job.Reading{ToneHz: c.hz, Filter: job.Filter{Name: job.Wide}})
			assert.InDelta(t, want, value(t, m, analyze.THD), 0.01, "%s at %d Hz", name, c.rate)
			for n, p := range percents(m) {
				assert.InDelta(t, 100*math.Abs(b(n)/b(1)), p, 0.01, "%s at %d Hz, harmonic %d", name, c.rate, n)
			}
		}
	}
}

// All harmonics that fit in the wide band: the whole series' THD and SINAD are
// those of the table, less the tail above the band.
func TestWideSINADOfASquare(t *testing.T) {
	in := 0.0
	for n := 3; float64(n)*300.07 <= 20000; n++ {
		in += square(n) * square(n)
	}
	s := silence(96000, 0.3).series(0.6, 300.07, square)
	how := wide
	how.ToneHz = 300
	assert.InDelta(t, db((1+in)/in), value(t, s.measure(t, how), analyze.SINAD), 0.005)
}

// clipped gives the harmonics of a unit sine clipped at +-c: with th = asin c,
// b1 = 4/pi (th/2 - sin(2 th)/4 + c cos th), and for odd n >= 3
// bn = 4/pi (sin((n-1)th)/2(n-1) - sin((n+1)th)/2(n+1) + c cos(n th)/n).
func clipped(c float64) func(int) float64 {
	th := math.Asin(c)
	return func(order int) float64 {
		n := float64(order)
		switch {
		case order%2 == 0:
			return 0
		case order == 1:
			return 4 / math.Pi * (th/2 - math.Sin(2*th)/4 + c*math.Cos(th))
		}
		return 4 / math.Pi * (math.Sin((n-1)*th)/2/(n-1) - math.Sin((n+1)*th)/2/(n+1) + c*math.Cos(n*th)/n)
	}
}

var harmonicNote = regexp.MustCompile(`b(\d)/b1=(-?[0-9.]+)`)

func TestClippedSines(t *testing.T) {
	checked := 0
	for _, row := range reference(t, "thd_sinad.csv") {
		level, ok := strings.CutPrefix(row["item"], "clip_")
		if !ok || !strings.HasSuffix(level, "_THD_F_pct") {
			continue
		}
		c, err := strconv.ParseFloat(strings.TrimSuffix(level, "_THD_F_pct"), 64)
		require.NoError(t, err)
		b := clipped(c)
		m := silence(48000, 0.4).series(0.7, 300.3, b).measure(t, job.Reading{ToneHz: 300, Filter: job.Filter{Name: job.Wide}})
		p := percents(m)
		squares := 0.0
		for _, h := range harmonicNote.FindAllStringSubmatch(row["formula_or_note"], -1) {
			n, _ := strconv.Atoi(h[1])
			want, err := strconv.ParseFloat(h[2], 64)
			require.NoError(t, err)
			squares += want * want
			assert.InDelta(t, 100*math.Abs(want), p[n], 0.005, "clipped at %g, harmonic %d", c, n)
		}
		require.Positive(t, squares)
		assert.InDelta(t, 100*math.Sqrt(squares), value(t, m, analyze.THD), 0.005, "clipped at %g", c)
		// The band ends at 20 kHz, the 66th harmonic: the table's SINAD counts all of
		// them, and a clipped sine's fall off as 1/n^2.
		tail := 0.0
		for n := 67; n < 20000; n++ {
			tail += b(n) * b(n) / b(1) / b(1)
		}
		sinad := figure(t, strings.TrimSuffix(row["item"], "THD_F_pct")+"SINAD_dB_noiseless")
		all := 1 / (math.Pow(10, sinad/10) - 1)
		in := all - tail
		assert.InDelta(t, db((1+in)/in), value(t, m, analyze.SINAD), 0.005, "clipped at %g", c)
		assert.InDelta(t, sinad, value(t, m, analyze.SINAD), 0.05, "clipped at %g", c)
		checked++
	}
	assert.Equal(t, 7, checked)
}

// A clipper at work on samples, as a sound card has it, with a tone at which no
// alias falls on a harmonic: THD by the same closed form.
func TestClippedSamples(t *testing.T) {
	b := clipped(0.8)
	s := silence(96000, 0.5).tone(1, 1003.7, 0).each(func(_ int, x float64) float64 { return math.Max(-0.8, math.Min(0.8, x)) })
	m := s.measure(t, job.Reading{})
	assert.InDelta(t, rss(b, 10), value(t, m, analyze.THD), 0.01)
	assert.InDelta(t, 20*math.Log10(0.8), value(t, m, analyze.Peak), 1e-9)
}

// Quantisers of 8 to 16 bits under a full-scale sine: all their noise, from 0
// to half the sample rate.
func TestQuantisers(t *testing.T) {
	const n, cycles, rate = 1 << 18, 26183, 48000 // the cycles share no factor with n
	hz := float64(cycles) / n * rate
	for bits := 8; bits <= 16; bits += 2 {
		half := math.Pow(2, float64(bits-1))
		s := signal{rate: rate, x: make([]float64, n)}
		s.tone(half-0.5, hz, 0.3).each(func(_ int, x float64) float64 { return (math.Floor(x) + 0.5) / half })
		m := s.measure(t, job.Reading{ToneHz: hz, Filter: job.Filter{Name: job.Band, Low: 0, High: rate / 2}})
		name := fmt.Sprintf("quantiser_%dbit_", bits)
		assert.InDelta(t, figure(t, name+"SINAD_dB_sim"), value(t, m, analyze.SINAD), 0.03, "%d bits, against a simulation at another frequency", bits)
		assert.InDelta(t, figure(t, name+"ideal_dB"), value(t, m, analyze.SINAD), 0.1, "%d bits, against 6.02 N + 1.76 dB", bits)
	}
}

// SINAD and THD+N are two words for one ratio; a line that is no harmonic makes it exact.
func TestSINADAndTHDN(t *testing.T) {
	checked := 0
	for _, row := range reference(t, "thd_sinad.csv") {
		text, ok := strings.CutSuffix(row["item"], "_dB_to_ND_over_total_pct")
		if !ok {
			continue
		}
		sinad, err := strconv.ParseFloat(strings.TrimPrefix(text, "SINAD_"), 64)
		require.NoError(t, err)
		nd := 1 / (math.Pow(10, sinad/10) - 1)
		s := silence(16000, 1).tone(0.3, 1000.4, 0).tone(0.3*math.Sqrt(nd), 1777.7, 1)
		m := s.measure(t, job.Reading{})
		assert.InDelta(t, sinad, value(t, m, analyze.SINAD), 0.002)
		assert.InEpsilon(t, number(t, row, "value"), value(t, m, analyze.THDN), 3e-4)
		checked++
	}
	assert.Equal(t, 12, checked)
}
