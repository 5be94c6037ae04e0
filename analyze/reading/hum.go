package reading

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/mains"
)

// hum adds level and frequency of the mains family and the level of its buzz. Where no
// family stands out, the level has an upper bound.
func (m *measuring) hum(e estimator) {
	h := e.t.Hum
	m.ToneOnMains, m.HumOrTone = 0, 0
	switch {
	case e.whyNot == analyze.WhySilence:
		m.add(analyze.None(analyze.HumLevel, "dBFS", analyze.WhySilence))
		m.add(analyze.None(analyze.HumFrequency, "Hz", analyze.WhySilence))
		return
	case h.Unsteady:
		m.add(analyze.None(analyze.HumLevel, "dBFS", whyComesAndGoes))
		m.add(analyze.None(analyze.HumFrequency, "Hz", whyComesAndGoes))
		return
	case !h.Found:
		m.add(analyze.AtMost(analyze.HumLevel, "dBFS", analyze.DBFS(h.High), analyze.WhyNoLine))
		m.humOrTone(e, h.Alone, true)
		m.add(analyze.None(analyze.HumFrequency, "Hz", analyze.WhyNoLine))
		return
	}
	m.HumLines = nil
	for _, l := range h.Lines {
		m.HumLines = append(m.HumLines, analyze.HumLine{FrequencyHz: l.Hz, LevelDBFS: analyze.DBFS(l.Net)})
	}
	m.ToneOnMains = nominal(h.OnTone, h)
	m.humOrTone(e, h.Twin, h.TwinIn)
	m.add(e.ofLines(analyze.NewReading(analyze.HumLevel, "dBFS", analyze.DBFS(h.Value), analyze.DBFS(h.Low), analyze.DBFS(h.High))))
	m.add(analyze.Exact(analyze.HumFrequency, "Hz", h.Hz, "the mains wander"))
	if b := e.t.Buzz; b.Found {
		m.add(e.ofLines(analyze.NewReading(analyze.BuzzLevel, "dBFS", analyze.DBFS(b.Value), analyze.DBFS(b.Low), analyze.DBFS(b.High))))
	} else if b.High > 0 {
		m.add(analyze.AtMost(analyze.BuzzLevel, "dBFS", analyze.DBFS(b.High), analyze.WhyNoLine))
	}
}

// humOrTone notes a line that may be hum or a tone, and whether it counts as hum.
func (m *measuring) humOrTone(e estimator, l mains.Lone, counts bool) {
	if l.Hz > 0 && l.Net > twinMatters*e.t.Total {
		m.HumOrTone, m.HumOrToneDBFS, m.HumHasIt = l.Hz, analyze.DBFS(l.Net), counts
	}
}

// twinMatters is the share of all sound from which it is said that a line may be hum or
// a sub-audible tone: 40 dB below it neither troubles anybody.
const twinMatters = 1e-4

const whyComesAndGoes = "lines on mains multiples come and go: they may be speech, data or test tones"

// nominal is the multiple of the mains frequency that a line stands for: of 50 or 60 Hz
// where the mains are near, else of what they are.
func nominal(hz float64, h mains.Level) float64 {
	f := h.Hz
	for _, public := range []float64{50, 60} {
		if math.Abs(f-public) < 1.5 {
			f = public
		}
	}
	if f == 0 {
		return hz
	}
	return f * math.Round(hz/h.Hz)
}
