package reading

import (
	"fmt"
	"math"
	"math/cmplx"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/analyze/internal/weight"
	"hisspoint/capture/job"
)

// keep fills kept from what was summed. The output is the mean square of the
// filtered sound over all samples: w S + (N+D), with the filter's power weight w
// at the tone.
func (m *measuring) keep(t chunk.Totals, cv weight.Curve, how job.Reading) {
	e := estimator{t: t, curve: cv, deviation: how.Deviation, fm: how.Mode == "" || how.Mode == job.FM}
	e.prepare()
	switch {
	case t.Refuse != "":
		m.Kept.Output = analyze.None(analyze.Output, "dBFS", analyze.Why(t.Refuse))
		return
	case e.whyNot == analyze.WhySilence:
		m.Kept.Output = analyze.None(analyze.Output, "dBFS", analyze.WhySilence)
		return
	}
	m.Kept.Output, m.Kept.Clicks, m.Kept.Seconds = e.whole(), len(t.Clicks), t.Seconds
	if e.tone {
		m.Kept.TonePower = t.TonePower
		for _, h := range t.Harmonic {
			m.Kept.Harmonic = append(m.Kept.Harmonic, analyze.HarmonicPower{Power: h.Power, Floor: h.Floor, Square: h.Square, Phase: cmplx.Phase(h.Towards)})
		}
	}
	for i, l := range m.HumLines {
		h := scatter.Normal95 * math.Sqrt(t.Hum.Lines[i].Variance)
		p := math.Pow(10, l.LevelDBFS/10) / 2
		m.Kept.Hum = append(m.Kept.Hum, analyze.NewReading(fmt.Sprintf("%s%.0f", analyze.HumAt, nominal(l.FrequencyHz, t.Hum)), "dBFS", l.LevelDBFS,
			analyze.DBFS(math.Max(p-h, p*1e-3)), analyze.DBFS(p+h)))
	}
}

// whole is the power of all that passes the filter.
func (e *estimator) whole() analyze.Reading {
	s := e.weight * e.t.TonePower
	p := s + e.nd
	if p <= 0 {
		return analyze.None(analyze.Output, "dBFS", "the filter passes nothing of it")
	}
	r := e.withClicks(analyze.Output, "dBFS", analyze.DBFS(p), func(s, nd float64) float64 { return analyze.DBFS(s + nd) })
	if !r.HasInterval() {
		return r
	}
	h := scatter.Normal95 * 10 / math.Ln10 * math.Sqrt(e.t.LinesVar) / p
	return analyze.NewReading(analyze.Output, "dBFS", r.Value, r.Value-math.Hypot(r.Value-r.Low, h), r.Value+math.Hypot(r.High-r.Value, h))
}
