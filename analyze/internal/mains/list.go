package mains

import (
	"cmp"
	"math"
	"slices"

	"hisspoint/analyze/internal/lines"
)

// piece is one fitted line.
type piece struct {
	lines.Line
	hz  float64
	q   float64 // fitted mean square over its floor
	cut float64 // the floor down to which it was taken out
}

const (
	lowest   = 40.0 // Hz, where lines are listed from
	listedBy = 14.0 // floors from which a line is listed
	keptBy   = 10.0 // and below which it goes back once its neighbours are gone
	mostList = 40
)

// list takes the lines that stand out of the spectrum, the strongest first, and fits
// each once more with the others gone.
func (v *view) list() []piece {
	var out []piece
	v.roughen()
	for len(out) < mostList {
		hz, q := v.strongest()
		if q < listedBy {
			break
		}
		p := piece{cut: v.floorAt(hz)}
		p.Line = v.s.FitNear(hz / v.rate)
		if p.Power() < p.cut*q/2 {
			p.Line = v.s.Fit(hz / v.rate)
		}
		v.s.Remove(p.Line, p.cut)
		out = append(out, p)
		if n := len(out); n == 1 || n == 3 || n == 8 || n == 20 {
			v.roughen()
		}
	}
	for i := range out {
		if len(out) > 1 {
			is := v.s.Refit(out[i].Line)
			v.putBack(out[i].Line, out[i].cut)
			v.s.Remove(is, out[i].cut)
			out[i].Line = is
		}
	}
	v.roughen()
	kept := out[:0]
	for _, p := range out {
		p.hz = p.V * v.rate
		if p.q = p.Power() / v.floorAt(p.hz); p.q < keptBy {
			v.putBack(p.Line, p.cut)
			continue
		}
		kept = append(kept, p)
	}
	return kept
}

func (v *view) putBack(l lines.Line, cut float64) {
	l.C = -l.C
	v.s.Remove(l, cut)
}

// strongest is where most power stands against the floor, on the bins and half way
// between them, and how many floors it is. Half way the difference of both
// neighbours over root 2 has the noise of one bin and all but 0.9 dB of a line.
func (v *view) strongest() (hz, q float64) {
	r, at := v.s.R, 0.0
	last := min(len(r)-2-taps, int(v.bin(Top+20)))
	for k := int(v.bin(lowest)); k <= last; k++ {
		if p := square(r[k]) / v.floor[k]; p > q {
			q, at = p, float64(k)
		}
		if p := square(r[k]-r[k+1]) / 2 / v.floor[k]; p > q {
			q, at = p, float64(k)+0.5
		}
	}
	return v.hz(at), q * v.scale()
}

// steady is what a line of the mains is to the choice of the family: one frequency,
// put together from the pieces of a line that drifts or is modulated.
type steady struct {
	hz, net float64
	q       float64
	doubt   float64 // standard error of hz
	crowd   int     // lines within crowdHz, without one
	beside  float64 // their mean square
	pieces  []piece
}

// crowdHz is how far to each side of a line others are counted: speech, data and tones
// that are keyed put many lines there, a sub-audible tone beside hum only one.
const crowdHz = 20

// Pieces of one line stand no further apart than this, in 1/T or as a share of the
// frequency; one so weak against the strongest is another line as soon as it can be told.
const (
	besideBins  = 2.5
	besideShare = 0.0045
	besideWeak  = 1.5
	weakPiece   = 0.03
)

// merge joins the pieces of one line to the strongest of them. The standard error of a
// frequency is sqrt(6 / (4 pi^2 q)) / T (Rife & Boorstyn 1974), and half the spread of the pieces more.
func (v *view) merge(list []piece) []steady {
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b piece) int { return cmp.Compare(b.Power(), a.Power()) })
	used := make([]bool, len(list))
	var out []steady
	for i, a := range list {
		if used[i] {
			continue
		}
		m := steady{hz: a.hz}
		near := math.Max(besideBins/v.seconds, besideShare*a.hz)
		var power, mean float64
		for j := i; j < len(list); j++ {
			b := list[j]
			apart := math.Abs(b.hz - a.hz)
			weak := b.Power() < weakPiece*a.Power() && apart > besideWeak/v.seconds
			if j > i && (used[j] || apart > near || weak) {
				continue
			}
			used[j] = true
			m.pieces = append(m.pieces, b)
			m.q += b.q
			m.net += b.Power() * (1 - 1/b.q)
			power += b.Power()
			mean += b.Power() * b.hz
		}
		mean /= power
		spread := 0.0
		for _, b := range m.pieces {
			spread += b.Power() / power * (b.hz - mean) * (b.hz - mean)
		}
		if spread = math.Sqrt(spread); spread > 0.5/v.seconds {
			m.hz = mean
		}
		m.doubt = math.Hypot(math.Sqrt(1.5/a.q)/math.Pi/v.seconds, spread/2)
		out = append(out, m)
	}
	crowd(out)
	return out
}

// crowd counts what stands beside each line.
func crowd(list []steady) {
	for i := range list {
		m := &list[i]
		for j, o := range list {
			if j != i && math.Abs(o.hz-m.hz) < crowdHz {
				m.crowd++
				m.beside += o.net
			}
		}
		m.crowd = max(0, m.crowd-1)
	}
}
