package kind

import (
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/dft"
)

// A spectrum for a picture.
const (
	spectrumSeconds = 0.2 // of a segment: lines 25 Hz apart stand apart
	spectrumMost    = 10  // seconds that are looked at
	spectrumLow     = 40  // Hz
	spectrumHigh    = 10e3
	spectrumPoints  = 240 // along the picture, each the strongest of what it covers
)

// Spectrum is the mean of windowed spectra of a recording (Hann window, half
// overlapping: Welch, IEEE Trans. Audio Electroacoust. AU-15, 1967), scaled so that
// a line reads its own level in dBFS; noise reads lower the longer a segment is. It
// is for pictures only: no figure is taken from it. With it come the places of the
// tone, the harmonics and the hum lines that m found. A recording shorter than a
// segment gives none.
func Spectrum(r capture.Recording, m analyze.Measured) ([]analyze.Line, error) {
	n := dft.Smooth(int(spectrumSeconds * float64(r.Rate)))
	if r.Rate <= 0 || r.Count < int64(n) {
		return nil, nil
	}
	power, err := welch(r, n)
	if err != nil || power == nil {
		return nil, err
	}
	hz := float64(r.Rate) / float64(n)
	line := analyze.Line{Picture: analyze.SpectrumPicture, Name: "level of lines", Role: analyze.RoleCurve, X: analyze.Quantity{Name: "frequency", Unit: "Hz"}, Y: analyze.Quantity{Name: "level", Unit: "dBFS"}, LogX: true}
	top := math.Min(spectrumHigh, 0.45*float64(r.Rate))
	ratio := math.Pow(top/spectrumLow, 1.0/spectrumPoints)
	for low := float64(spectrumLow); low < top; {
		first := int(math.Ceil(low / hz))
		last := max(first, int(math.Ceil(low*ratio/hz))-1)
		best := first
		for k := first; k <= last && k < len(power); k++ {
			if power[k] > power[best] {
				best = k
			}
		}
		if best >= len(power) {
			break
		}
		y := 10 * math.Log10(math.Max(power[best], 1e-18))
		line.Points = append(line.Points, analyze.Dot{X: float64(best) * hz, Y: y, Low: y, High: y})
		low = math.Max(low*ratio, (float64(last)+0.5)*hz)
	}
	if len(line.Points) < 2 {
		return nil, nil
	}
	return append([]analyze.Line{line}, spectrumMarks(line, m)...), nil
}

// welch is the mean of squared spectra, each bin as the mean square of a line in
// it over that of a full-scale sine.
func welch(r capture.Recording, n int) ([]float64, error) {
	window, sum := make([]float64, n), 0.0
	for i := range window {
		window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n))
		sum += window[i]
	}
	power, x := make([]float64, n/2+1), make([]float64, n)
	var held []float64
	var coeff []complex128
	segments, seen := 0, int64(0)
	for block, err := range r.Blocks() {
		if err != nil {
			return nil, err
		}
		held = append(held, block...)
		for len(held) >= n {
			for i := range x {
				x[i] = held[i] * window[i]
			}
			coeff = dft.Forward(coeff, x)
			for k, c := range coeff {
				power[k] += 4 * (real(c)*real(c) + imag(c)*imag(c)) / (sum * sum)
			}
			segments++
			held = held[n/2:]
		}
		if seen += int64(len(block)); seen > spectrumMost*int64(r.Rate) {
			break
		}
	}
	if segments == 0 {
		return nil, nil
	}
	for k := range power {
		power[k] /= float64(segments)
	}
	return power, nil
}

// spectrumMarks name the lines that were found, the tone first.
func spectrumMarks(line analyze.Line, m analyze.Measured) []analyze.Line {
	mark := line
	mark.Role = analyze.RoleMark
	var all []analyze.Line
	add := func(name string, hz, dbfs float64) {
		if hz >= line.Points[0].X && hz <= line.Points[len(line.Points)-1].X && analyze.Finite(dbfs) {
			mark.Name, mark.Points = name, []analyze.Dot{{X: hz, Y: dbfs, Low: dbfs, High: dbfs}}
			all = append(all, mark)
		}
	}
	tone, level := m.Get(analyze.ToneFrequency), m.Get(analyze.ToneLevel)
	if tone.OK() && level.OK() {
		add("tone", tone.Value, level.Value)
		for _, h := range m.Harmonics {
			if h.Percent > 0.01 {
				add(fmt.Sprintf("harmonic %d", h.Order), tone.Value*float64(h.Order), level.Value+20*math.Log10(h.Percent/100))
			}
		}
	}
	for _, l := range m.HumLines {
		add(fmt.Sprintf("hum %.0f Hz", l.FrequencyHz), l.FrequencyHz, l.LevelDBFS)
	}
	return all
}

// spectrumOf is the spectrum of the stretch that was measured, out of the
// recordings of a test.
func spectrumOf(rs []capture.Recording, m analyze.Measured) ([]analyze.Line, error) {
	for _, r := range rs {
		if r.Origin.File != m.Origin.File || r.Origin.Channel != m.Origin.Channel {
			continue
		}
		first := max(0, int64(math.Round(m.From*float64(r.Rate)))-r.First)
		last := min(r.Count, int64(math.Round(m.To*float64(r.Rate)))-r.First)
		if first >= last {
			continue
		}
		part, err := r.Cut(first, last-first)
		if err != nil {
			return nil, err
		}
		return Spectrum(part, m)
	}
	return nil, nil
}
