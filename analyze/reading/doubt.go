package reading

import (
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/capture"
)

// doubtHum withholds hum of a recording that is not steady and whose mains lines
// from the third up stand far above the first two, where rectifiers and pick-up
// put most: test tones of 300, 400 or 500 Hz that come and go look like that.
func (m *measuring) doubtHum() {
	mains := m.Get(analyze.HumFrequency)
	if !mains.OK() || !slices.ContainsFunc(m.Warnings, func(w capture.Warning) bool { return w.Code == capture.Unsteady || w.Code == capture.GainChanged }) {
		return
	}
	low, high := math.Inf(-1), math.Inf(-1)
	for _, l := range m.HumLines {
		if math.Round(l.FrequencyHz/mains.Value) <= 2 {
			low = math.Max(low, l.LevelDBFS)
		} else {
			high = math.Max(high, l.LevelDBFS)
		}
	}
	if high < low+tonesOverHum {
		return
	}
	for i, r := range m.Readings {
		if r.Name == analyze.HumLevel || r.Name == analyze.HumFrequency || r.Name == analyze.BuzzLevel {
			m.Readings[i] = analyze.None(r.Name, r.Unit, whyComesAndGoes)
		}
	}
	m.HumLines, m.HumOrTone = nil, 0
}

// tonesOverHum is by how many dB upper mains lines stand above the first two in
// no set, in steady hum or not.
const tonesOverHum = 15
