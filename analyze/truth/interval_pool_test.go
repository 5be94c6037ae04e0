package truth_test

import (
	"fmt"
	"math"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
)

// intervalRate is the sample rate of the bulk runs: it holds the speech band and
// the harmonics, and simulates three times as fast as 48 kHz.
const intervalRate = 16000

// truthSeconds is a length in which 1 kHz, its harmonics and the mains lines make
// whole cycles, so that each stands in one bin of a plain transform.
const truthSeconds = 10

// bulk are readings of recordings of one source, by their length in seconds.
type bulk struct {
	name         string
	clicks       float64 // a second
	ms, unstated map[float64][]analyze.Measured
	truth        map[string]float64
	hum          [5]float64 // mean square of the lines of 50 to 200 Hz, by order
}

// invented is a receiver of an ideal IF filter of 12 kHz without distortion or
// hum, whose generator has 3 kHz of deviation: many clicks at little noise.
func invented() simulate.FM {
	r := simulate.Healthy27MHzFM()
	r.Name, r.IFBandwidthHz, r.IFPoles, r.StandardDeviationHz = "12 kHz FM set", 12000, 0, 3000
	r.Audio.SecondPercent, r.Audio.ThirdPercent, r.Audio.Hum = 0, 0, simulate.Hum{}
	return r
}

// benchOf has its clock set right, so that the truth is found without a fit.
func benchOf(set simulate.FM, seed uint64) simulate.Bench {
	b := simulate.Bench{Generator: simulate.Generator{ToneHz: 1000, DeviationHz: set.StandardDeviationHz}, Set: set, Card: simulate.PlainCard(), Seed: seed}
	b.Card.Rate, b.Card.RateErrorPPM = intervalRate, 0
	return b
}

// source makes recording i of that many seconds, each with noise of its own.
type source struct {
	name   string
	how    job.Reading
	take   func(i int, seconds float64) []float64
	clicks float64 // a second, by Rice's formula
}

// received is a simulated set at the level that gives about that SINAD.
func received(t testing.TB, name string, b simulate.Bench, sinad float64) source {
	t.Helper()
	at, err := b.Sensitivity(sinad, simulate.Band(300, 3400), 40)
	require.NoError(t, err)
	return receivedAt(fmt.Sprintf("%s, %g dB", name, sinad), b.WithSeed(b.Seed+uint64(1000*sinad)), at.Value)
}

// receivedAt is a simulated set at a level at its aerial socket.
func receivedAt(name string, b simulate.Bench, dBm float64) source {
	take := func(i int, seconds float64) []float64 {
		return b.WithSeed(b.Seed+uint64(i)<<32).Take(dBm+b.Generator.PadDB, seconds)
	}
	set := b.Set.(simulate.FM)
	rate := simulate.ModulatedClickRate(0, b.Generator.DeviationHz, set.IFBandwidthHz/(2*math.Sqrt(3)), math.Pow(10, set.CNRdB(dBm)/10))
	return source{name: name, how: job.Reading{Deviation: b.Generator.DeviationHz}, take: take, clicks: rate}
}

// gaussian is a tone in flat Gaussian noise, with a second harmonic of 1 % and hum.
func gaussian(sinad float64) source {
	nd := 0.02 / (math.Pow(10, sinad/10) - 1)
	return source{name: fmt.Sprintf("Gaussian, %g dB", sinad), how: job.Reading{Mode: job.SSB}, take: func(i int, seconds float64) []float64 {
		r := seeded(uint64(i)<<20 + uint64(1000*sinad))
		s := silence(intervalRate, seconds).tone(0.2, 1000, 2*math.Pi*r.Float64()).tone(0.002, 2000, 1).tone(0.02, 50, 2).offset(0.001)
		x := noise(r, intervalRate, len(s.x), between(0, 3800))
		return s.add(times(math.Sqrt(nd*3800/3100), x)).x
	}, clicks: 0}
}

// measured makes n recordings of that many seconds, a multiple of truthSeconds, and
// measures of each as many parts of other lengths as asked for. Only readings are kept.
func (s source) measured(t testing.TB, n int, seconds float64, parts ...parts) *bulk {
	t.Helper()
	p := &bulk{name: s.name, clicks: s.clicks, ms: map[float64][]analyze.Measured{}, unstated: map[float64][]analyze.Measured{}}
	for _, c := range parts {
		p.ms[c.seconds] = make([]analyze.Measured, min(n, c.of)*c.each)
		p.unstated[c.seconds] = make([]analyze.Measured, len(p.ms[c.seconds]))
	}
	sums := make([]truthSums, n)
	parallel(n, func(i int) {
		x := s.take(i, seconds)
		sums[i] = truthOf(x)
		for _, c := range parts {
			for k := range c.each {
				if i >= c.of {
					break
				}
				from, length := k*(len(x)/c.each), int(c.seconds*intervalRate)
				var err error
				r := capture.FromSamples(s.name, intervalRate, x[from:from+length])
				p.ms[c.seconds][i*c.each+k], err = reading.Measure(r, s.how)
				if assert.NoError(t, err) && c.unstated {
					p.unstated[c.seconds][i*c.each+k], err = reading.Measure(r, job.Reading{})
					assert.NoError(t, err)
				}
			}
		}
	})
	p.findTruth(sums)
	return p
}

// parts are what is cut out of each of the first so many recordings.
type parts struct {
	seconds  float64
	each, of int
	unstated bool // also as FM whose deviation nobody stated
}

// parallel runs f for 0 to n-1 on all cores.
func parallel(n int, f func(i int)) {
	var wg sync.WaitGroup
	cores := runtime.GOMAXPROCS(0)
	for w := range cores {
		wg.Go(func() {
			for i := w; i < n; i += cores {
				f(i)
			}
		})
	}
	wg.Wait()
}

// truthSums are summed mean squares of pieces in which every line makes whole cycles.
type truthSums struct {
	all, tone, harmonics, inner, band, dc float64
	hum                                   [5]float64
	pieces                                int
}

// plans are transforms of a piece, kept because a plan costs more than its use.
var plans = sync.Pool{New: func() any { return fourier.NewFFT(truthSeconds * intervalRate) }}

// truthOf reads a recording by a plain transform (gonum's).
func truthOf(x []float64) (a truthSums) {
	const n = truthSeconds * intervalRate
	fft, coef := plans.Get().(*fourier.FFT), make([]complex128, n/2+1)
	defer plans.Put(fft)
	for ; len(x) >= n; x = x[n:] {
		coef = fft.Coefficients(coef, x[:n])
		power := func(k int) float64 { return 2 * (real(coef[k])*real(coef[k]) + imag(coef[k])*imag(coef[k])) / (n * n) }
		line := func(hz int) float64 { // less the noise beside it
			k, near := hz*truthSeconds, 0.0
			for d := 1; d <= 40; d++ {
				near += (power(k-d) + power(k+d)) / 80
			}
			return power(k) - near
		}
		a.pieces++
		a.dc += real(coef[0]) / n
		for k := 1; k < len(coef); k++ {
			a.all += power(k)
			if k >= 300*truthSeconds && k <= 3400*truthSeconds {
				a.band += power(k)
			}
		}
		a.tone += line(1000)
		for h := 2000; h <= 7000; h += 1000 {
			l := line(h)
			a.harmonics += l
			if h < 3400 {
				a.inner += l
			}
		}
		for h := 50; h <= 200; h += 50 {
			a.hum[h/50] += line(h)
		}
	}
	return a
}

// findTruth is what all recordings together say: mean powers, then ratios.
func (p *bulk) findTruth(of []truthSums) {
	var s truthSums
	for _, a := range of {
		s.all, s.tone, s.harmonics, s.inner = s.all+a.all, s.tone+a.tone, s.harmonics+a.harmonics, s.inner+a.inner
		s.band, s.dc, s.pieces = s.band+a.band, s.dc+a.dc, s.pieces+a.pieces
		for i, h := range a.hum {
			s.hum[i] += h
		}
	}
	k := float64(s.pieces)
	nd := s.band - s.tone
	p.truth = map[string]float64{
		analyze.Level: db(2 * s.all / k), analyze.ToneLevel: db(2 * s.tone / k), analyze.ToneFrequency: 1000,
		analyze.SINAD: db(s.band / nd), analyze.THDN: 100 * math.Sqrt(nd/s.band), analyze.THD: 100 * math.Sqrt(math.Max(0, s.harmonics)/s.tone),
		analyze.SNR: db(s.tone / (nd - s.inner)), analyze.NoiseLevel: db(2 * (nd - s.inner) / k),
		analyze.DCOffset: s.dc / k,
	}
	for i, h := range s.hum {
		p.hum[i] = h / k
	}
}

// coverage counts where the truth lay.
type coverage struct {
	n, inside, under, over, none int // under: the truth lay below the interval
	width, off, square           float64
}

// count adds a reading whose interval is narrowed to that share of its width.
func (c *coverage) count(r analyze.Reading, truth, narrow float64) {
	if !r.HasInterval() {
		c.none++
		return
	}
	low, high := r.Value-narrow*(r.Value-r.Low), r.Value+narrow*(r.High-r.Value)
	switch {
	case truth < low:
		c.under++
	case truth > high:
		c.over++
	default:
		c.inside++
	}
	c.n++
	c.width += (r.High - r.Low) / 2
	c.off += r.Value - truth
	c.square += (r.Value - truth) * (r.Value - truth)
}

func (c *coverage) share() float64 { return float64(c.inside) / float64(c.n) }

func (c *coverage) String() string {
	n := float64(c.n)
	return fmt.Sprintf("n %5d  inside %5.1f %%  below %4.1f  above %4.1f  none %4d  half width %.4f  bias %+.4f  rms %.4f", c.n, 100*c.share(),
		100*float64(c.under)/n, 100*float64(c.over)/n, c.none, c.width/n, c.off/n, math.Sqrt(c.square/n))
}

// covered counts for one reading.
func (p *bulk) covered(ms []analyze.Measured, name string, narrow float64) *coverage {
	c := new(coverage)
	for _, m := range ms {
		truth := p.truth[name]
		if name == analyze.HumLevel {
			all := 0.0
			for _, h := range p.hum {
				all += h
			}
			truth = db(2 * all)
		}
		c.count(m.Get(name), truth, narrow)
	}
	return c
}
