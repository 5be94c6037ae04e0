// Package reading measures one recording: sums of chunks (internal/chunk) are joined,
// looked at for soundness, and become readings with their intervals. It must not know
// kinds of tests, series or other recordings.
package reading

import (
	"fmt"
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/drift"
	"hisspoint/analyze/internal/track"
	"hisspoint/analyze/internal/weight"
	"hisspoint/analyze/soundness"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Weighting gives the curve of a filter at a sample rate.
func Weighting(f job.Filter, rate float64) (weight.Curve, error) {
	top := 0.45 * rate
	switch f.Name {
	case "", job.SpeechBand:
		return weight.Flat(300, math.Min(3400, top)), nil
	case job.Psophometric:
		return weight.Psophometric(), nil
	case job.CMessage:
		return weight.CMessage(), nil
	case job.AWeighting:
		return weight.A(), nil
	case job.Wide:
		return weight.Flat(20, math.Min(20000, top)), nil
	case job.Band:
		if f.Low >= top {
			return weight.Curve{}, fmt.Errorf("filter %s lies above what a sample rate of %.0f Hz can hold: use a lower band", f, rate)
		}
		return weight.Flat(f.Low, math.Min(f.High, rate/2)), nil
	}
	return weight.Curve{}, fmt.Errorf("filter %q is not known", f.Name)
}

const (
	blockSeconds = 0.5  // longest block whose scatter is looked at
	wantBlocks   = 40   // a recording is divided into so many blocks if they stay long enough
	minBlock     = 0.05 // shortest block, well over the memory of the speech band after de-emphasis
)

// MinSeconds is the shortest recording that is measured at all.
const MinSeconds = 0.1

// measuring is a recording that is being measured.
type measuring struct{ analyze.Measured }

// refused takes all readings back where the samples are no sound.
func (m *measuring) refused(why analyze.Why) {
	if why != analyze.WhyNotFinite {
		return
	}
	for i, r := range m.Readings {
		m.Readings[i] = analyze.None(r.Name, r.Unit, why)
	}
	m.Harmonics, m.HumLines, m.OtherTone, m.SubAudibleTone, m.HumOrTone = nil, nil, 0, 0, 0
}

// Measure takes all readings of one recording.
//
// The powers of the noise and of noise and distortion are mean squares of the
// filtered signal over every sample of the part in use; the tone is the
// least-squares fit of a sine with frequency, amplitude, phase and offset free
// (IEEE 1057). Intervals are 95 % ones from the recording's own scatter. See
// the constants of the reading names for the units.
//
// It fails only if the recording cannot be read, is shorter than MinSeconds, or the
// filter does not fit its rate; what is wrong with the sound is said in readings and warnings.
func Measure(r capture.Recording, how job.Reading) (analyze.Measured, error) {
	m := measuring{analyze.Measured{Origin: r.Origin, Rate: r.Rate, Frames: r.Total, From: r.FromSeconds(), To: r.ToSeconds(), Filter: how.Filter}}
	m.Warnings = append(m.Warnings, r.Origin.Warnings...)
	cv, err := Weighting(how.Filter, float64(r.Rate))
	if err != nil {
		return m.Measured, fmt.Errorf("%s: %w", r.Origin.File, err)
	}
	if how.Tone() > 0.45*float64(r.Rate) {
		return m.Measured, fmt.Errorf("%s: a tone of %g Hz is too high for its sample rate of %d Hz: record at a higher rate", r.Origin.File, how.Tone(), r.Rate)
	}
	if r.Seconds() < MinSeconds {
		return m.Measured, fmt.Errorf("%s: only %.3g s long: record 5 s or more", r.Origin.File, r.Seconds())
	}
	plan := planOf(r, cv, how)
	parts, err := followDrift(r, plan)
	if err != nil {
		return m.Measured, err
	}
	t, err := soundness.Examine(&m.Measured, r, parts, chunk.Join(parts), how, func(r capture.Recording) (chunk.Totals, error) {
		parts, err := followDrift(r, plan)
		return chunk.Join(parts), err
	})
	if err != nil {
		return m.Measured, err
	}
	m.fill(t, cv, how)
	m.bySource()
	m.keep(t, cv, how)
	m.quantised(t, cv)
	if how.Mode == job.SSB { // off tune, which is no wrong tone
		m.Warnings = slices.DeleteFunc(m.Warnings, func(w capture.Warning) bool { return w.Code == capture.ToneOffFrequency })
	}
	m.refused(analyze.Why(t.Refuse))
	m.doubtHum()
	return m.Measured, nil
}

// planOf is what is looked for in a recording.
func planOf(r capture.Recording, cv weight.Curve, how job.Reading) chunk.Plan {
	return chunk.Plan{Rate: float64(r.Rate), Curve: cv, Expected: how.Tone(), Spread: spreadOf(how), Mains: how.MainsHz,
		Standard: analyze.StandardTones(), Hop: track.Length(r.Seconds())}
}

// ssbSpread is how far, as a share, the tone of an SSB set may stand from where it
// is expected: it moves with the tuning of set and generator, hertz for hertz.
const ssbSpread = 0.6

func spreadOf(how job.Reading) float64 {
	if how.Mode == job.SSB {
		return ssbSpread
	}
	return chunk.ToneSpread
}

// followDrift measures a recording, in chunks short enough to follow a tone that moves
// where one may: an audio oscillator that warms up, or a set that drifts, is no noise.
func followDrift(r capture.Recording, p chunk.Plan) ([]chunk.Sums, error) {
	parts, err := measureParts(r, p)
	if err != nil || !slices.ContainsFunc(parts, func(s chunk.Sums) bool { return s.Long }) {
		return parts, err
	}
	p.Longest = int(drift.MaxSeconds * p.Rate)
	short, err := measureParts(r, p)
	if err != nil || !slices.ContainsFunc(short, func(s chunk.Sums) bool { return s.Moved }) {
		return parts, err
	}
	return short, nil
}

// measureParts runs over the recording chunk by chunk.
func measureParts(r capture.Recording, p chunk.Plan) ([]chunk.Sums, error) {
	if r.Count == 0 {
		return nil, nil
	}
	n := 1
	if r.Count > chunk.MaxChunk {
		n = int((r.Count + chunk.LongChunk - 1) / chunk.LongChunk)
	}
	if p.Longest > 0 {
		n = max(n, int((r.Count+int64(p.Longest)-1)/int64(p.Longest)))
	}
	size := int((r.Count + int64(n) - 1) / int64(n))
	block := math.Min(blockSeconds, math.Max(minBlock, r.Seconds()/wantBlocks))
	out := make([]chunk.Sums, n)
	q := chunk.NewChunkQueue(n, size)
	i, w := 0, q.Worker()
	flush := func() {
		plan := p
		plan.Blocks = max(1, int(math.Round(float64(len(w.X))/p.Rate/block)))
		at := &out[i]
		if i == 0 {
			*at = w.Measure(plan)
			if at.Found && !at.Moved { // the tone of the others is looked for where the first one's was
				p.Expected, p.Spread = at.Tone.Hz, 0.02
			}
			q.Done(w)
		} else {
			q.Run(w, func(w *chunk.Worker) { *at = w.Measure(plan) })
		}
		i++
		w = nil
	}
	for b, err := range r.Blocks() {
		if err != nil {
			q.Wait()
			return nil, err
		}
		for len(b) > 0 && i < n {
			if w == nil {
				w = q.Worker()
			}
			k := min(len(b), size-len(w.X))
			w.X = append(w.X, b[:k]...)
			b = b[k:]
			if len(w.X) == size {
				flush()
			}
		}
	}
	if w != nil && len(w.X) > 0 {
		flush()
	}
	q.Wait()
	return out[:i], nil
}
