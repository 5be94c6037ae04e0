package reading

import (
	"fmt"
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/analyze/internal/weight"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

const (
	whyLoose = "the mains wander, so hum and noise cannot be told apart"

	noScatter = "a largest sample has no interval"
)

// fill turns what was summed into readings, each with its interval.
func (m *measuring) fill(t chunk.Totals, cv weight.Curve, how job.Reading) {
	e := estimator{t: t, curve: cv, deviation: how.Deviation, fm: how.Mode == "" || how.Mode == job.FM}
	e.prepare()
	m.levels(e, how)
	m.toneReadings(e, how)
	m.hum(e)
	m.warn(e, how)
}

// estimator holds what the readings of one recording are computed from.
type estimator struct {
	t         chunk.Totals
	curve     weight.Curve
	weight    float64 // the filter's power weight at the tone
	tone      bool
	whyNot    analyze.Why
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
	e.nd = t.Nd
	e.lines = math.Max(0, t.Nd-t.Noise)
	e.weight = e.curve.Line(t.Tone.Hz)
	switch {
	case t.N == 0 || t.Total == 0:
		e.whyNot = analyze.WhySilence
	case t.WithTone == 0 && t.Warbles > 0:
		e.whyNot = analyze.WhyUnsteady
	case t.WithTone == 0 || t.WithTone < t.Parts:
		e.whyNot = analyze.WhyNoTone
	case e.weight*t.TonePower < chunk.MinToneShare*e.nd:
		e.whyNot = analyze.WhyNoTone
	case t.Refuse != "":
		e.whyNot = analyze.Why(t.Refuse)
	case t.Skirt > skirtRefused*t.TonePower:
		e.whyNot = analyze.WhyUnsteady
	default:
		e.tone = true
	}
}

// blockMeans are the joined blocks without block skip (-1: all of them).
func (e *estimator) blockMeans(skip int) chunk.Block {
	var s chunk.Block
	for i, b := range e.t.Blocks {
		if i == skip {
			continue
		}
		s.Seconds += b.Seconds
		s.Total += b.Total * b.Seconds
		s.Amplitude += b.Amplitude * b.Seconds
		s.Nd += b.Nd * b.Seconds
		s.Clicks += b.Clicks * b.Seconds
	}
	s.Total /= s.Seconds
	s.Amplitude /= s.Seconds
	s.Nd /= s.Seconds
	s.Clicks /= s.Seconds
	return s
}

// spread gives value the 95 % interval that the jackknife over blocks of the
// statistic f shows.
func (e *estimator) spread(name, unit string, value float64, f func(chunk.Block) float64) analyze.Reading {
	n := len(e.t.Blocks)
	if n < leastBlocks {
		return analyze.Exact(name, unit, value, tooShort(e.t.Seconds))
	}
	leave := make([]float64, n)
	all := e.blockMeans(-1)
	for i, b := range e.t.Blocks {
		rest := chunk.Block{Seconds: all.Seconds - b.Seconds}
		k := 1 / rest.Seconds
		rest.Total = math.Max(0, (all.Total*all.Seconds-b.Total*b.Seconds)*k)
		rest.Amplitude = (all.Amplitude*all.Seconds - b.Amplitude*b.Seconds) * k
		rest.Nd = math.Max(0, (all.Nd*all.Seconds-b.Nd*b.Seconds)*k)
		rest.Clicks = (all.Clicks*all.Seconds - b.Clicks*b.Seconds) * k
		leave[i] = f(rest)
		if !analyze.Finite(leave[i]) {
			return analyze.Exact(name, unit, value, "the recording gives no interval")
		}
	}
	h := scatter.StudentT(float64(n-1), 0.95) * scatter.Jackknife(leave)
	return analyze.NewReading(name, unit, value, value-h, value+h)
}

// What an interval needs to hold the truth in 95 of 100: an interval from blocks ten of
// them, which half a second has; that of the noise without its lines about one second;
// that of fitted lines 0.3 s, by which the noise around them is known well enough (of
// 0.1 and 0.2 s it held in 90 to 95 of 100).
const (
	leastBlocks   = 10
	noiseSeconds  = 0.95
	lineSeconds   = 0.29
	honestSeconds = 1
)

// ofLines withholds the interval of a reading of fitted lines if the recording is too
// short for it.
func (e *estimator) ofLines(r analyze.Reading) analyze.Reading {
	if r.HasInterval() && e.t.Seconds < lineSeconds {
		return analyze.Exact(r.Name, r.Unit, r.Value, tooShort(e.t.Seconds))
	}
	return r
}

func tooShort(seconds float64) string {
	return fmt.Sprintf("too short for an honest interval: record at least %.1f s more", math.Max(0.1, honestSeconds-seconds))
}

func (m *measuring) add(r analyze.Reading) { m.Readings = append(m.Readings, r) }

// levels are the readings that need no tone.
func (m *measuring) levels(e estimator, how job.Reading) {
	t := e.t
	if e.whyNot == analyze.WhySilence {
		for _, n := range []string{analyze.Level, analyze.NoiseLevel, analyze.Peak} {
			m.add(analyze.None(n, "dBFS", analyze.WhySilence))
		}
		m.add(analyze.Exact(analyze.DCOffset, "FS", t.Offset, "the recording holds no sound"))
		return
	}
	level := e.spread(analyze.Level, "dBFS", analyze.DBFS(t.Total), func(b chunk.Block) float64 { return analyze.DBFS(b.Total) })
	m.add(level)
	m.add(analyze.Exact(analyze.Peak, "dBFS", 20*math.Log10(t.Peak), noScatter))
	h := scatter.Normal95 * math.Sqrt(t.OffsetVar)
	m.add(e.ofLines(analyze.NewReading(analyze.DCOffset, "FS", t.Offset, t.Offset-h, t.Offset+h)))
	if t.Loose > looseMatters*t.Noise {
		m.add(analyze.None(analyze.NoiseLevel, "dBFS", whyLoose))
	} else if t.Noise > 0 {
		m.add(e.withClicks(analyze.NoiseLevel, "dBFS", analyze.DBFS(t.Noise), func(_, nd float64) float64 { return analyze.DBFS(nd - e.lines) }))
	} else {
		m.add(analyze.None(analyze.NoiseLevel, "dBFS", analyze.WhySilence))
	}
	if how.FullScaleVolts > 0 {
		m.calibrated(level, how)
	}
}

// calibrated adds volts and watts: V = full-scale volts x 10^(dBFS/20), P = V^2 / load.
func (m *measuring) calibrated(level analyze.Reading, how job.Reading) {
	volts := func(db float64) float64 { return how.FullScaleVolts * math.Pow(10, db/20) }
	convert := func(name, unit string, f func(float64) float64) analyze.Reading {
		if !level.OK() {
			return analyze.None(name, unit, level.Why)
		}
		if !level.HasInterval() {
			return analyze.Exact(name, unit, f(level.Value), level.NoInterval)
		}
		return analyze.NewReading(name, unit, f(level.Value), f(level.Low), f(level.High))
	}
	m.add(convert(analyze.LevelVolts, "V", volts))
	if how.LoadOhms > 0 {
		m.add(convert(analyze.Power, "W", func(db float64) float64 { v := volts(db); return v * v / how.LoadOhms }))
	}
}

// toneReadings are those that only a tone has.
func (m *measuring) toneReadings(e estimator, _ job.Reading) {
	if !e.tone {
		for _, r := range []struct{ name, unit string }{{analyze.ToneFrequency, "Hz"}, {analyze.ToneDrift, "Hz/s"}, {analyze.ToneLevel, "dBFS"}, {analyze.SINAD, "dB"}, {analyze.THD, "%"}, {analyze.THDN, "%"}, {analyze.SNR, "dB"}} {
			m.add(analyze.None(r.name, r.unit, e.whyNot))
		}
		return
	}
	t := e.t
	h := scatter.Normal95 * math.Sqrt(t.FreqVar)
	m.add(e.ofLines(analyze.NewReading(analyze.ToneFrequency, "Hz", t.Tone.Hz, t.Tone.Hz-h, t.Tone.Hz+h)))
	if d := scatter.Normal95 * math.Sqrt(t.DriftVar); d > 0 {
		m.add(analyze.NewReading(analyze.ToneDrift, "Hz/s", t.Drift, t.Drift-d, t.Drift+d))
	} else {
		m.add(analyze.None(analyze.ToneDrift, "Hz/s", "too short: record 1 s or more"))
	}
	m.add(e.spread(analyze.ToneLevel, "dBFS", analyze.DBFS(t.TonePower), func(b chunk.Block) float64 { return 20 * math.Log10(b.Amplitude) }))
	m.distortion(e)
	if e.weight == 0 {
		for _, r := range []struct{ name, unit string }{{analyze.SINAD, "dB"}, {analyze.THDN, "%"}, {analyze.SNR, "dB"}} {
			m.add(analyze.None(r.name, r.unit, "the filter does not pass the tone"))
		}
		return
	}
	if e.nd <= 0 || t.Noise <= 0 {
		for _, r := range []struct{ name, unit string }{{analyze.SINAD, "dB"}, {analyze.THDN, "%"}, {analyze.SNR, "dB"}} {
			m.add(analyze.None(r.name, r.unit, "nothing is left beside the tone"))
		}
		return
	}
	s := e.withSlips(e.withClicks(analyze.SINAD, "dB", sinad(e.weight*t.TonePower, e.nd), sinad))
	m.add(s)
	percent := func(db float64) float64 { return 100 * math.Pow(10, -db/20) }
	if s.HasInterval() {
		m.add(analyze.NewReading(analyze.THDN, "%", percent(s.Value), percent(s.High), percent(s.Low)))
	} else {
		m.add(analyze.Exact(analyze.THDN, "%", percent(s.Value), s.NoInterval))
	}
	if t.Loose > looseMatters*t.Noise {
		m.add(analyze.None(analyze.SNR, "dB", whyLoose))
		return
	}
	m.add(e.withSlips(e.withClicks(analyze.SNR, "dB", 10*math.Log10(e.weight*t.TonePower/t.Noise), func(s, nd float64) float64 {
		return 10 * math.Log10(s/(nd-e.lines))
	})))
}

// withSlips takes the interval from a ratio that is at least what it reads.
func (e *estimator) withSlips(r analyze.Reading) analyze.Reading {
	if !e.t.ManySlips() || !r.OK() {
		return r
	}
	return analyze.Exact(r.Name, r.Unit, r.Value, "samples were lost so often that this is a bound: the sound is at least as good")
}

// sinad is 10 log10((S+N+D)/(N+D)) of two mean squares.
func sinad(s, nd float64) float64 { return 10 * math.Log10((s+nd)/nd) }

// distortion is the root of the harmonics' summed power over the tone's, less
// what noise alone adds to fitted lines.
func (m *measuring) distortion(e estimator) {
	t := e.t
	if len(t.Harmonic) == 0 {
		m.add(analyze.None(analyze.THD, "%", "no harmonic fits below 0.45 of the sample rate"))
		return
	}
	var fitted scatter.Lines
	sum := 0.0
	for i, h := range t.Harmonic {
		p := math.Max(0, h.Power)
		m.Harmonics = append(m.Harmonics, analyze.Harmonic{Order: i + 2, Percent: 100 * math.Sqrt(p/t.TonePower)})
		sum += h.Power
		fitted.AddMean(h.Power, h.Floor, h.Square)
	}
	low, high := fitted.Interval95()
	pc := func(p float64) float64 { return 100 * math.Sqrt(math.Max(0, p)/t.TonePower) }
	m.add(e.ofLines(analyze.NewReading(analyze.THD, "%", pc(sum), math.Min(pc(sum), pc(low)), math.Max(pc(sum), pc(high)))))
}

// warn adds what the sound itself shows.
func (m *measuring) warn(e estimator, how job.Reading) {
	t := e.t
	said := slices.ContainsFunc(m.Warnings, func(w capture.Warning) bool { return w.Code == capture.Unsteady })
	if !said && (e.tone && t.Skirt > skirtWarned*t.TonePower || e.whyNot == analyze.WhyUnsteady) {
		says := note.Of("tone-flutters")
		if t.WithTone == 0 && t.Warbles > 0 {
			says = note.Of("tone-warbles", note.Hz(t.Warbles))
		}
		m.Warnings = append(m.Warnings, capture.Warning{Code: capture.Unsteady, Says: says})
	}
	if t.Sub.Hz > 0 {
		m.SubAudibleTone, m.SubAudibleDBFS = t.Sub.Hz, analyze.DBFS(t.Sub.Net())
	}
	if !e.tone {
		if t.Other.Hz > 0 {
			m.OtherTone = t.Other.Hz
		}
		return
	}
	if t.Other.Hz > 0 {
		m.Warnings = append(m.Warnings, capture.Warning{Code: capture.OtherTone, Says: note.Of("tone-beside", note.Hz(t.Other.Hz), note.DBFS(analyze.DBFS(t.Other.Net())))})
	}
	if !said {
		m.wavers(e)
	}
	if drifts := t.Moved && t.Span() > driftWarned; drifts && how.Mode != job.SSB {
		m.Warnings = append(m.Warnings, capture.Warning{Code: capture.ToneDrifts, Says: note.Of("tone-drifts", note.Hz(t.Span()))})
	}
	if off := t.Tone.Hz/how.Tone() - 1; math.Abs(off) > 0.02 {
		m.Warnings = append(m.Warnings, capture.Warning{Code: capture.ToneOffFrequency,
			Says: note.Of("tone-off-frequency", note.Hz(t.Tone.Hz), note.Percent(100*off), note.Hz(how.Tone()))})
	}
}

const (
	driftWarned  = 0.5  // Hz by which an audio oscillator moves; the tone of an SSB set moves with its tuning
	waversWarned = 0.03 // share of noise and distortion: 0.13 dB
	waversLeast  = 1e-9 // of the tone's power: below, arithmetic is seen
)

// wavers warns of a tone whose phase or level goes to and fro, so that noise and distortion
// hold what it puts beside itself.
func (m *measuring) wavers(e estimator) {
	t := e.t
	if e.nd <= 0 {
		return
	}
	sways, swings := math.Max(0, t.Sways)*e.weight/e.nd, math.Max(0, t.Swings)*e.weight/e.nd
	share := sways + swings
	if share <= waversWarned || share*e.nd < waversLeast*t.TonePower {
		return
	}
	what := "phase-wavers"
	if swings > sways {
		what = "level-wavers-as-noise"
	}
	m.Warnings = append(m.Warnings, capture.Warning{Code: capture.ToneWavers, Says: note.Of(what, note.DB(-10*math.Log10(math.Max(0.01, 1-share))))})
}
