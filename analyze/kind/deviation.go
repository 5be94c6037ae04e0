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
	"hisspoint/capture/unit"
)

// worstMonitor is the distortion of the reference, in percent, beyond which the
// monitor is off tune or overdriven and its scale no straight line.
const worstMonitor = 5

// monitor is what a monitor receiver makes of deviation: Hz a unit of full scale
// at the reference's tone.
type monitor struct {
	scale   float64 // peak Hz for a peak of 1 at 1 kHz
	spread  float64 // its relative standard uncertainty, generator and scatter
	common  float64 // the generator's part of that
	stated  bool    // that part was stated
	through func(hz float64) complex128
	curve   string
	first   complex128 // its mean amplitude
	hz      float64    // tone of the reference
	top     float64    // Hz up to which the reference shows that it follows
}

// referenceOf reads the recording of the monitor fed by a generator whose
// deviation or depth is known. why says what is wrong with it.
func referenceOf(t job.Setup, r capture.Recording, known float64) (m monitor, u analyze.Used, why string, err error) {
	how := t.Reading
	if text := t.Setting(job.SettingReferenceTone); text != "" {
		if how.ToneHz, err = unit.ParseFrequency(text); err != nil {
			return m, u, "reference_tone: " + err.Error(), nil
		}
	}
	u, w, why, err := readWave(r, how, "reference")
	if err != nil || why != "" {
		return m, u, why, err
	}
	thd := u.Measured.Get(analyze.THD)
	if thd.OK() && thd.Low > worstMonitor {
		return m, u, fmt.Sprintf("the monitor distorts the reference by %.1f %%: it is off tune or overdriven, so its scale cannot be trusted; tune it, turn it down and record both again", thd.Value), nil
	}
	m.curve = t.Setting(job.SettingMonitorCurve)
	if m.through, why = monitorThrough(m.curve); why != "" {
		return m, u, why, nil
	}
	amplitude := w.reading("", "", func(mean []complex128) float64 { return cabs(mean[0] / m.through(w.hz)) })
	m.scale, m.top, m.hz, m.first = known/amplitude.Value, known, w.hz, w.mean[0]
	m.stated = t.DeviationPercent > 0 && !t.Assumed[job.InputModulation]
	m.common = t.DeviationPercent / 100 / math.Sqrt(3)
	m.spread = m.common
	if amplitude.HasInterval() {
		m.spread = math.Hypot(m.spread, analyze.StandardError(amplitude)/amplitude.Value)
	}
	return m, u, "", nil
}

func cabs(c complex128) float64 { return math.Hypot(real(c), imag(c)) }

// monitorThrough is the complex response of a monitor that has a name, 1 at 1
// kHz in amplitude.
func monitorThrough(name string) (of func(hz float64) complex128, why string) {
	switch name {
	case "", analyze.MonitorFlat:
		return func(float64) complex128 { return 1 }, ""
	case analyze.Monitor750us:
		pole := func(hz float64) complex128 { return 1 / complex(1, 2*math.Pi*hz*750e-6) }
		at := complex(cabs(pole(1000)), 0)
		return func(hz float64) complex128 { return pole(hz) / at }, ""
	case analyze.Monitor6dB:
		return func(hz float64) complex128 { return complex(0, -1000/hz) }, ""
	}
	return nil, fmt.Sprintf("monitor_curve %q tells levels but no phases, so peaks cannot be put together: use flat, 750us or 6db-octave, or record the detector itself", name)
}

// readWave measures a recording and reads the wave of its tone.
func readWave(r capture.Recording, how job.Reading, label string) (u analyze.Used, w wave, why string, err error) {
	m, err := reading.Measure(r, how)
	u = analyze.Used{Label: label, Measured: m}
	if err != nil {
		return u, w, "", err
	}
	hz := m.Get(analyze.ToneFrequency)
	if !hz.OK() {
		why = fmt.Sprintf("%s has no tone near %.0f Hz", takes.Named(u), how.Tone())
		if m.OtherTone != 0 {
			why += fmt.Sprintf(", but one of %.0f Hz: name it as the tone", m.OtherTone)
		}
		return u, w, why, nil
	}
	for _, warned := range m.Warnings {
		if warned.Code == capture.Clipped || warned.Code == capture.ClippedBelow {
			return u, w, takes.Named(u) + " is clipped, so its peaks are cut off: turn the input down and record again", nil
		}
	}
	w, err = waveOf(r, hz.Value)
	if err == nil && len(w.blocks) == 0 {
		why = takes.Named(u) + " is too short: record 1 s or more"
	}
	return u, w, why, err
}

// Deviation is the transmitter's peak deviation by substitution: a monitor receiver
// hears the transmitter, and a generator of known deviation; the ratio of both waves
// gives it, whatever the monitor's gain. The wave is put together from the tone and
// its harmonics (noise averages out), each divided by the monitor's own response in
// level and phase; its highest and lowest points are the two half-waves. Which of
// them is upwards in frequency a sound card does not tell, and a shift of the
// carrier, being DC, does not pass it.
//
// Setup: the transmitter's recording, then the reference; settings reference_deviation,
// monitor_curve. A monitor that distorts the reference, or a clipped recording,
// gives a reason instead of a figure.
func Deviation(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	out := analyze.Result{Setup: t}
	known, why := knownReference(t, rs, job.SettingReferenceDeviation, unit.ParseFrequency)
	if why != "" {
		return analyze.Refused(t, why), nil
	}
	m, ref, why, err := referenceOf(t, rs[len(rs)-1], known)
	if err != nil {
		return analyze.Result{}, err
	}
	out.Rows = []analyze.Used{ref}
	if why != "" {
		return analyze.Refused(t, why, out.Rows...), nil
	}
	u, w, why, err := readWave(rs[0], t.Reading, "transmitter")
	if err != nil {
		return analyze.Result{}, err
	}
	u.Take = t.Takes[0]
	out.Rows = []analyze.Used{u, ref}
	if why == "" {
		why = m.copied(u, w)
	}
	if why != "" {
		return analyze.Refused(t, why, out.Rows...), nil
	}
	out.Figures = m.figures(w)
	out.Says = append(m.says(out.Figures[0]), subSays(u)...)
	out.Warnings = m.otherTone(w)
	return out, nil
}

// knownReference is the figure of the generator that the monitor was fed by.
func knownReference(t job.Setup, rs []capture.Recording, key string, parse func(string) (float64, error)) (float64, string) {
	if t.Setting(job.SettingReferenceFile) == "" || len(rs) < 2 {
		return 0, "a recording of the monitor fed by a generator is needed: name it as reference_file"
	}
	if k := t.Takes[0]; k.File == t.Setting(job.SettingReferenceFile) && k.From >= k.To {
		return 0, k.File + " is named as the transmitter and as its reference: a recording of each is needed"
	}
	v, err := parse(t.Setting(key))
	if err != nil || v <= 0 {
		return 0, "the generator's figure is needed: write it as " + key
	}
	return v, ""
}

// scaled is a figure of the wave in Hz, with the reference's uncertainty joined.
func (m monitor) scaled(w wave, name string, of func(up, down float64) float64) analyze.Reading {
	return m.widened(m.peak(w, name, of))
}

// peak is a figure of the wave in Hz with its own scatter alone.
func (m monitor) peak(w wave, name string, of func(up, down float64) float64) analyze.Reading {
	return w.reading(name, "Hz", func(mean []complex128) float64 {
		up, down := halves(mean, func(order int) complex128 { return m.through(float64(order) * w.hz) })
		return m.scale * of(up, down)
	})
}

func (m monitor) widened(r analyze.Reading) analyze.Reading {
	if !r.HasInterval() {
		return r
	}
	h := math.Hypot((r.High-r.Low)/2, 1.96*m.spread*r.Value)
	r = analyze.NewReading(r.Name, r.Unit, r.Value, r.Value-h, r.Value+h)
	r.Common = m.common * r.Value
	return r
}

func (m monitor) figures(w wave) []analyze.Reading {
	tone := m.widened(w.reading(job.FigureToneDeviation, "Hz", func(mean []complex128) float64 { return m.scale * cabs(mean[0]/m.through(w.hz)) }))
	return []analyze.Reading{
		m.scaled(w, job.QuantityDeviation, math.Max), tone,
		m.scaled(w, job.FigureLargerHalf, math.Max), m.scaled(w, job.FigureSmallerHalf, math.Min),
		w.reading(job.FigureAsymmetry, "%", func(mean []complex128) float64 {
			up, down := halves(mean, func(order int) complex128 { return m.through(float64(order) * w.hz) })
			return 100 * math.Abs(up-down) / (up + down)
		}),
	}
}

// copied says that a recording holds the very samples of the reference, "" if not:
// no two recordings agree to the last bit.
func (m monitor) copied(u analyze.Used, w wave) string {
	if w.hz == m.hz && w.mean[0] == m.first {
		return takes.Named(u) + " holds the same samples as its reference: a recording of each is needed"
	}
	return ""
}

// otherTone warns where transmitter and reference have different tones and nothing is
// known of the monitor: with de-emphasis it hears 400 Hz up to 8 dB stronger than 1
// kHz.
func (m monitor) otherTone(w wave) []capture.Warning {
	if m.curve != "" || math.Abs(w.hz/m.hz-1) <= sameTone {
		return nil
	}
	return []capture.Warning{{Code: capture.OtherTone, Says: note.Of("reference-tone", note.Hz(m.hz), note.Hz(w.hz))}}
}

// subSays tells of a sub-audible tone, which is no harmonic and so not in the figures.
func subSays(u analyze.Used) []note.Note {
	if hz := u.Measured.SubAudibleTone; hz > 0 {
		return []note.Note{note.Of("sub-audible-not-in", note.Hz(hz))}
	}
	return nil
}

func (m monitor) says(peak analyze.Reading) []note.Note {
	var says []note.Note
	if !m.stated {
		says = append(says, note.Phrase("The uncertainty of the reference generator's deviation is not stated, so what is usual is assumed: state deviation_uncertainty_percent of the generator under equipment."))
	}
	if peak.OK() && peak.Value > 1.5*m.top {
		says = append(says, note.Of("monitor-follows-to", note.Hz(m.top)))
	}
	if m.curve == "" {
		says = append(says, note.Phrase("The monitor is taken to be flat; name its curve if it is not, or harmonics count wrongly."))
	}
	return append(says, note.Phrase("Which half-wave is upwards in frequency, and a shift of the carrier, do not show through a sound card."))
}
