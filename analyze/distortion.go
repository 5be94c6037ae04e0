package analyze

import (
	"fmt"
	"math"

	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Figures of a distortion test beside THD, SINAD and THD+N.
const (
	EvenHarmonics = "even_harmonics" // root-sum-square of the even harmonics, percent of the fundamental
	OddHarmonics  = "odd_harmonics"  // that of the odd ones
)

// noiseHides is the S/N in dB below which noise is most of what THD+N and SINAD
// tell, and hides harmonics: at 20 dB noise alone is 10 %. An SSB set shows the noise
// close to the generator's carrier beside the tone, which hides none.
const (
	noiseHides    = 20
	noiseHidesSSB = 10
)

// Distortion measures a strong signal: THD (harmonics 2 to 10, root-sum-square,
// percent of the fundamental, unfiltered), THD+N and SINAD through the filter,
// each harmonic that stands clear of the noise, and the even harmonics apart from
// the odd: even ones come from what is not symmetric (a detector off its centre,
// one half of an output stage), odd ones from clipping of both halves alike. A
// signal so weak that noise hides them is refused.
func Distortion(t job.Setup, rs []capture.Recording) (Result, error) {
	m, err := Measure(rs[0], t.Reading)
	if err != nil {
		return Result{}, err
	}
	row := Used{Take: t.Takes[0], Label: takeLabel(t.Takes[0], t.LevelKind), Measured: m, Worth: m.Kept.harmonics()}
	file := m.Origin.File
	if !m.Get(ToneLevel).OK() {
		if tone := toneIn(row); tone != "" {
			return refused(t, fmt.Sprintf("%s, not of %.0f Hz: give the tone of the test, or record again", tone, t.Reading.Tone()), row), nil
		}
		return refused(t, "there is no tone in "+file+": modulate the generator and record again", row), nil
	}
	least := float64(noiseHides)
	if t.Mode == job.SSB {
		least = noiseHidesSSB
	}
	if s := m.Get(SNR); s.OK() && s.Value < least {
		return refused(t, fmt.Sprintf("%s holds too much noise to tell distortion: it is only %.1f dB below the tone; use a strong signal (a receiver: 1 mV)", file, s.Value), row), nil
	}
	out := Result{Setup: t, Rows: []Used{row}, Warnings: m.Warnings}
	out.Figures = []Reading{m.Get(THD), m.Get(THDN), m.Get(SINAD), m.Get(SNR)}
	if m.Get(THD).OK() {
		even, odd := m.Kept.even(), m.Kept.odd()
		out.Figures = append(out.Figures, even, odd)
		for _, h := range row.Worth {
			if h.Low > 0 {
				out.Figures = append(out.Figures, h)
			}
		}
	}
	out.Figures = append(out.Figures, m.Get(ToneLevel), m.Get(LevelVolts), m.Get(Power))
	out.Figures = known(out.Figures)
	out.Lines, err = spectrumOf(rs[:1], m)
	return out, err
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
