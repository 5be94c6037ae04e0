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
	hum       []Reading // each line, dBFS, unfiltered
	clicks    int       // noise clicks that stood out
	seconds   float64   // that were used
	harmonic  []harmonicSum
	tonePower float64 // 0: no tone
}

// keep fills kept from what was summed. The output is the mean square of the
// filtered sound over all samples: w S + (N+D), with the filter's power weight w
// at the tone.
func (m *measuring) keep(t totals, cv weight.Curve, how job.Reading) {
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
	m.kept.output, m.kept.clicks, m.kept.seconds = e.whole(), len(t.clicks), t.seconds
	if e.tone {
		m.kept.harmonic, m.kept.tonePower = t.harmonic, t.tonePower
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

// percent is the root of the summed power of harmonics, those of every step-th
// order from the first on, against the fundamental, with the interval of fitted
// lines in noise, less what noise alone adds (scatter.Lines). It takes a while,
// so it is computed only where it is asked for.
func (k kept) percent(name string, first, last, step int) Reading {
	if k.tonePower == 0 {
		return none(name, "%", whyNoTone)
	}
	var l scatter.Lines
	sum := 0.0
	for order := first; order <= min(last, len(k.harmonic)+1); order += step {
		h := k.harmonic[order-2]
		l.AddMean(h.power, h.floor, h.square)
		sum += h.power
	}
	if first > len(k.harmonic)+1 {
		return none(name, "%", "no such harmonic fits below 0.45 of the sample rate")
	}
	pc := func(p float64) float64 { return 100 * math.Sqrt(math.Max(0, p)/k.tonePower) }
	low, high := l.Interval95()
	return reading(name, "%", pc(sum), math.Min(pc(sum), pc(low)), math.Max(pc(sum), pc(high)))
}

// even and odd are the harmonics 2, 4, 6 ... and 3, 5, 7 ...
func (k kept) even() Reading { return k.percent(EvenHarmonics, 2, maxOrder, 2) }
func (k kept) odd() Reading  { return k.percent(OddHarmonics, 3, maxOrder, 2) }

// harmonics is each by itself.
func (k kept) harmonics() []Reading {
	var out []Reading
	for i := range k.harmonic {
		out = append(out, k.percent(fmt.Sprintf("%s%d", HarmonicOf, i+2), i+2, i+2, 1))
	}
	return out
}

// output is the whole audio of a row through the filter.
func output(u Used) Reading { return u.Measured.kept.output }
