// Package hint is what several tests of a round say together: what to look at in the
// set, and what the bench itself did to them. It knows kinds of tests by name, which is
// its subject, and must not compute a figure.
package hint

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

// Tested is one test of a round with what it gave.
type Tested struct {
	Kind, Name string
	Result     *analyze.Result
}

// hintRule looks at a round and says what it points to, or nothing.
type hintRule func(f findings) (analyze.Hint, bool)

// hintRules are tried in this order; each fires once at most. Bounds lie well
// outside what sets in working order show, and a figure fires only if its whole
// interval lies beyond the bound: a hint on a healthy set would be worse than none.
var hintRules = []hintRule{
	hintLeak, hintGroundLoop, hintReservoir, hintPickUp, hintAmplifierNoise, hintFrontEnd, hintOscillator,
	hintDetector, hintClipping, hintCrossover, hintCoupling, hintNoDeEmphasis, hintDoubleDeEmphasis, hintLimiting,
	hintSquelchDead, hintChatter,
	hintNoPreEmphasis, hintThinTransmit, hintOverDeviation, hintWeakLimiter, hintTransmitHum, hintTransmitNoise, hintModulator,
}

// All says what the figures of a round point to: never a diagnosis, each with
// the figures that fired it, what to check first and what else could explain it.
func All(tests []Tested) []analyze.Hint {
	f := findings{tests: tests}
	var all []analyze.Hint
	for _, rule := range hintRules {
		if h, fired := rule(f); fired {
			all = append(all, h)
		}
	}
	return all
}

// findings gives the rules the figures of a round.
type findings struct{ tests []Tested }

// result is the first test of a kind that gave something.
func (f findings) result(kind string) (analyze.Result, bool) {
	for _, t := range f.tests {
		if t.Kind == kind && t.Result != nil && t.Result.Why == "" {
			return *t.Result, true
		}
	}
	return analyze.Result{}, false
}

// figure is a figure of the first test of a kind; ok is false where there is no such
// test, or it gave no value.
func (f findings) figure(kind, name string) (r analyze.Reading, ok bool) {
	res, ok := f.result(kind)
	if !ok {
		return analyze.Reading{}, false
	}
	r = res.Get(name)
	return r, r.OK()
}

// strong is the recording of the strongest signal with a tone that any test of
// the receiver holds: the set's audio without its front end.
func (f findings) strong() (analyze.Measured, bool) {
	if r, ok := f.result(job.KindDistortion); ok {
		return r.Rows[0].Measured, true
	}
	if r, ok := f.result(job.KindHumNoise); ok {
		for _, u := range r.Rows {
			if analyze.HasTone(u) {
				return u.Measured, true
			}
		}
	}
	for _, t := range f.tests {
		if t.Result.Point == nil {
			continue
		}
		rows := t.Result.Series()
		if n := len(rows); n > 0 && analyze.Over(rows[n-1].Measured.Get(analyze.SINAD), 20) {
			return rows[n-1].Measured, true
		}
	}
	return analyze.Measured{}, false
}

// mainsLines are the hum of a recording, relative to its tone: the strongest
// line that is an even multiple of the mains frequency, and the strongest odd one.
// A tone that stands on the mains family, or hum that could not be told, gives none.
func mainsLines(m analyze.Measured) (even, odd analyze.HumLine, mains float64, ok bool) {
	tone := m.Get(analyze.ToneLevel)
	if !tone.OK() {
		return even, odd, 0, false
	}
	return mainsLinesOver(m, tone.Value)
}

// mainsLinesOver are these lines against a level in dBFS.
func mainsLinesOver(m analyze.Measured, dbfs float64) (even, odd analyze.HumLine, mains float64, ok bool) {
	hz := m.Get(analyze.HumFrequency)
	if !hz.OK() || !m.Get(analyze.HumLevel).OK() {
		return even, odd, 0, false
	}
	even.LevelDBFS, odd.LevelDBFS = math.Inf(-1), math.Inf(-1)
	for _, l := range m.HumLines {
		l.LevelDBFS -= dbfs
		n := int(math.Round(l.FrequencyHz / hz.Value))
		switch {
		case n%2 == 0 && l.LevelDBFS > even.LevelDBFS:
			even = l
		case n%2 == 1 && l.LevelDBFS > odd.LevelDBFS:
			odd = l
		}
	}
	return even, odd, hz.Value, true
}

// humTroubles is the level of a hum line against the audio, in dB, from which it
// is taken for trouble: sets in working order stay 10 dB and more below.
const humTroubles = -40

func hintReservoir(f findings) (analyze.Hint, bool) {
	m, ok := f.strong()
	if !ok {
		return analyze.Hint{}, false
	}
	even, odd, _, ok := mainsLines(m)
	if !ok || even.LevelDBFS < humTroubles || even.LevelDBFS < odd.LevelDBFS+6 {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "reservoir", Evidence: []note.Note{note.Of("hum-line", note.Hz(even.FrequencyHz), note.DB(-even.LevelDBFS))}}, true
}

func hintPickUp(f findings) (analyze.Hint, bool) {
	m, ok := f.strong()
	if !ok {
		return analyze.Hint{}, false
	}
	even, odd, mains, ok := mainsLines(m)
	if _, stays := humOfBench(f); stays || !ok || odd.LevelDBFS < humTroubles || odd.LevelDBFS < even.LevelDBFS+6 {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "pick-up", Evidence: []note.Note{note.Of("hum-line-on-mains", note.Hz(odd.FrequencyHz), note.DB(-odd.LevelDBFS), note.Hz(mains))}}, true
}

// humOfBench is the strongest odd line of the mains that stays with the volume
// at zero, against the audio, where odd lines lead there.
func humOfBench(f findings) (analyze.HumLine, bool) {
	floor, ok := f.result(job.KindBenchFloor)
	m, heard := f.strong()
	tone := m.Get(analyze.ToneLevel)
	if !ok || !heard || !tone.OK() {
		return analyze.HumLine{}, false
	}
	even, odd, _, ok := mainsLinesOver(floor.Rows[0].Measured, tone.Value)
	return odd, ok && odd.LevelDBFS > humTroubles && odd.LevelDBFS > even.LevelDBFS
}

func hintGroundLoop(f findings) (analyze.Hint, bool) {
	line, stays := humOfBench(f)
	if !stays {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "ground-loop", Evidence: []note.Note{note.Of("hum-line-at-zero", note.Hz(line.FrequencyHz), note.DB(-line.LevelDBFS))}}, true
}

func hintLeak(f findings) (analyze.Hint, bool) {
	leak, ok := f.figure(job.KindLeakage, job.FigureLeak)
	if !ok {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "leak", Evidence: []note.Note{note.Of("tone-past-cable", note.DB(leak.Value))}}, true
}

func hintAmplifierNoise(f findings) (analyze.Hint, bool) {
	floor, ok := f.figure(job.KindBenchFloor, analyze.NoiseLevel)
	m, heard := f.strong()
	tone := m.Get(analyze.ToneLevel)
	if !ok || !heard || !tone.OK() || !analyze.Over(floor, tone.Value-35) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "amplifier-noise", Evidence: []note.Note{note.Of("noise-at-zero", note.DB(tone.Value-floor.Value))}}, true
}

// sensitivity is the first sensitivity by SINAD that gave a point in dBm.
func (f findings) sensitivity() (analyze.Point, job.Criterion, bool) {
	for _, t := range f.tests {
		p := t.Result.Point
		if p != nil && t.Result.Setup.Criterion.Quantity == job.QuantitySINAD && p.Status == analyze.Found && p.Level.Scale == unit.Absolute {
			return *p, t.Result.Setup.Criterion, true
		}
	}
	return analyze.Point{}, job.Criterion{}, false
}

// What sets need for 12 dB SINAD, in dBm: good ones 0.25 to 0.35 uV PD (common
// practice); more than 0.7 uV is deaf, and up to 0.56 uV still in order.
const (
	deafDBm   = -110.0
	normalDBm = -112.0
)

// deafFor is the level beyond which a set is deaf by a criterion of SINAD: SINAD rises by
// 1 dB a dB at least, so one of more than 12 dB needs no more than the difference beyond.
func deafFor(c job.Criterion) float64 { return deafDBm + math.Max(0, c.Value-12) }

// ultimate is the signal to noise ratio of a strong signal.
func (f findings) ultimate() (analyze.Reading, bool) {
	if r, ok := f.figure(job.KindHumNoise, job.FigureNoiseBelow); ok {
		return r, true
	}
	m, ok := f.strong()
	r := m.Get(analyze.SNR)
	return r, ok && r.OK()
}

func hintFrontEnd(f findings) (analyze.Hint, bool) {
	p, c, ok := f.sensitivity()
	s, heard := f.ultimate()
	if !ok || !heard || p.NoInterval != "" || p.Low < deafFor(c) || !analyze.Over(s, 30) {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "front-end", Evidence: []note.Note{note.Of("needs-level", c.Label(), note.DBm(p.Level.DB)), note.Of("snr-when-strong", note.DB(s.Value))}}, true
}

func hintOscillator(f findings) (analyze.Hint, bool) {
	p, c, ok := f.sensitivity()
	s, heard := f.ultimate()
	if !ok || !heard || p.NoInterval != "" || p.High > normalDBm || !analyze.Under(s, 32) {
		return analyze.Hint{}, false
	}
	if _, stays := hintAmplifierNoise(f); stays {
		return analyze.Hint{}, false
	}
	return analyze.Hint{Name: "oscillator-noise", Evidence: []note.Note{note.Of("needs-little", c.Label(), note.DBm(p.Level.DB)), note.Of("noise-when-strong", note.DB(s.Value))}}, true
}
