package kind

import (
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// BenchFloor is a recording with the set's volume at zero: what is left of noise
// and hum comes from the audio amplifier's output, the wiring and the sound card,
// not from the receiver. A sound that is louder than it should be at zero volume
// (a tone) is refused.
func BenchFloor(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	m, err := reading.Measure(rs[0], t.Reading)
	if err != nil {
		return analyze.Result{}, err
	}
	u := analyze.Used{Take: t.Takes[0], Label: "volume at zero", Measured: m}
	if hz := takes.ToneIn(u); hz != "" {
		return analyze.Refused(t, hz+", so the volume was not at zero: turn it down and record again", u), nil
	}
	u.Worth = []analyze.Reading{m.Get(analyze.NoiseLevel), m.Get(analyze.HumLevel)}
	out := analyze.Result{Setup: t, Rows: []analyze.Used{u}, Figures: known([]analyze.Reading{m.Get(analyze.NoiseLevel), m.Get(analyze.HumLevel), m.Get(analyze.HumFrequency), m.Get(analyze.Level)})}
	out.Says = []note.Note{note.Phrase("What you hear at zero volume is the bench. Noise readings within 10 dB of it are not the receiver's alone.")}
	if h := m.Get(analyze.HumLevel); h.OK() {
		out.Says = append(out.Says, note.Phrase("Hum that stays at zero volume comes from a ground loop, the wiring or the amplifier's supply."))
	}
	return out, nil
}

// Leakage is a recording with the generator's output all the way down and its
// cable ended in a load, modulation on. A tone that is still heard comes past the
// cable: levels near it cannot be trusted.
func Leakage(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	m, err := reading.Measure(rs[0], t.Reading)
	if err != nil {
		return analyze.Result{}, err
	}
	s := m.Get(analyze.SINAD)
	s.Name = job.FigureLeak
	u := analyze.Used{Take: t.Takes[0], Label: "generator down, cable ended", Measured: m, Worth: []analyze.Reading{s}}
	out := analyze.Result{Setup: t, Rows: []analyze.Used{u}, Figures: known([]analyze.Reading{s, m.Get(analyze.ToneFrequency), m.Get(analyze.NoiseLevel)})}
	if hz := m.OtherTone; !s.OK() && hz != 0 {
		out.Why = fmt.Sprintf("%s has a tone of %.0f Hz with the generator down: name it as the tone if it is the generator's, else find where it comes from", takes.Named(u), hz)
		out.Figures = nil
		return out, nil
	}
	if !s.OK() && m.Get(analyze.NoiseLevel).Why == analyze.WhySilence {
		return analyze.Refused(t, takes.Named(u)+" is silent: was the squelch closed, or the volume turned down? A leak would not be heard either", u), nil
	}
	if !s.OK() {
		out.Answer = "no tone is heard with the generator down"
		out.Says = []note.Note{note.Phrase("Nothing leaks past the cable that this recording could show; a closed squelch would hide a leak.")}
		return out, nil
	}
	out.Warnings = []capture.Warning{{Code: capture.Leakage, Says: note.Of("leakage", note.DB(s.Value))}}
	return out, nil
}

// Hiss is a recording of open-squelch hiss: its level through the filter, its
// density in third octaves (ISO 266 midbands, base-ten edges of IEC 61260-1)
// relative to that at 1 kHz, and the tilt of that from 300 to 3000 Hz, by least
// squares weighted with the bands' scatter. Recorded before and after the work at
// one volume, it checks the audio response without any generator.
func Hiss(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	m, err := reading.Measure(rs[0], t.Reading)
	if err != nil {
		return analyze.Result{}, err
	}
	u := analyze.Used{Take: t.Takes[0], Label: "hiss", Measured: m}
	if tone := takes.ToneIn(u); tone != "" {
		return analyze.Refused(t, tone+", so it is not hiss alone: switch the generator off and record again", u), nil
	}
	level := m.Get(analyze.NoiseLevel)
	level.Name = job.FigureHissLevel
	out := analyze.Result{Setup: t, Rows: []analyze.Used{u}, Figures: []analyze.Reading{level}}
	bands, err := densities(rs[0], t.Reading)
	if err != nil {
		return analyze.Result{}, err
	}
	out.Figures = append(out.Figures, hissTilt(bands))
	line := analyze.Line{Picture: "spectrum of the hiss", Name: "density, relative to 1 kHz", Role: analyze.RoleCurve, X: analyze.Quantity{Name: "frequency", Unit: "Hz"}, Y: analyze.Quantity{Name: "density", Unit: "dB"}, LogX: true}
	for _, b := range bands {
		line.Points = append(line.Points, analyze.Dot{X: b.hz, Y: b.db, Low: b.db - b.half, High: b.db + b.half})
	}
	if len(line.Points) > 1 {
		out.Lines = []analyze.Line{line}
	}
	return out, nil
}

// density is the power of a band over its width, relative to that at 1 kHz.
type density struct{ hz, db, half float64 }

// densities are those of the third octaves from 100 Hz to 5 kHz that the rate allows.
func densities(r capture.Recording, how job.Reading) ([]density, error) {
	var all []density
	reference, found := 0.0, false
	for n := -10; n <= 7; n++ {
		mid := 1000 * math.Pow(10, float64(n)/10)
		low, high := mid*math.Pow(10, -0.05), mid*math.Pow(10, 0.05)
		if high > 0.45*float64(r.Rate) {
			break
		}
		how.Filter = job.Filter{Name: job.Band, Low: low, High: high}
		m, err := reading.Measure(r, how)
		if err != nil {
			return nil, err
		}
		noise := m.Get(analyze.NoiseLevel)
		if !noise.HasInterval() {
			continue
		}
		db := noise.Value - 10*math.Log10(high-low)
		all = append(all, density{mid, db, (noise.High - noise.Low) / 2})
		if n == 0 {
			reference, found = db, true
		}
	}
	if !found {
		return nil, nil
	}
	for i := range all {
		all[i].db -= reference
	}
	return all, nil
}

// hissTilt fits a straight line over the octaves from 300 to 3000 Hz. Where the
// bands stray from it by more than their scatter, that decides its interval.
func hissTilt(bands []density) analyze.Reading {
	var w, x, y, xx, xy float64
	var used []density
	for _, b := range bands {
		if b.hz < 300 || b.hz > 3000 || b.half <= 0 {
			continue
		}
		used = append(used, b)
		k, o := 1/(b.half*b.half), math.Log2(b.hz/1000)
		w, x, y, xx, xy = w+k, x+k*o, y+k*b.db, xx+k*o*o, xy+k*o*b.db
	}
	d := w*xx - x*x
	if len(used) < 5 || d <= 0 {
		return analyze.None(job.FigureHissTilt, "dB/octave", "too few bands could be read")
	}
	slope := (w*xy - x*y) / d
	at := (y - slope*x) / w
	misfit := 0.0
	for _, b := range used {
		e := (b.db - at - slope*math.Log2(b.hz/1000)) / b.half * 1.96
		misfit += e * e
	}
	// half-widths went in as weights, so what comes out is a half-width too
	half := math.Sqrt(w/d) * math.Sqrt(math.Max(1, misfit/float64(len(used)-2)))
	return analyze.NewReading(job.FigureHissTilt, "dB/octave", slope, slope-half, slope+half)
}
