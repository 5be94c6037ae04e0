package analyze

import (
	"math"

	"hisspoint/analyze/internal/response"
)

// ResponseDifference is one response less another: of the same set before and
// after work, or of the same talker through both.
type ResponseDifference struct {
	Why    string // there is none, and why, for people
	Points []ResponsePoint
	Tilt   Reading
	Bands  []BandLevel
	Lean   string // what changed: one of the Change words
}

// What a change sounds like.
const (
	ChangeBassier = "bassier"
	ChangeThinner = "thinner"
	ChangeSame    = "same"         // to within leanTilt
	ChangeOpen    = "undetermined" // the interval leaves it open
)

// CompareResponses is after less before, in dB relative to 1 kHz. What both share
// cancels: the spread between talkers, if the same one talks in both at the same
// distance and effort, and the monitor. Frequencies that only one of them has are
// left out.
func CompareResponses(after, before ResponseResult) ResponseDifference {
	var d ResponseDifference
	if !after.OK() || !before.OK() {
		d.Why = "one of the two gives no response"
		return d
	}
	a, b := levels(after.Levels).common(levels(before.Levels)), levels(before.Levels).common(levels(after.Levels))
	a.talkers, b.talkers = false, false
	reference := response.AtReference(a.hz, referenceSpan)
	if reference == nil {
		d.Why = "the two share no tones around 1 kHz: use the same test signal for both"
		return d
	}
	if after.How.Card.SameAs(before.How.Card) {
		a.card, b.card = nil, nil
	}
	half := func(w response.Weights) (down, up float64) {
		h := math.Hypot(a.half(w), b.half(w))
		afterHigh, afterLow := a.byCard(w)
		beforeHigh, beforeLow := b.byCard(w)
		return h + afterHigh + beforeLow, h + afterLow + beforeHigh
	}
	figure := func(name, unit string, w response.Weights, why string) Reading {
		if w == nil {
			return none(name, unit, why)
		}
		v := w.Of(a.dB) - w.Of(b.dB)
		down, up := half(w)
		return reading(name, unit, v, v-down, v+up)
	}
	for i, f := range a.hz {
		w := response.One(len(a.hz), i).Less(reference)
		v := w.Of(a.dB) - w.Of(b.dB)
		down, up := half(w)
		if finite(v) && finite(down) && finite(up) {
			d.Points = append(d.Points, ResponsePoint{Hz: f, DB: v, Low: v - down, High: v + up, Deviation: v, DevLow: v - down, DevHigh: v + up})
		}
	}
	d.Tilt = figure(Tilt, "dB/octave", response.Tilt(a.hz, tiltLow, tiltHigh), "the shared points do not span two octaves")
	for _, band := range balanceBands {
		w := response.Mean(a.hz, band[0], band[1])
		if w != nil {
			w = w.Less(reference)
		}
		d.Bands = append(d.Bands, BandLevel{band[0], band[1], figure("band", "dB", w, "the shared points do not reach over the band")})
	}
	if t := d.Tilt; t.HasInterval() {
		switch {
		case t.Low >= -leanTilt && t.High <= leanTilt:
			d.Lean = ChangeSame
		case t.High < 0:
			d.Lean = ChangeBassier
		case t.Low > 0:
			d.Lean = ChangeThinner
		default:
			d.Lean = ChangeOpen
		}
	}
	return d
}

// common are the levels at frequencies that other has too.
func (l levels) common(other levels) levels {
	out := levels{talkers: l.talkers}
	if l.without != nil {
		out.without = make([][]float64, len(l.without))
	}
	for i, f := range l.hz {
		for _, o := range other.hz {
			if math.Abs(o/f-1) >= equalTone {
				continue
			}
			out.hz, out.dB = append(out.hz, f), append(out.dB, l.dB[i])
			if l.without == nil {
				out.sd = append(out.sd, l.sd[i])
			}
			if l.card != nil {
				out.card = append(out.card, l.card[i])
			}
			for b := range l.without {
				out.without[b] = append(out.without[b], l.without[b][i])
			}
			break
		}
	}
	return out
}
