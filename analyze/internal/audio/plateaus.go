package audio

import (
	"math"
	"slices"

	"hisspoint/capture/dft"
)

// Plateau is a stretch in which one tone stands above all else.
type Plateau struct {
	From, To int // samples
	Hz       float64
}

// How plateaus are looked for.
const (
	frameSeconds = 0.06 // of a windowed frame
	hopSeconds   = 0.02
	leastShare   = 0.15 // of the power in the band that is in the frame's strongest line
	holdsTo      = 0.012
	holdsHz      = 6    // by which a frame's line may miss the others', whichever is more
	recentFrames = 15   // whose middle a frame is held against
	leastSeconds = 0.25 // of a plateau, borders taken off
	bandLow      = 150  // Hz: tones are looked for from here to bandHigh, or 0.45 of the rate
	bandHigh     = 6000
)

// Finder finds plateaus in blocks of samples.
type Finder struct {
	rate      float64
	size, hop int
	window    []float64
	buffer    []float64
	work      []float64
	bins      []complex128
	frames    []frame
}

type frame struct{ hz, share float64 }

// NewFinder prepares for sound of a rate.
func NewFinder(rate float64) *Finder {
	size := dft.Smooth(int(frameSeconds * rate))
	f := &Finder{rate: rate, size: size, hop: max(1, int(hopSeconds*rate)), window: make([]float64, size), work: make([]float64, size)}
	for i := range f.window {
		f.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(size))
	}
	return f
}

// Add takes the next samples.
func (f *Finder) Add(block []float64) {
	for len(block) > 0 {
		k := min(len(block), f.size-len(f.buffer))
		f.buffer = append(f.buffer, block[:k]...)
		block = block[k:]
		if len(f.buffer) == f.size {
			f.frames = append(f.frames, f.look())
			f.buffer = f.buffer[:copy(f.buffer, f.buffer[f.hop:])]
		}
	}
}

// look finds the strongest line of the frame in the buffer.
func (f *Finder) look() frame {
	for i, v := range f.buffer {
		f.work[i] = v * f.window[i]
	}
	f.bins = dft.Forward(f.bins, f.work)
	pow := func(k int) float64 { return real(f.bins[k])*real(f.bins[k]) + imag(f.bins[k])*imag(f.bins[k]) }
	bin := f.rate / float64(f.size)
	low, high := int(math.Ceil(bandLow/bin)), int(math.Min(bandHigh, 0.45*f.rate)/bin)
	best, sum := low, 0.0
	for k := low; k <= high; k++ {
		p := pow(k)
		sum += p
		if p > pow(best) {
			best = k
		}
	}
	if sum <= 1e-18*float64(f.size) || best <= low || best >= high {
		return frame{}
	}
	line := pow(best-1) + pow(best) + pow(best+1)
	side := 1
	if pow(best-1) > pow(best+1) {
		side = -1
	}
	r := math.Sqrt(pow(best+side) / pow(best))
	d := math.Max(0, math.Min(0.5, (2*r-1)/(1+r)))
	return frame{hz: (float64(best) + float64(side)*d) * bin, share: line / sum}
}

// Plateaus lists what was found, in the order of time.
func (f *Finder) Plateaus() []Plateau {
	var out []Plateau
	for i := 0; i < len(f.frames); {
		j := f.run(i)
		if j-i >= 3 {
			p := f.plateau(i, j)
			if float64(p.To-p.From) >= leastSeconds*f.rate {
				out = append(out, p)
			}
		}
		i = max(j, i+1)
	}
	return out
}

// run is the first frame after i that no longer goes with those from i on. One
// frame may be off.
func (f *Finder) run(i int) int {
	if f.frames[i].share < leastShare {
		return i
	}
	var recent []float64
	last, missed, first := i, 0, f.frames[i].hz
	for j := i; j < len(f.frames) && missed < 2; j++ {
		middle := first
		if len(recent) > 0 {
			sorted := slices.Clone(recent)
			slices.Sort(sorted)
			middle = sorted[len(sorted)/2]
		}
		g := f.frames[j]
		within := math.Max(holdsHz, holdsTo*middle)
		if g.share < leastShare || math.Abs(g.hz-middle) > within || math.Abs(g.hz-first) > 3*within {
			missed++
			continue
		}
		recent = append(recent, g.hz)
		if len(recent) > recentFrames {
			recent = recent[1:]
		}
		last, missed = j, 0
	}
	return last + 1
}

// plateau is the stretch of frames i to j without its borders, which may hold
// half of a neighbour.
func (f *Finder) plateau(i, j int) Plateau {
	var hz []float64
	for _, g := range f.frames[i:j] {
		hz = append(hz, g.hz)
	}
	slices.Sort(hz)
	border := f.size * 6 / 10
	return Plateau{From: i*f.hop + border, To: (j-1)*f.hop + f.size - border, Hz: hz[len(hz)/2]}
}
