package analyze

import (
	"math"

	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Figures of a distortion test beside THD, SINAD and THD+N.
const (
	EvenHarmonics = "even_harmonics" // root-sum-square of the even harmonics, percent of the fundamental
	OddHarmonics  = "odd_harmonics"  // that of the odd ones
)

// Distortion measures a strong signal: THD (harmonics 2 to 10, root-sum-square,
// percent of the fundamental, unfiltered), THD+N and SINAD through the filter,
// and the even harmonics apart from the odd: even ones come from what is not
// symmetric (a detector off its centre, one half of an output stage), odd ones
// from clipping of both halves alike.
func Distortion(t job.Setup, rs []capture.Recording) (Result, error) {
	m, err := Measure(rs[0], t.Reading)
	if err != nil {
		return Result{}, err
	}
	row := Used{Take: t.Takes[0], Measured: m}
	out := Result{Setup: t, Rows: []Used{row}, Warnings: m.Warnings}
	if !m.Get(ToneLevel).OK() {
		return refused(t, "there is no tone in "+m.Origin.File+": modulate the generator and record again", row), nil
	}
	out.Figures = []Reading{m.Get(THD), m.Get(THDN), m.Get(SINAD), m.Get(SNR)}
	if m.Get(THD).OK() {
		even, odd := harmonicsApart(m.Harmonics)
		const why = "the interval is that of the THD"
		out.Figures = append(out.Figures, exact(EvenHarmonics, "%", even, why), exact(OddHarmonics, "%", odd, why))
	}
	out.Figures = append(out.Figures, m.Get(ToneLevel), m.Get(LevelVolts), m.Get(Power))
	out.Figures = known(out.Figures)
	return out, nil
}

// harmonicsApart sums even and odd harmonics apart, in percent.
func harmonicsApart(hs []Harmonic) (even, odd float64) {
	for _, h := range hs {
		if h.Order%2 == 0 {
			even += h.Percent * h.Percent
		} else {
			odd += h.Percent * h.Percent
		}
	}
	return math.Sqrt(even), math.Sqrt(odd)
}

// known leaves out readings that were not taken at all, such as volts without
// calibration; one that could not be told stays, with its reason.
func known(rs []Reading) []Reading {
	var out []Reading
	for _, r := range rs {
		if r.Why != "not measured" && r.Why != "not calibrated" {
			out = append(out, r)
		}
	}
	return out
}
