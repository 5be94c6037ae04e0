package kind

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// strays is how far the way of the harmonics between two volumes may stray from the one
// drawn, in dB of output a squared dB of what lies between them. Found on sines that are
// clipped hard or softly, alike on both sides or with one at 0.4 to 1 of the other, in even
// and uneven steps of 0.5 to 6 dB of drive: the largest of 3,500 was 0.093; it comes where
// the second half sets in just below 10 %.
const strays = 0.095

// curved is the distance of two volumes in dB of output below which a cubic is nearer to
// the truth than a line.
const curved = 1.5

// drawn is a volume as the curve goes through it: its output in dBFS, and its harmonics in
// percent of the tone.
type drawn struct {
	dB    float64
	shape []complex128
}

// tenPercent is the output at 10 % distortion between the volumes i and i+1. Each harmonic
// against the tone, with its phase, is drawn over the output in dB, a cubic through two
// volumes on either side (Lagrange), or a straight line where there are not that many or
// they lie far apart: harmonics change their sign on the way and set in one after the
// other, so they are smooth where the root of their sum is not. How far the way may stray
// counts in full, but no further than the two volumes; a reading's own interval moves all
// its harmonics alike.
func (p powers) tenPercent(i int) analyze.Reading {
	rows, at, first, last := p.rows[i:i+2], 0, dBOf(p.rows[i]), dBOf(p.rows[i+1])
	gap := last - first
	off := strays * gap * gap
	if i > 0 && i+2 < len(p.rows) && gap < curved {
		below, above := first-dBOf(p.rows[i-1]), dBOf(p.rows[i+2])-last
		if math.Min(below, above) > gap/5 { // nearer ones tell nothing but their noise
			rows, at = p.rows[i-1:i+3], 1
			off *= math.Min(1, math.Max(gap, math.Max(below, above)))
		}
	}
	var curve []drawn
	for _, u := range rows {
		curve = append(curve, drawn{dBOf(u), scaledTo(thdOf(u).Value, u.Measured.Kept.Shape())})
	}
	dB := reaches(curve, at)
	low, high := math.Min(off, dB-first), math.Min(off, last-dB)
	for k, u := range rows {
		shape := curve[k].shape
		for _, end := range []float64{thdOf(u).Low, thdOf(u).High} {
			curve[k].shape = scaledTo(end, shape)
			if d := reaches(curve, at) - dB; d < 0 {
				low = math.Hypot(low, d)
			} else {
				high = math.Hypot(high, d)
			}
		}
		curve[k].shape = shape
	}
	for _, u := range p.rows[i : i+2] {
		if l := u.Measured.Get(analyze.Level); l.HasInterval() {
			low, high = math.Hypot(low, l.Value-l.Low), math.Hypot(high, l.High-l.Value)
		}
	}
	return analyze.NewReading(job.FigureOutputAtTen, "dBFS", dB, dB-low, dB+high)
}

// reaches is the output at which a curve comes to 10 % between the volumes at and at+1, by
// halving; an end, where it does not.
func reaches(curve []drawn, at int) float64 {
	lo, hi := curve[at].dB, curve[at+1].dB
	for range 50 {
		if mid := (lo + hi) / 2; rootSumSquare(through(curve, mid)) < ratedTHD {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// through are the harmonics on the polynomial through those of all volumes.
func through(curve []drawn, dB float64) []complex128 {
	orders := len(curve[0].shape)
	for _, d := range curve {
		orders = min(orders, len(d.shape))
	}
	out := make([]complex128, orders)
	for i, d := range curve {
		weight := 1.0
		for k, other := range curve {
			if k != i {
				weight *= (dB - other.dB) / (d.dB - other.dB)
			}
		}
		for n := range out {
			out[n] += complex(weight, 0) * d.shape[n]
		}
	}
	return out
}

func rootSumSquare(shape []complex128) float64 {
	sum := 0.0
	for _, v := range shape {
		sum += real(v)*real(v) + imag(v)*imag(v)
	}
	return math.Sqrt(sum)
}

// scaledTo is a shape whose distortion is so many percent.
func scaledTo(percent float64, shape []complex128) (out []complex128) {
	all := rootSumSquare(shape)
	if all == 0 {
		return append([]complex128{complex(percent, 0)}, shape[1:]...)
	}
	for _, v := range shape {
		out = append(out, complex(percent/all, 0)*v)
	}
	return out
}
