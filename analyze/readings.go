package analyze

import (
	"fmt"
	"math"
	"slices"

	"hisspoint/analyze/internal/scatter"
	"hisspoint/analyze/internal/weight"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

const (
	whyNoTone  = "tone-missing"
	whySilence = "silence"
	whyLoose   = "the mains wander, so hum and noise cannot be told apart"
	noScatter  = "a largest sample has no interval"
)

// fill turns what was summed into readings, each with its interval.
func (m *measuring) fill(t totals, cv weight.Curve, how job.Reading) {
	e := estimator{t: t, curve: cv, deviation: how.Deviation, fm: how.Mode == "" || how.Mode == job.FM}
	e.prepare()
	m.levels(e, how)
	m.toneReadings(e, how)
	m.hum(e)
	m.warn(e, how)
}

// estimator holds what the readings of one recording are computed from.
type estimator struct {
	t         totals
	curve     weight.Curve
	weight    float64 // the filter's power weight at the tone
	tone      bool
	whyNot    string
	nd        float64 // filtered, without the tone (all of it if there is none)
	fm        bool    // noise may come in clicks
	deviation float64 // Hz, peak, of an FM generator; 0: not stated
	lines     float64 // harmonics and hum within nd, filtered
}

// looseMatters is the share of the noise from which what wandering hum leaves
// behind withholds the noise: 5 % of it are 0.2 dB. SINAD counts both and stays right.
const looseMatters = 0.05

// What a tone that is keyed, fades or flutters puts beside itself, as a share of
// its power: none of 240 simulated FM recordings from 1 dB SINAD up passed 0.018,
// while a flutter of 3 dB between peaks has 0.02 and one of 5 dB has 0.04.
const (
	skirtWarned  = 0.03
	skirtRefused = 0.25
)

func (e *estimator) prepare() {
	t := e.t
	e.nd = t.nd
	e.lines = math.Max(0, t.nd-t.noise)
	e.weight = e.curve.Line(t.tone.hz)
	switch {
	case t.n == 0 || t.total == 0:
		e.whyNot = whySilence
	case t.withTone == 0 || t.withTone < t.parts:
		e.whyNot = whyNoTone
	case e.weight*t.tonePower < minToneShare*e.nd:
		e.whyNot = whyNoTone
	case t.refuse != "":
		e.whyNot = t.refuse
	case t.skirt > skirtRefused*t.tonePower:
		e.whyNot = whyUnsteady
	default:
		e.tone = true
	}
}

// blockMeans are the joined blocks without block skip (-1: all of them).
func (e *estimator) blockMeans(skip int) block {
	var s block
	for i, b := range e.t.blocks {
		if i == skip {
			continue
		}
		s.seconds += b.seconds
		s.total += b.total * b.seconds
		s.amplitude += b.amplitude * b.seconds
		s.nd += b.nd * b.seconds
		s.clicks += b.clicks * b.seconds
	}
	s.total /= s.seconds
	s.amplitude /= s.seconds
	s.nd /= s.seconds
	s.clicks /= s.seconds
	return s
}

// spread gives value the 95 % interval that the jackknife over blocks of the
// statistic f shows.
func (e *estimator) spread(name, unit string, value float64, f func(block) float64) Reading {
	n := len(e.t.blocks)
	if n < leastBlocks {
		return exact(name, unit, value, tooShort(e.t.seconds))
	}
	leave := make([]float64, n)
	all := e.blockMeans(-1)
	for i, b := range e.t.blocks {
		rest := block{seconds: all.seconds - b.seconds}
		k := 1 / rest.seconds
		rest.total = math.Max(0, (all.total*all.seconds-b.total*b.seconds)*k)
		rest.amplitude = (all.amplitude*all.seconds - b.amplitude*b.seconds) * k
		rest.nd = math.Max(0, (all.nd*all.seconds-b.nd*b.seconds)*k)
		rest.clicks = (all.clicks*all.seconds - b.clicks*b.seconds) * k
		leave[i] = f(rest)
		if !finite(leave[i]) {
			return exact(name, unit, value, "the recording gives no interval")
		}
	}
	h := scatter.StudentT(float64(n-1), 0.95) * scatter.Jackknife(leave)
	return reading(name, unit, value, value-h, value+h)
}

// leastBlocks is how many blocks an interval is made from at least, which half a
// second has. The noise without its lines has an honest one from about one second on.
// Fitted lines have theirs from the noise around them, which is known well enough from
// 0.3 s on: at 0.1 and 0.2 s it held the truth 90 to 95 % of the time.
const (
	leastBlocks   = 10
	noiseSeconds  = 0.95
	lineSeconds   = 0.29
	honestSeconds = 1
)

// ofLines withholds the interval of a reading of fitted lines if the recording is too
// short for it.
func (e *estimator) ofLines(r Reading) Reading {
	if r.HasInterval() && e.t.seconds < lineSeconds {
		return exact(r.Name, r.Unit, r.Value, tooShort(e.t.seconds))
	}
	return r
}

func tooShort(seconds float64) string {
	return fmt.Sprintf("too short for an honest interval: record at least %.1f s more", math.Max(0.1, honestSeconds-seconds))
}

func (m *measuring) add(r Reading) { m.Readings = append(m.Readings, r) }

// levels are the readings that need no tone.
func (m *measuring) levels(e estimator, how job.Reading) {
	t := e.t
	if e.whyNot == whySilence {
		for _, n := range []string{Level, NoiseLevel, Peak} {
			m.add(none(n, "dBFS", whySilence))
		}
		m.add(exact(DCOffset, "FS", t.offset, "the recording holds no sound"))
		return
	}
	level := e.spread(Level, "dBFS", dbfs(t.total), func(b block) float64 { return dbfs(b.total) })
	m.add(level)
	m.add(exact(Peak, "dBFS", 20*math.Log10(t.peak), noScatter))
	h := scatter.Normal95 * math.Sqrt(t.offsetVar)
	m.add(e.ofLines(reading(DCOffset, "FS", t.offset, t.offset-h, t.offset+h)))
	if t.loose > looseMatters*t.noise {
		m.add(none(NoiseLevel, "dBFS", whyLoose))
	} else if t.noise > 0 {
		m.add(e.withClicks(NoiseLevel, "dBFS", dbfs(t.noise), func(_, nd float64) float64 { return dbfs(nd - e.lines) }))
	} else {
		m.add(none(NoiseLevel, "dBFS", whySilence))
	}
	if how.FullScaleVolts > 0 {
		m.calibrated(level, how)
	}
}

// calibrated adds volts and watts: V = full-scale volts x 10^(dBFS/20), P = V^2 / load.
func (m *measuring) calibrated(level Reading, how job.Reading) {
	volts := func(db float64) float64 { return how.FullScaleVolts * math.Pow(10, db/20) }
	convert := func(name, unit string, f func(float64) float64) Reading {
		if !level.OK() {
			return none(name, unit, level.Why)
		}
		if !level.HasInterval() {
			return exact(name, unit, f(level.Value), level.NoInterval)
		}
		return reading(name, unit, f(level.Value), f(level.Low), f(level.High))
	}
	m.add(convert(LevelVolts, "V", volts))
	if how.LoadOhms > 0 {
		m.add(convert(Power, "W", func(db float64) float64 { v := volts(db); return v * v / how.LoadOhms }))
	}
}

// toneReadings are those that only a tone has.
func (m *measuring) toneReadings(e estimator, _ job.Reading) {
	if !e.tone {
		for _, r := range []struct{ name, unit string }{{ToneFrequency, "Hz"}, {ToneLevel, "dBFS"}, {SINAD, "dB"}, {THD, "%"}, {THDN, "%"}, {SNR, "dB"}} {
			m.add(none(r.name, r.unit, e.whyNot))
		}
		return
	}
	t := e.t
	h := scatter.Normal95 * math.Sqrt(t.freqVar)
	m.add(e.ofLines(reading(ToneFrequency, "Hz", t.tone.hz, t.tone.hz-h, t.tone.hz+h)))
	m.add(e.spread(ToneLevel, "dBFS", dbfs(t.tonePower), func(b block) float64 { return 20 * math.Log10(b.amplitude) }))
	m.distortion(e)
	if e.weight == 0 {
		for _, r := range []struct{ name, unit string }{{SINAD, "dB"}, {THDN, "%"}, {SNR, "dB"}} {
			m.add(none(r.name, r.unit, "the filter does not pass the tone"))
		}
		return
	}
	if e.nd <= 0 || t.noise <= 0 {
		for _, r := range []struct{ name, unit string }{{SINAD, "dB"}, {THDN, "%"}, {SNR, "dB"}} {
			m.add(none(r.name, r.unit, "nothing is left beside the tone"))
		}
		return
	}
	s := e.withClicks(SINAD, "dB", sinad(e.weight*t.tonePower, e.nd), sinad)
	m.add(s)
	percent := func(db float64) float64 { return 100 * math.Pow(10, -db/20) }
	if s.HasInterval() {
		m.add(reading(THDN, "%", percent(s.Value), percent(s.High), percent(s.Low)))
	} else {
		m.add(exact(THDN, "%", percent(s.Value), s.NoInterval))
	}
	if t.loose > looseMatters*t.noise {
		m.add(none(SNR, "dB", whyLoose))
		return
	}
	m.add(e.withClicks(SNR, "dB", 10*math.Log10(e.weight*t.tonePower/t.noise), func(s, nd float64) float64 {
		return 10 * math.Log10(s/(nd-e.lines))
	}))
}

// sinad is 10 log10((S+N+D)/(N+D)) of two mean squares.
func sinad(s, nd float64) float64 { return 10 * math.Log10((s+nd)/nd) }

// distortion is the root of the harmonics' summed power over the tone's, less
// what noise alone adds to fitted lines.
func (m *measuring) distortion(e estimator) {
	t := e.t
	if len(t.harmonic) == 0 {
		m.add(none(THD, "%", "no harmonic fits below 0.45 of the sample rate"))
		return
	}
	var fitted scatter.Lines
	sum := 0.0
	for i, h := range t.harmonic {
		p := math.Max(0, h.power)
		m.Harmonics = append(m.Harmonics, Harmonic{Order: i + 2, Percent: 100 * math.Sqrt(p/t.tonePower)})
		sum += h.power
		fitted.AddMean(h.power, h.floor, h.square)
	}
	low, high := fitted.Interval95()
	pc := func(p float64) float64 { return 100 * math.Sqrt(math.Max(0, p)/t.tonePower) }
	m.add(e.ofLines(reading(THD, "%", pc(sum), math.Min(pc(sum), pc(low)), math.Max(pc(sum), pc(high)))))
}

// hum adds level and frequency of the mains family.
func (m *measuring) hum(e estimator) {
	t := e.t
	if len(t.humLines) == 0 {
		why := "no mains line stands above the noise"
		if e.whyNot == whySilence {
			why = whySilence
		}
		m.add(none(HumLevel, "dBFS", why))
		m.add(none(HumFrequency, "Hz", why))
		return
	}
	m.HumLines = nil
	for _, l := range t.humLines {
		m.HumLines = append(m.HumLines, HumLine{l.hz, dbfs(l.power)})
	}
	h := scatter.Normal95 * math.Sqrt(t.humVar)
	low, high := dbfs(math.Max(t.humPower-h, t.humPower*1e-3)), dbfs(t.humPower+h)
	m.add(e.ofLines(reading(HumLevel, "dBFS", dbfs(t.humPower), low, high)))
	m.add(exact(HumFrequency, "Hz", t.humHz, "the mains wander"))
}

// warn adds what the sound itself shows.
func (m *measuring) warn(e estimator, how job.Reading) {
	t := e.t
	m.ToneOnMains = t.onMains
	said := slices.ContainsFunc(m.Warnings, func(w capture.Warning) bool { return w.Code == whyUnsteady })
	if !said && (e.tone && t.skirt > skirtWarned*t.tonePower || e.whyNot == whyUnsteady) {
		m.Warnings = append(m.Warnings, capture.Warning{Code: whyUnsteady,
			Text: "the tone flutters or is keyed: what it puts beside itself counts as noise; record it steady"})
	}
	if t.sub.hz > 0 {
		m.SubAudibleTone, m.SubAudibleDBFS = t.sub.hz, dbfs(t.sub.power())
	}
	if !e.tone {
		if t.other.hz > 0 {
			m.OtherTone = t.other.hz
		}
		return
	}
	if off := t.tone.hz/how.Tone() - 1; math.Abs(off) > 0.02 {
		m.Warnings = append(m.Warnings, capture.Warning{Code: "tone-off-frequency",
			Text: fmt.Sprintf("the tone stands at %.1f Hz, %+.1f %% from the %g Hz expected", t.tone.hz, 100*off, how.Tone())})
	}
}
