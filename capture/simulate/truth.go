package simulate

import (
	"errors"
	"fmt"
	"math"

	"hisspoint/capture/dft"
)

// Filter is the gain (of amplitude, not dB) with which a reading listens at
// a frequency.
type Filter func(hz float64) float64

// Band is flat from low to high and deaf outside, edges included.
func Band(low, high float64) Filter {
	return func(hz float64) float64 {
		if hz < low || hz > high {
			return 0
		}
		return 1
	}
}

// Known is a known answer with the standard error of finding it.
type Known struct {
	Value, StdErr float64
}

// split is tone and rest of some recordings, as powers.
type split struct{ tone, rest float64 }

func (s split) sinad() float64 { return 10 * math.Log10((s.tone+s.rest)/s.rest) }

// splitSeconds is the length of one truth recording: every tone with a
// frequency of whole tenths of a hertz falls on a bin of its transform, so
// tone and rest come apart exactly, without a window or a fit.
const splitSeconds = 10

// ErrOffBin is for a tone that a truth recording cannot take apart.
var ErrOffBin = errors.New("tone is not a multiple of 0.1 Hz")

// split makes one recording and takes it apart. The noise that shares the
// tone's bin is taken from its neighbours.
func (b Bench) split(levelDBm float64, f Filter) (split, error) {
	b.Card.RateErrorPPM = 0
	tone := b.heardToneHz() * splitSeconds
	at := int(math.Round(tone))
	if math.Abs(tone-float64(at)) > 1e-6 {
		return split{}, fmt.Errorf("%w: %g Hz", ErrOffBin, tone/splitSeconds)
	}
	x := b.Take(levelDBm, splitSeconds)
	spec := dft.Forward(nil, x)
	power := func(k int) float64 {
		g := f(float64(k) / splitSeconds)
		return g * g * (real(spec[k])*real(spec[k]) + imag(spec[k])*imag(spec[k]))
	}
	var s split
	for k := 1; k < len(spec); k++ {
		if k != at {
			s.rest += power(k)
		}
	}
	const near = 20
	floor := 0.0
	for d := 1; d <= near; d++ {
		floor += (power(at-d) + power(at+d)) / (2 * near)
	}
	s.tone = max(0, power(at)-floor)
	s.rest += floor
	return s, nil
}

// heardToneHz is the frequency of the tone in the audio.
func (b Bench) heardToneHz() float64 {
	if r, ok := b.Set.(SSB); ok {
		return r.ToneHz(b.Generator)
	}
	return first(b.Generator.ToneHz, 1000)
}

// takes is the split of n recordings with seeds of their own.
func (b Bench) takes(levelDBm float64, f Filter, n int) ([]split, error) {
	out := make([]split, n)
	for i := range out {
		var err error
		if out[i], err = b.another(i).split(levelDBm, f); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// TrueSINAD is the SINAD in dB, (S+N+D)/(N+D) through f, of a long run at a
// dial level: at least the given seconds, in recordings of 10 s. It is the
// ratio of mean powers, the figure that ever longer recordings settle on.
// The error is a jackknife over the recordings. The card is part of it, but
// with its clock set right.
func (b Bench) TrueSINAD(levelDBm float64, f Filter, seconds float64) (Known, error) {
	parts, err := b.takes(levelDBm, f, runs(seconds))
	if err != nil {
		return Known{}, err
	}
	return jackknife(len(parts), func(skip int) float64 { return pool(parts, skip).sinad() }), nil
}

func runs(seconds float64) int { return max(4, int(math.Ceil(seconds/splitSeconds))) }

// pool adds all but one of the parts; skip -1 adds them all.
func pool(parts []split, skip int) (sum split) {
	for i, p := range parts {
		if i != skip {
			sum.tone += p.tone
			sum.rest += p.rest
		}
	}
	return sum
}

// jackknife is statistic(-1) with its standard error from leaving out each
// of n parts in turn.
func jackknife(n int, statistic func(skip int) float64) Known {
	mean, square := 0.0, 0.0
	for i := range n {
		v := statistic(i)
		d := v - mean
		mean += d / float64(i+1)
		square += d * (v - mean)
	}
	return Known{statistic(-1), math.Sqrt(square * float64(n-1) / float64(n))}
}

// Sensitivity is the level in dBm at the set (dial level, plus the
// generator's error, minus the pad) at which the true SINAD through f meets a
// criterion in dB. It halves an interval of levels on single recordings, then makes
// long runs (the given seconds each) at three levels 0.5 dB apart around the
// answer and crosses the parabola through them. The error is a jackknife
// over the 10 s recordings; what the parabola leaves is under 0.002 dB.
func (b Bench) Sensitivity(criterionDB float64, f Filter, seconds float64) (Known, error) {
	return b.crossing(criterionDB, seconds, func(b Bench, levelDBm float64, n int) ([]split, error) { return b.takes(levelDBm, f, n) })
}

// OnOffSensitivity is the same for (S+N)/N with the modulation switched on
// and off and the carrier left on.
func (b Bench) OnOffSensitivity(criterionDB float64, f Filter, seconds float64) (Known, error) {
	return b.crossing(criterionDB, seconds, func(b Bench, levelDBm float64, n int) ([]split, error) {
		return b.onOff(levelDBm, f, n), nil
	})
}

// TrueOnOff is (S+N)/N in dB through f at a dial level: output with
// modulation over output without, the carrier left on. As TrueSINAD, it is
// the ratio of mean powers of at least the given seconds of each.
func (b Bench) TrueOnOff(levelDBm float64, f Filter, seconds float64) Known {
	parts := b.onOff(levelDBm, f, runs(seconds))
	return jackknife(len(parts), func(skip int) float64 { return pool(parts, skip).sinad() })
}

// TruePower is the mean power through f in V^2 at the card's input, in dB,
// with the generator and set as a segment says; its length does not matter.
// The card's own noise and offset count.
func (b Bench) TruePower(s Segment, f Filter, seconds float64) Known {
	s.Seconds = splitSeconds
	b.Card.RateErrorPPM = 0
	parts := make([]float64, runs(seconds))
	for i := range parts {
		parts[i] = b.another(i).power(s, f)
	}
	return jackknife(len(parts), func(skip int) float64 {
		sum, n := 0.0, 0.0
		for i, p := range parts {
			if i != skip {
				sum += p
				n++
			}
		}
		return 10 * math.Log10(sum/n)
	})
}

// power is the mean square through f of one recording, in V^2.
func (b Bench) power(s Segment, f Filter) float64 {
	x := b.Record(s)
	n := float64(len(x))
	sum := 0.0
	for k, c := range dft.Forward(nil, x) {
		g := f(float64(k) * float64(b.Card.Rate) / n)
		if k > 0 && g != 0 {
			sum += 2 * g * g * (real(c)*real(c) + imag(c)*imag(c))
		}
	}
	return sum / n / n * 2 * b.Card.FullScaleVolts * b.Card.FullScaleVolts
}

// onOff is n recordings with modulation and n without, as split powers.
func (b Bench) onOff(levelDBm float64, f Filter, n int) []split {
	b.Card.RateErrorPPM = 0
	out := make([]split, n)
	for i := range out {
		r := b.another(i)
		on := r.power(Segment{Seconds: splitSeconds, LevelDBm: levelDBm}, f)
		off := r.another(n).power(Segment{Seconds: splitSeconds, LevelDBm: levelDBm, Unmodulated: true}, f)
		out[i] = split{on - off, off}
	}
	return out
}

// another is the same bench with the i-th of other noises.
func (b Bench) another(i int) Bench { return b.WithSeed(b.Seed + uint64(i)*0x9e3779b97f4a7c15 + 1) }

func (b Bench) crossing(criterionDB, seconds float64, takes func(b Bench, levelDBm float64, n int) ([]split, error)) (Known, error) {
	low, high := -150.0, -40.0
	shift := b.Generator.PadDB - b.Generator.LevelErrorDB
	for range 11 {
		mid := (low + high) / 2
		parts, err := takes(b, mid+shift, 1)
		if err != nil {
			return Known{}, err
		}
		if pool(parts, -1).sinad() < criterionDB {
			low = mid
		} else {
			high = mid
		}
	}
	if low == -150 || high == -40 {
		return Known{}, fmt.Errorf("the set does not meet %g dB between -150 and -40 dBm", criterionDB)
	}
	const step = 0.5
	middle, n := (low+high)/2, runs(seconds)
	var parts [3][]split
	for i := range parts {
		var err error
		if parts[i], err = takes(b.WithSeed(b.Seed+uint64(i+1)<<32), middle+step*float64(i-1)+shift, n); err != nil {
			return Known{}, err
		}
	}
	return jackknife(n, func(skip int) float64 {
		var y [3]float64
		for i := range y {
			y[i] = pool(parts[i], skip).sinad() - criterionDB
		}
		return middle + step*crossParabola(y)
	}), nil
}

// crossParabola is where the parabola through (-1,y0), (0,y1), (1,y2), which
// rises, is zero: the root near 0.
func crossParabola(y [3]float64) float64 {
	a, b, c := (y[0]+y[2])/2-y[1], (y[2]-y[0])/2, y[1]
	return -2 * c / (b + math.Sqrt(max(0, b*b-4*a*c)))
}
