package reading

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/soundness"
)

// bySource widens the readings that the way of the sound may have moved: SINAD and S/N
// by what that way was seen to do to SINAD, THD+N and noise by the same the other way
// round, and distortion where it lies as deep as a SINAD that is "at least".
func (m *measuring) bySource() {
	s := m.Get(analyze.SINAD)
	if m.Coded == "" || !s.OK() {
		return
	}
	e := soundness.MisreadOf(m.Coded, s.Value)
	better, worse := "", ""
	if e.Open {
		better, worse = "high", "low"
	}
	for i, r := range m.Readings {
		switch r.Name {
		case analyze.SINAD, analyze.SNR:
			m.Readings[i] = misread(r, r.Value-e.High, r.Value+e.Low, better)
		case analyze.NoiseLevel:
			m.Readings[i] = misread(r, r.Value-e.Low, r.Value+e.High, worse)
		case analyze.THDN:
			m.Readings[i] = misread(r, r.Value*math.Pow(10, -e.Low/20), r.Value*math.Pow(10, e.High/20), worse)
		case analyze.THD:
			if depth := soundness.MisreadOf(m.Coded, 20*math.Log10(100/math.Max(r.Value, 1e-3))); r.OK() && depth.Open {
				m.Readings[i] = misread(r, 0, r.Value, "low")
			}
		}
	}
}

// misread is a reading whose true value may lie anywhere from low to high for another
// reason than its scatter, which joins both ends as it is (GUM, F.2.4.5, from memory).
func misread(r analyze.Reading, low, high float64, oneSided string) analyze.Reading {
	if r.HasInterval() {
		r.Low, r.High, r.OneSided = r.Low-(r.Value-low), r.High+(high-r.Value), oneSided
		if r.Unit == "%" {
			r.Low = math.Max(0, r.Low)
		}
	}
	return r
}
