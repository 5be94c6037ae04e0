package analyze

import (
	"fmt"
	"math"

	"hisspoint/analyze/internal/scatter"
	"hisspoint/analyze/internal/weight"
	"hisspoint/capture/job"
)

// Names of readings that only comparisons of recordings have.
const (
	Output     = "output"    // the whole audio through the filter, dBFS
	HarmonicOf = "harmonic_" // and the order: one harmonic, percent of the fundamental
	HumAt      = "hum_line_" // and its frequency in Hz: one line of the hum
)

// keep fills kept from what was summed. The output is the mean square of the
// filtered sound over all samples: w S + (N+D), with the filter's power weight w
// at the tone.
func (m *measuring) keep(t totals, cv weight.Curve, how job.Reading) {
	e := estimator{t: t, curve: cv, deviation: how.Deviation, fm: how.Mode == "" || how.Mode == job.FM}
	e.prepare()
	switch {
	case t.refuse != "":
		m.Kept.output = none(Output, "dBFS", t.refuse)
		return
	case e.whyNot == whySilence:
		m.Kept.output = none(Output, "dBFS", whySilence)
		return
	}
	m.Kept.output, m.Kept.clicks, m.Kept.seconds = e.whole(), len(t.clicks), t.seconds
	if e.tone {
		m.Kept.tonePower = t.tonePower
		for _, h := range t.harmonic {
			m.Kept.harmonic = append(m.Kept.harmonic, harmonicPower{h.power, h.floor, h.square})
		}
	}
	for i, l := range m.HumLines {
		h := scatter.Normal95 * math.Sqrt(t.humLines[i].variance)
		p := math.Pow(10, l.LevelDBFS/10) / 2
		m.Kept.hum = append(m.Kept.hum, reading(fmt.Sprintf("%s%.0f", HumAt, nominal(l.FrequencyHz, t.mains)), "dBFS", l.LevelDBFS,
			dbfs(math.Max(p-h, p*1e-3)), dbfs(p+h)))
	}
}

// nominal is the multiple of the mains frequency that a line stands for.
func nominal(hz, mains float64) float64 {
	if mains == 0 {
		return hz
	}
	return mains * math.Round(hz/mains)
}

// whole is the power of all that passes the filter.
func (e *estimator) whole() Reading {
	s := e.weight * e.t.tonePower
	p := s + e.nd
	if p <= 0 {
		return none(Output, "dBFS", "the filter passes nothing of it")
	}
	r := e.withClicks(Output, "dBFS", dbfs(p), func(s, nd float64) float64 { return dbfs(s + nd) })
	if !r.HasInterval() {
		return r
	}
	h := scatter.Normal95 * 10 / math.Ln10 * math.Sqrt(e.t.linesVar) / p
	return reading(Output, "dBFS", r.Value, r.Value-math.Hypot(r.Value-r.Low, h), r.Value+math.Hypot(r.High-r.Value, h))
}

// output is the whole audio of a row through the filter.
func output(u Used) Reading { return u.Measured.Kept.output }
