package kind

import (
	"math"
	"math/cmplx"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/capture"
)

// waveOrders is how many harmonics a wave is put together from.
const waveOrders = 10

// wave is one period of a tone with its harmonics, as complex amplitudes (peak,
// full scale) relative to the phase of the fundamental: of the whole, and of
// blocks, whose scatter tells how sure it is.
type wave struct {
	hz     float64
	mean   []complex128 // [0] is the fundamental
	blocks [][]complex128
}

// waveBlock is the length of a block in seconds: long enough to hold many
// periods, short enough for a generator that drifts.
const waveBlock = 0.1

// waveOf reads the wave of a recording's tone by projecting blocks of whole
// periods on its harmonics. Noise between them averages out; it would not in the
// highest sample.
func waveOf(r capture.Recording, hz float64) (wave, error) {
	rate := float64(r.Rate)
	w := wave{hz: hz}
	orders := 0
	for k := 1; k <= waveOrders && float64(k)*hz < 0.45*rate; k++ {
		orders++
	}
	size := int(math.Round(math.Round(waveBlock*hz) / hz * rate))
	block := make([]float64, 0, size)
	for part, err := range r.Blocks() {
		if err != nil {
			return w, err
		}
		for len(part) > 0 && size > 0 {
			n := min(len(part), size-len(block))
			block = append(block, part[:n]...)
			part = part[n:]
			if len(block) == size {
				w.blocks = append(w.blocks, harmonicsOf(block, hz/rate, orders))
				block = block[:0]
			}
		}
	}
	w.blocks = grouped(w.blocks, mostBlocks)
	w.mean = meanWave(w.blocks, -1)
	return w, nil
}

// mostBlocks keeps the jackknife of an hour as short as that of a minute.
const mostBlocks = 60

// grouped joins neighbouring blocks until there are no more than most; what is
// left over at the end is less than one group and is left out.
func grouped(blocks [][]complex128, most int) [][]complex128 {
	size := (len(blocks) + most - 1) / most
	if size <= 1 {
		return blocks
	}
	var out [][]complex128
	for i := 0; i+size <= len(blocks); i += size {
		out = append(out, meanWave(blocks[i:i+size], -1))
	}
	return out
}

// harmonicsOf are the complex amplitudes of the harmonics, turned so that the
// fundamental has phase 0. The block holds whole periods to within a sample, and a
// Hann window takes care of the rest.
func harmonicsOf(x []float64, cycles float64, orders int) []complex128 {
	out := make([]complex128, orders)
	sum := 0.0
	n := float64(len(x))
	for i, v := range x {
		h := 0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/n)
		sum += h
		turn := cmplx.Rect(1, -2*math.Pi*cycles*float64(i))
		now := turn
		for k := range out {
			out[k] += complex(h*v, 0) * now
			now *= turn
		}
	}
	phase := cmplx.Phase(out[0])
	for k := range out {
		out[k] *= cmplx.Rect(2/sum, -float64(k+1)*phase)
	}
	return out
}

// meanWave is the mean of all blocks but one; leave -1 leaves none out.
func meanWave(blocks [][]complex128, leave int) []complex128 {
	var mean []complex128
	n := 0
	for i, b := range blocks {
		if i == leave {
			continue
		}
		if mean == nil {
			mean = make([]complex128, len(b))
		}
		for k, v := range b {
			mean[k] += v
		}
		n++
	}
	for k := range mean {
		mean[k] /= complex(float64(n), 0)
	}
	return mean
}

// halves are the highest and the lowest point of one period of the wave once each
// harmonic is divided by the response of what it came through.
func halves(mean []complex128, through func(order int) complex128) (up, down float64) {
	const points = 720
	up, down = math.Inf(-1), math.Inf(1)
	for i := range points {
		v := 0.0
		for k, a := range mean {
			v += real(a / through(k+1) * cmplx.Rect(1, 2*math.Pi*float64(k+1)*float64(i)/points))
		}
		up, down = math.Max(up, v), math.Min(down, v)
	}
	return up, -down
}

// reading makes a figure of the wave with its 95 % interval, by the jackknife
// over its blocks and Student's t.
func (w wave) reading(name, unitName string, of func(mean []complex128) float64) analyze.Reading {
	value := of(w.mean)
	if len(w.blocks) < 5 {
		return analyze.Exact(name, unitName, value, "the recording is too short for an interval: record 1 s or more")
	}
	left := make([]float64, len(w.blocks))
	for i := range left {
		left[i] = of(meanWave(w.blocks, i))
	}
	h := scatter.StudentT(float64(len(left)-1), 0.95) * scatter.Jackknife(left)
	return analyze.NewReading(name, unitName, value, value-h, value+h)
}
