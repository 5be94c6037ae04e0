package kind

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
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
func Distortion(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	m, err := reading.Measure(rs[0], t.Reading)
	if err != nil {
		return analyze.Result{}, err
	}
	row := analyze.Used{Take: t.Takes[0], Label: takes.TakeLabel(t.Takes[0], t.LevelKind), Measured: m, Worth: m.Kept.Harmonics()}
	file := m.Origin.File
	if !m.Get(analyze.ToneLevel).OK() {
		if tone := takes.ToneIn(row); tone != "" {
			return analyze.Refused(t, fmt.Sprintf("%s, not of %.0f Hz: give the tone of the test, or record again", tone, t.Reading.Tone()), row), nil
		}
		return analyze.Refused(t, "there is no tone in "+file+": modulate the generator and record again", row), nil
	}
	least := float64(noiseHides)
	if t.Mode == job.SSB {
		least = noiseHidesSSB
	}
	if s := m.Get(analyze.SNR); s.OK() && s.Value < least {
		return analyze.Refused(t, fmt.Sprintf("%s holds too much noise to tell distortion: it is only %.1f dB below the tone; use a strong signal (a receiver: 1 mV)", file, s.Value), row), nil
	}
	out := analyze.Result{Setup: t, Rows: []analyze.Used{row}, Warnings: m.Warnings}
	out.Figures = []analyze.Reading{m.Get(analyze.THD), m.Get(analyze.THDN), m.Get(analyze.SINAD), m.Get(analyze.SNR)}
	if m.Get(analyze.THD).OK() {
		even, odd := m.Kept.Even(), m.Kept.Odd()
		out.Figures = append(out.Figures, even, odd)
		for _, h := range row.Worth {
			if h.Low > 0 {
				out.Figures = append(out.Figures, h)
			}
		}
	}
	out.Figures = append(out.Figures, m.Get(analyze.ToneLevel), m.Get(analyze.LevelVolts), m.Get(analyze.Power))
	out.Figures = known(out.Figures)
	out.Lines, err = spectrumOf(rs[:1], m)
	return out, err
}

// known leaves out readings that were not taken at all, such as volts without
// calibration; one that could not be told stays, with its reason.
func known(rs []analyze.Reading) []analyze.Reading {
	var out []analyze.Reading
	for _, r := range rs {
		if r.Why != analyze.WhyNotRead {
			out = append(out, r)
		}
	}
	return out
}
