package parts

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/dft"
	"hisspoint/capture/job"
)

// What a recording is described by, block by block. Times are in seconds.
const (
	stepBlock  = 0.05  // a block, windowed
	stepHop    = 0.025 // from block to block
	stepBlocks = 12000 // blocks at most; longer recordings get coarser ones
	silentDBFS = -200
	aboveFrom  = 3450 // Hz
	aboveTo    = 6000 // Hz; few sets let more through
	lowShare   = 0.35 // of the noise's bins that count as its lower part

	quietTenths = 7 // of a block's squares that count as free of clicks
)

// Features of a block of a stepped recording, in dB.
const (
	featTone  = iota // the tone
	featLow          // the lower part of the noise beside it and its harmonics, between clicks
	featHigh         // the upper part
	featAbove        // noise above the speech band, which usually goes along
	features
)

// blocked is a recording described block by block.
type blocked struct {
	x     [][]float64 // features of each block
	tone  []float64   // dBFS of each block
	noise []float64   // dBFS of each block, all that is no tone
	start float64     // seconds from the start of the file
	hop   float64     // seconds from block to block
	long  float64     // seconds that a block lasts
	end   float64     // seconds from the start of the file
}

// at is the time of a place between blocks: the middle of what the blocks on
// both sides of it share.
func (b blocked) at(i int) float64 {
	switch {
	case i <= 0:
		return b.start
	case i >= len(b.x):
		return b.end
	}
	return b.start + float64(i)*b.hop + (b.long-b.hop)/2
}

// blocks is how many blocks last for so many seconds.
func (b blocked) blocks(seconds float64) int { return int(seconds/b.hop + 0.5) }

// eachBlock calls do for every block of a recording, and returns how it is cut.
func eachBlock(r capture.Recording, do func(x []float64)) (blocked, error) {
	hop := max(1, int(stepHop*float64(r.Rate)))
	if n := int(r.Count / stepBlocks); n > hop {
		hop = n
	}
	size := 2 * max(hop, int(stepBlock*float64(r.Rate))/2)
	b := blocked{start: r.FromSeconds(), end: r.ToSeconds(), hop: float64(hop) / float64(r.Rate), long: float64(size) / float64(r.Rate)}
	buffer := make([]float64, 0, size)
	for block, err := range r.Blocks() {
		if err != nil {
			return b, err
		}
		for len(block) > 0 {
			k := min(len(block), size-len(buffer))
			for _, v := range block[:k] {
				if !analyze.Finite(v) {
					v = 0 // the readings say so
				}
				buffer = append(buffer, v)
			}
			block = block[k:]
			if len(buffer) == size {
				do(buffer)
				buffer = buffer[:copy(buffer, buffer[hop:])]
			}
		}
	}
	return b, nil
}

// blocksOf describes a recording by tone and noise of each block.
func blocksOf(r capture.Recording, how job.Reading) (blocked, error) {
	var l *blockLevels
	var x [][]float64
	var tone, noise []float64
	b, err := eachBlock(r, func(block []float64) {
		if l == nil {
			l = newBlockLevels(r.Rate, len(block), how.Tone())
		}
		v, n := l.levels(block)
		x, tone, noise = append(x, v), append(tone, v[featTone]), append(noise, n)
	})
	b.x, b.tone, b.noise = x, tone, noise
	return b, err
}

// steadied is the recording with the tone above the noise in place of the
// levels: a gain control that takes its time moves both alike.
func (b blocked) steadied() blocked {
	x := make([][]float64, len(b.x))
	for i, v := range b.x {
		x[i] = []float64{0, v[featTone] - v[featLow], v[featTone] - v[featHigh], v[featTone] - v[featAbove]}
	}
	b.x = x
	return b
}

// blockLevels reads a windowed block's tone and noise.
type blockLevels struct {
	window, windowed []float64
	coefficients     []complex128
	tone, noise      []int // bins
	above            []int // those of noise above the speech band
	low              int   // how many of noise are its lower part
	scale            float64
	part             []complex128 // of the noise, rising with frequency
	wave, squares    []float64
	narrow           []float64 // the window at the rate of wave
}

// newBlockLevels prepares for blocks of a size. The tone is what lies within 60 Hz
// of where it is expected, or two bins; noise is the speech band without that
// and without harmonics, where they leave enough of it.
func newBlockLevels(rate, size int, toneHz float64) *blockLevels {
	b := &blockLevels{window: stepWindow(size), windowed: make([]float64, size)}
	sum := 0.0
	for _, w := range b.window {
		sum += w * w
	}
	b.scale = 2 / (float64(size) * sum) // of |X|^2, so that bins add up to a mean square
	step, top := float64(rate)/float64(size), 0.45*float64(rate)
	near := math.Max(60, 2.5*step)
	for k := 1; float64(k)*step < math.Min(top, aboveTo); k++ {
		hz := float64(k) * step
		order := math.Max(1, math.Round(hz/toneHz))
		off := math.Abs(hz - order*toneHz)
		switch {
		case hz < 300 || hz > 3400 && hz < aboveFrom:
		case order == 1 && off <= near:
			b.tone = append(b.tone, k)
		case off <= 1.7*near:
		case hz <= 3400:
			b.noise = append(b.noise, k)
		default:
			b.above = append(b.above, k)
		}
	}
	b.low = int(lowShare * float64(len(b.noise)))
	m := dft.Smooth(2 * (int(math.Min(top, aboveTo)/step) + 2))
	b.part, b.narrow = make([]complex128, m/2+1), stepWindow(m)
	return b
}

func stepWindow(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))
	}
	return w
}

// levels gives the features of a block and the level of its noise, dBFS.
func (b *blockLevels) levels(x []float64) ([]float64, float64) {
	for i, v := range x {
		b.windowed[i] = v * b.window[i]
	}
	b.coefficients = dft.Forward(b.coefficients, b.windowed)
	lower, upper := b.noise[:b.low], b.noise[b.low:]
	return []float64{stepLevel(b.power(b.tone)), stepLevel(b.quiet(lower)), stepLevel(b.quiet(upper)), stepLevel(b.quiet(b.above))}, stepLevel(b.power(b.noise))
}

// stepLevel is finite whatever the power is.
func stepLevel(power float64) float64 {
	if math.IsNaN(power) {
		return silentDBFS
	}
	return math.Max(silentDBFS, math.Min(-silentDBFS, analyze.DBFS(math.Max(1e-30, power))))
}

func (b *blockLevels) power(bins []int) float64 {
	sum := 0.0
	for _, k := range bins {
		c := b.coefficients[k]
		sum += real(c)*real(c) + imag(c)*imag(c)
	}
	return sum * b.scale
}

// quiet is the mean square of noise between clicks. With a rise of 6 dB an
// octave, which undoes de-emphasis, FM's clicks are short, and the smaller part
// of the squares has few of them. Near the threshold that tells levels apart
// half as well again as the noise's power does, in which chance has the clicks.
func (b *blockLevels) quiet(bins []int) float64 {
	if len(bins) == 0 {
		return 0
	}
	clear(b.part)
	lift := 1 / float64(bins[0])
	for _, k := range bins {
		b.part[k] = b.coefficients[k] * complex(float64(k)*lift, 0)
	}
	m := len(b.narrow)
	b.wave = dft.Inverse(b.wave, b.part, m)
	b.squares = b.squares[:0]
	for i := m / 8; i < m-m/8; i++ { // the window is too low further out
		v := b.wave[i] / b.narrow[i]
		b.squares = append(b.squares, v*v)
	}
	sum := 0.0
	n := len(b.squares) * quietTenths / 10
	smallestFirst(b.squares, n)
	for _, v := range b.squares[:n] {
		sum += v
	}
	ratio := float64(m) / float64(len(b.window)) // of the rates: amplitudes are smaller by it
	return sum / math.Max(1, float64(n)) * ratio * ratio
}

// smallestFirst puts the n smallest values first, in any order (Hoare's
// selection, 1961): a third of the time that sorting takes.
func smallestFirst(v []float64, n int) {
	for lo, hi := 0, len(v)-1; lo < hi; {
		pivot := v[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for v[i] < pivot {
				i++
			}
			for v[j] > pivot {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		switch {
		case n <= j:
			hi = j
		case n >= i:
			lo = i
		default:
			return
		}
	}
}
