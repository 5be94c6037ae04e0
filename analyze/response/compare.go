package response

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/audio"
	"hisspoint/capture/job"
)

// Compare is after less before, in dB relative to 1 kHz. What both share
// cancels: the spread between talkers, if the same one talks in both at the same
// distance and effort, and the monitor. Frequencies that only one of them has are
// left out.
func Compare(after, before analyze.ResponseResult) analyze.ResponseDifference {
	var d analyze.ResponseDifference
	if !after.OK() || !before.OK() {
		d.Why = "one of the two gives no response"
		return d
	}
	a, b := levels(after.Levels).common(levels(before.Levels)), levels(before.Levels).common(levels(after.Levels))
	a.Talkers, b.Talkers = false, false
	reference := audio.AtReference(a.Hz, referenceSpan)
	if reference == nil {
		d.Why = "the two share no tones around 1 kHz: use the same test signal for both"
		return d
	}
	if after.How.Card.SameAs(before.How.Card) {
		a.Card, b.Card = nil, nil
	}
	half := func(w audio.Weights) (down, up float64) {
		h := math.Hypot(a.half(w), b.half(w))
		afterHigh, afterLow := a.byCard(w)
		beforeHigh, beforeLow := b.byCard(w)
		return h + afterHigh + beforeLow, h + afterLow + beforeHigh
	}
	figure := func(name, unit string, w audio.Weights, why analyze.Why) analyze.Reading {
		if w == nil {
			return analyze.None(name, unit, why)
		}
		v := w.Of(a.DB) - w.Of(b.DB)
		down, up := half(w)
		return analyze.NewReading(name, unit, v, v-down, v+up)
	}
	for i, f := range a.Hz {
		w := audio.One(len(a.Hz), i).Less(reference)
		v := w.Of(a.DB) - w.Of(b.DB)
		down, up := half(w)
		if analyze.Finite(v) && analyze.Finite(down) && analyze.Finite(up) {
			d.Points = append(d.Points, analyze.ResponsePoint{Hz: f, DB: v, Low: v - down, High: v + up, Deviation: v, DevLow: v - down, DevHigh: v + up})
		}
	}
	d.Tilt = figure(job.FigureTilt, "dB/octave", audio.Tilt(a.Hz, tiltLow, tiltHigh), "the shared points do not span two octaves")
	for _, band := range balanceBands {
		w := audio.Mean(a.Hz, band[0], band[1])
		if w != nil {
			w = w.Less(reference)
		}
		d.Bands = append(d.Bands, analyze.BandLevel{FromHz: band[0], ToHz: band[1], Level: figure("band", "dB", w, "the shared points do not reach over the band")})
	}
	if t := d.Tilt; t.HasInterval() {
		switch {
		case t.Low >= -leanTilt && t.High <= leanTilt:
			d.Lean = analyze.ChangeSame
		case t.High < 0:
			d.Lean = analyze.ChangeBassier
		case t.Low > 0:
			d.Lean = analyze.ChangeThinner
		default:
			d.Lean = analyze.ChangeOpen
		}
	}
	return d
}

// common are the levels at frequencies that other has too.
func (l levels) common(other levels) levels {
	out := levels{Talkers: l.Talkers}
	if l.Without != nil {
		out.Without = make([][]float64, len(l.Without))
	}
	for i, f := range l.Hz {
		for _, o := range other.Hz {
			if math.Abs(o/f-1) >= equalTone {
				continue
			}
			out.Hz, out.DB = append(out.Hz, f), append(out.DB, l.DB[i])
			if l.Without == nil {
				out.SD = append(out.SD, l.SD[i])
			}
			if l.Card != nil {
				out.Card = append(out.Card, l.Card[i])
			}
			for b := range l.Without {
				out.Without[b] = append(out.Without[b], l.Without[b][i])
			}
			break
		}
	}
	return out
}
