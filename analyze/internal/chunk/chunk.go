// Package chunk turns the samples of one chunk of a recording into sums: tone, hum and
// harmonics fitted and taken out, what is left weighted and summed in blocks; and joins
// the sums of chunks that follow each other. It works on numbers and must not know
// recordings, jobs or readings.
package chunk

import (
	"math"
	"math/cmplx"

	"hisspoint/analyze/internal/beside"
	"hisspoint/analyze/internal/drift"
	"hisspoint/analyze/internal/lines"
	"hisspoint/analyze/internal/mains"
	"hisspoint/analyze/internal/track"
	"hisspoint/analyze/internal/weight"
	"hisspoint/capture/dft"
)

// MaxChunk is how many samples are transformed at once: 10.9 s at 48 kHz. A
// longer recording is cut into equal chunks of at most longChunk, each fitted by
// itself, whose powers add up; so memory does not grow with length.
const (
	MaxChunk  = 1 << 19
	LongChunk = 1 << 18
)

// job of one chunk: what is looked for and through which filter.
type Plan struct {
	Rate     float64
	Curve    weight.Curve
	Expected float64   // Hz, where the tone is looked for
	Spread   float64   // share of expected to each side
	Mains    float64   // 50, 60 or 0 to let the recording decide
	Standard []float64 // sub-audible tones in use, Hz
	Blocks   int       // blocks this chunk is divided into
	Longest  int       // samples a chunk may have; 0: as many as memory allows
	noTone   bool      // do not look for a tone at all
	Hop      float64   // seconds a hop of the track
}

// line is a fitted line with what its surroundings say about it.
type line struct {
	lines.Line
	Hz      float64
	density float64 // noise around it, mean square a hertz
	floor   float64 // mean square that noise alone gives a fitted line: density / seconds
	taken   bool    // out of the spectrum
	cut     float64 // the floor down to which it was taken out
}

// Net is the mean square of the line, less what noise adds to it on average.
func (l line) Net() float64 { return math.Max(0, l.Power()-l.floor) }

// stands tells by how much the line stands above what noise alone gives.
func (l line) stands() float64 {
	if l.floor <= 0 {
		if l.Power() > 0 {
			return math.Inf(1)
		}
		return 0
	}
	return l.Power() / l.floor
}

// Sums are what one chunk of a recording tells. Powers are mean squares.
type Sums struct {
	N         int
	Seconds   float64
	Offset    float64
	OffsetVar float64
	Total     float64 // AC, unfiltered
	Peak      float64
	Tone      line
	Found     bool
	Why       string // why no tone was found, in words
	Skirt     float64
	harmonics []line
	hum       []humLine
	Hum       mains.Family
	Buzz      []mains.Order // its orders above the hum
	underHum  float64       // filtered mean square of noise under the lines of both
	Sub       line          // sub-audible line, hz 0: none
	outside   []line        // other strong lines outside the filter
	Other     line          // clear tone elsewhere, hz 0: none
	Nd        float64       // what is left without the tone, filtered
	LinesVar  float64       // variance of the lines' power within it
	Loose     float64       // mean square, filtered, that hum lines leave because the mains wander
	Noise     float64       // and without harmonics and hum
	Blocks    []Block
	Beside    beside.Densities
	Lifted    float64   // Noise as it was at least, were it nowhere thinner than at the tone
	Top       float64   // density of noise just under half the sample rate, mean square a hertz
	Clicks    []float64 // energy of each noise click: mean square times seconds, filtered
	followed
	moving
}

// Block is one block of a chunk: mean squares, and the tone's mean amplitude.
type Block struct {
	Seconds   float64
	Total     float64
	Amplitude float64
	Nd        float64
	Clicks    float64 // part of nd that comes from clicks
	start     int
}

// Worker measures chunks and keeps its buffers between them.
type Worker struct {
	X      []float64
	coef   []complex128
	band   []complex128
	slow   []float64
	cells  []float64
	turned []complex128
}

// minStand is how far a line must stand above what noise alone would give
// (as power): the largest of 10,000 bins of pure noise stands 13 to 1 or so,
// and passes 30 to 1 once in a thousand million.
const minStand = 30

// Measure sums up the chunk in X. A tone whose frequency moves, or whose phase jumps where
// samples are missing, is measured as the steady one that it would be.
func (w *Worker) Measure(p Plan) Sums {
	n := len(w.X)
	samples := track.Scan(w.X, p.Rate)
	c := w.pass(p, nil)
	c.warbles()
	if moves, ok := c.moves(); ok {
		moves.Straighten(w.X[:n], c.out.Offset)
		w.X = w.X[:n]
		if again := w.pass(p, moves.Slips); again.keeps(moves) {
			again.out.Peak = c.out.Peak
			c = again
		}
	}
	c.out.Samples = samples
	return *c.out
}

// pass measures X as it is, but for the noise beside slips.
func (w *Worker) pass(p Plan, slips []drift.Slip) *chunkWork {
	x := w.X
	n := len(x)
	out := Sums{N: n, Seconds: float64(n) / p.Rate}
	m := dft.Smooth(n)
	w.X = append(w.X, make([]float64, m-n)...)
	w.coef = dft.Forward(w.coef, w.X)
	out.Top = topDensity(w.coef, n, m, p.Rate)
	x = w.X[:n:n] // what lies behind is padding, and other recordings
	s := &lines.Spectrum{R: w.coef[:w.topBin(p, n, m)], N: n, M: m}
	c := &chunkWork{Worker: w, x: x, p: p, s: s, out: &out, slips: slips}
	c.fitOffset()
	c.findTone()
	c.fitHum()
	c.fitHarmonics()
	c.fitBuzz()
	c.fitOutside()
	c.settle()
	c.refit()
	c.settle()
	c.settleHum()
	c.lookBeside()
	c.bandPower()
	c.follow()
	c.timeDomain()
	return c
}

type chunkWork struct {
	*Worker
	x     []float64
	p     Plan
	s     *lines.Spectrum
	out   *Sums
	inner []lines.Line // lines taken out that lie within the filter
	env   []complex128 // what is left around the tone, one value every step samples
	step  float64
	slips []drift.Slip // whose surroundings are no noise
}

func (c *chunkWork) hz(v float64) float64 { return v * c.p.Rate }

func (c *chunkWork) bin(hz float64) float64 { return hz / c.p.Rate * float64(c.s.M) }

func (c *chunkWork) cycles(b int) float64 { return float64(b) / float64(c.s.M) }

func (c *chunkWork) binPower(k int) float64 { r := c.s.R[k]; return real(r)*real(r) + imag(r)*imag(r) }

func (c *chunkWork) atBin(hz float64) int { return int(math.Round(c.bin(hz))) }

func (c *chunkWork) lastBin(hz float64) int { return min(len(c.s.R)-2, int(math.Floor(c.bin(hz)))) }

func (c *chunkWork) firstBin(hz float64) int { return max(1, int(math.Ceil(c.bin(hz)))) }

// densitySpan is how far around a line its noise floor is read, in Hz.
const densitySpan = 60

// around gives a fitted line that is still in the spectrum its surroundings.
func (c *chunkWork) around(l lines.Line) line {
	gap := max(3, 3*c.s.M/c.s.N)
	d, used := c.s.Density(l, densitySpan/c.p.Rate, gap)
	if used < 8*c.s.M/c.s.N {
		d, _ = c.s.Density(l, 400/c.p.Rate, gap)
	}
	d /= c.p.Rate
	// Arithmetic has a floor of its own, some 300 dB down: nothing below 1e-18 is a signal.
	floor := math.Max(d/c.out.Seconds, 1e-18)
	return line{Line: l, Hz: c.hz(l.V), density: d, floor: floor, cut: floor}
}

// strongest returns the bin of most power between two frequencies, 0 if there is none.
func (c *chunkWork) strongest(fromHz, toHz float64) int {
	best, at := 0.0, 0
	for k := c.firstBin(fromHz); k <= c.lastBin(toHz); k++ {
		if p := c.binPower(k); p > best {
			best, at = p, k
		}
	}
	return at
}

// remove takes a line out of the spectrum and remembers it if it lies within the filter.
func (c *chunkWork) remove(l line) {
	c.s.Remove(l.Line, l.floor)
	if c.p.Curve.Line(l.Hz) > 0 {
		c.inner = append(c.inner, l.Line)
	}
}

// fitOffset finds the offset and takes it out. Once the tone is gone it is called
// again for what the tone had pulled it by.
func (c *chunkWork) fitOffset() {
	l := c.s.Fit(0)
	c.out.Offset += 2 * real(l.C)
	d, _ := c.s.Density(l, 40/c.p.Rate, max(2, 2*c.s.M/c.s.N))
	c.out.OffsetVar = d / c.p.Rate / 2 / c.out.Seconds
	c.s.Remove(l, math.Max(c.out.OffsetVar, 1e-24))
}

// refitStands is how far a line must stand above the noise for its neighbours'
// leakage to have moved it.
const refitStands = 1e4

// refit fits the strong lines once more, each with all others gone: a line fitted
// while its neighbour still stood was pulled by it.
func (c *chunkWork) refit() {
	again := func(l *line) {
		switch {
		case l.stands() >= refitStands:
			c.replace(l, c.s.Refit(l.Line))
		case l.floor < l.cut/4:
			c.replace(l, l.Line)
		}
	}
	if c.out.Sub.Hz > 0 {
		again(&c.out.Sub)
	}
	for i := range c.out.hum {
		again(&c.out.hum[i].line)
	}
	for i := range c.out.outside {
		again(&c.out.outside[i])
	}
	if c.out.Found {
		again(&c.out.Tone)
	}
	c.fitOffset()
	c.refitHarmonics()
}

// replace takes out another line instead of l, down to what is now known to be
// the floor there: its neighbours had hidden it.
func (c *chunkWork) replace(l *line, is lines.Line) {
	was := l.Line
	if l.floor >= l.cut/4 && moved(was, is, c.s.N) < l.floor/1000 {
		return
	}
	c.s.Remove(lines.Line{V: was.V, C: -was.C}, l.cut)
	l.Line, l.Hz, l.cut = is, c.hz(is.V), l.floor
	c.s.Remove(is, l.cut)
	for i := range c.inner {
		if c.inner[i] == was {
			c.inner[i] = is
		}
	}
}

// moved is the mean square of the difference between two fits of one line over n samples.
func moved(a, b lines.Line, n int) float64 {
	d := cmplx.Abs(a.C - b.C)
	turn := math.Pi * math.Abs(a.V-b.V) * float64(n) * cmplx.Abs(a.C)
	return 2 * (d*d + turn*turn)
}

// settle reads the noise around each line again, now that the others are gone.
func (c *chunkWork) settle() {
	again := func(l *line) {
		k := l.Line
		k.C = 0
		n := c.around(k)
		l.density, l.floor = n.density, n.floor
	}
	for i := range c.out.hum {
		again(&c.out.hum[i].line)
	}
	for i := range c.out.harmonics {
		if c.out.harmonics[i].taken {
			again(&c.out.harmonics[i])
		}
	}
	for i := range c.out.outside {
		again(&c.out.outside[i])
	}
	if c.out.Sub.Hz > 0 {
		again(&c.out.Sub)
	}
	if c.out.Found {
		again(&c.out.Tone)
	}
}

// leakMatters is the mean square above which what a line high up leaks into the
// band is worth removing: 100 dB below full scale.
const leakMatters = 5e-11

// topBin is how many bins matter: up to the filter's end, the tone's tenth
// harmonic, and room for fits beside them; all of them if a strong line further
// up would leak into the band.
func (w *Worker) topBin(p Plan, n, m int) int {
	hz := math.Max(3600, math.Max(p.Curve.Top(), (maxOrder+1)*p.Expected*(1+p.Spread)))
	top := int(math.Min(float64(m/2+1), hz/p.Rate*float64(m)+2*lines.Reach))
	strongest := 0.0
	for _, x := range w.coef[top:] {
		if p := real(x)*real(x) + imag(x)*imag(x); p > strongest {
			strongest = p
		}
	}
	line := 2 * strongest / (float64(n) * float64(n))
	band := math.Min(p.Curve.Top(), hz) / p.Rate * float64(m)
	away := math.Max(1, float64(top)-band)
	if line*band/(math.Pi*math.Pi*away*away) > leakMatters {
		return m/2 + 1
	}
	return top
}
