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

// kept are readings of a recording that are no figures by themselves, but that
// tests which compare recordings need.
type kept struct {
	output    Reading   // all that passes the filter, tone and noise and distortion, dBFS
	harmonics []Reading // each with its interval, percent
	even, odd Reading   // root-sum-squares of the even and of the odd ones, percent
	hum       []Reading // each line, dBFS, unfiltered
}

// keep fills kept from what was summed. The output is the mean square of the
// filtered sound over all samples: w S + (N+D), with the filter's power weight w
// at the tone.
func (m *Measured) keep(t totals, cv weight.Curve, how job.Reading) {
	e := estimator{t: t, curve: cv, deviation: how.Deviation, fm: how.Mode == "" || how.Mode == job.FM}
	e.prepare()
	switch {
	case t.refuse != "":
		m.kept.output = none(Output, "dBFS", t.refuse)
		return
	case e.whyNot == whySilence:
		m.kept.output = none(Output, "dBFS", whySilence)
		return
	}
	m.kept.output = e.whole()
	if e.tone {
		m.keepHarmonics(t)
	}
	for _, l := range m.HumLines {
		h := scatter.Normal95 * math.Sqrt(l.variance)
		p := math.Pow(10, l.LevelDBFS/10) / 2
		m.kept.hum = append(m.kept.hum, reading(fmt.Sprintf("%s%.0f", HumAt, nominal(l.FrequencyHz, t.mains)), "dBFS", l.LevelDBFS,
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

// keepHarmonics gives each harmonic, and the sums of even and of odd ones, the
// interval of fitted lines in noise, less what noise alone adds (scatter.Lines).
func (m *Measured) keepHarmonics(t totals) {
	percent := func(name string, power float64, l scatter.Lines) Reading {
		pc := func(p float64) float64 { return 100 * math.Sqrt(math.Max(0, p)/t.tonePower) }
		low, high := l.Interval95()
		return reading(name, "%", pc(power), math.Min(pc(power), pc(low)), math.Max(pc(power), pc(high)))
	}
	var apart [2]scatter.Lines // even, odd
	var sum [2]float64
	for i, h := range t.harmonic {
		var one scatter.Lines
		one.Add(h.power, h.floor)
		m.kept.harmonics = append(m.kept.harmonics, percent(fmt.Sprintf("%s%d", HarmonicOf, i+2), h.power, one))
		apart[i%2].Add(h.power, h.floor)
		sum[i%2] += h.power
	}
	const missing = "no such harmonic fits below 0.45 of the sample rate"
	m.kept.even, m.kept.odd = none(EvenHarmonics, "%", missing), none(OddHarmonics, "%", missing)
	if len(t.harmonic) > 0 {
		m.kept.even = percent(EvenHarmonics, sum[0], apart[0])
	}
	if len(t.harmonic) > 1 {
		m.kept.odd = percent(OddHarmonics, sum[1], apart[1])
	}
}

// output is the whole audio of a row through the filter.
func output(u Used) Reading { return u.Measured.kept.output }
