package kind

import (
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/response"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// ResponseTest is the audio response as a test: of a receiver's audio from a
// generator of flat deviation or depth, or of a transmitter through a monitor
// whose own curve is taken out. Held against is what the test names, else the
// trade's usual curve for the mode: an FM receiver falls by 6 dB an octave, an FM
// transmitter rises by as much, AM and SSB are flat.
//
// Figures: the most and the least deviation between 300 and 3000 Hz (the mask's
// range), tilt, -3 dB edges, band balance.
func ResponseTest(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	return responseOf(t, rs, t.Setting(job.SettingSignal))
}

// SpeechBalance is the tone balance of a voice, or of noise shaped as
// speech, through the transmitter and a monitor.
func SpeechBalance(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	return responseOf(t, rs, analyze.ResponseSpeech)
}

func responseOf(t job.Setup, rs []capture.Recording, signal string) (analyze.Result, error) {
	against, assumed := againstOf(t)
	how := analyze.ResponseHow{Kind: signal, Against: against, Monitor: analyze.MonitorCurve{Name: t.Monitor.Name, Hz: t.Monitor.Hz, DB: t.Monitor.DB, SD: t.Monitor.SD}, Card: t.Reading.Card, BenchDB: t.ResponseKnownDB()}
	for _, k := range t.Takes {
		if k.At > 0 {
			how.TonesHz = append(how.TonesHz, k.At)
		}
	}
	r, err := response.Measure(rs, how)
	if err != nil {
		return analyze.Result{}, err
	}
	out := analyze.Result{Setup: t, Warnings: r.Warnings, Response: &r}
	for i, f := range r.Files {
		u := analyze.Used{Measured: analyze.Measured{Origin: f.Origin, Rate: f.Rate, From: f.From, To: f.To, Frames: rs[i].Total}}
		if i < len(t.Takes) && !t.OneFile {
			u.Take = t.Takes[i]
		}
		out.Rows = append(out.Rows, u)
	}
	if !r.OK() {
		out.Why = r.Why
		return out, nil
	}
	out.Figures = r.Figures()
	if r.Levels.Card != nil || r.Levels.Bench > 0 {
		out.Own = response.OfSet(r).Figures()
	}
	if worst, asked := r.AgainstMask(t); asked {
		out.Figures = append(out.Figures, worst)
		if out.Own != nil {
			out.Own = append(out.Own, worst)
		}
	}
	out.Lines = responseLines(r)
	out.Says = responseSays(r, t, assumed)
	return out, nil
}

// againstOf is the curve that a response is held against, and whether it was
// only assumed.
func againstOf(t job.Setup) (against string, assumed bool) {
	if a := t.Setting(job.SettingAgainst); a != "" {
		return strings.ToLower(a), false
	}
	kind, _ := job.KindOf(t.Kind)
	switch {
	case t.Mode == job.AM || t.Mode == job.SSB:
		return analyze.AgainstFlat, true
	case kind.Transmit:
		return analyze.AgainstPreEmphasis, true
	}
	return analyze.AgainstDeEmphasis, true
}

func responseLines(r analyze.ResponseResult) []analyze.Line {
	x, y := analyze.Quantity{Name: "frequency", Unit: "Hz"}, analyze.Quantity{Name: "level, relative to 1 kHz", Unit: "dB"}
	line := func(name, role string) analyze.Line {
		return analyze.Line{Picture: "audio response", Name: name, Role: role, X: x, Y: y, LogX: true}
	}
	curve, should, upper, lower := line("response", analyze.RoleCurve), line("as it should be", analyze.RoleIdeal), line("mask, upper", analyze.RoleUpper), line("mask, lower", analyze.RoleLower)
	for _, p := range r.Points {
		curve.Points = append(curve.Points, analyze.Dot{X: p.Hz, Y: p.DB, Low: p.Low, High: p.High})
		at := analyze.Ideal(r.How.Against, p.Hz)
		should.Points = append(should.Points, analyze.Dot{X: p.Hz, Y: at, Low: at, High: at})
	}
	all := []analyze.Line{curve, should}
	if r.Kind != analyze.ResponseSpeech {
		m := analyze.LandMobileMask
		for _, hz := range []float64{m.LowHz, 500, 1000, 2000, m.HighHz} {
			at := analyze.Ideal(r.How.Against, hz)
			upper.Points = append(upper.Points, analyze.Dot{X: hz, Y: at + m.Upper, Low: at + m.Upper, High: at + m.Upper})
			lower.Points = append(lower.Points, analyze.Dot{X: hz, Y: at + m.Lower, Low: at + m.Lower, High: at + m.Lower})
		}
		all = append(all, upper, lower)
	}
	if len(r.Distortion) > 1 {
		d := analyze.Line{Picture: "distortion against frequency", Name: "distortion", Role: analyze.RoleCurve, X: x, Y: analyze.Quantity{Name: "distortion", Unit: "%"}, LogX: true}
		for _, p := range r.Distortion {
			d.Points = append(d.Points, analyze.Dot{X: p.Hz, Y: p.Percent, Low: p.Percent, High: p.Percent})
		}
		all = append(all, d)
	}
	return all
}

func responseSays(r analyze.ResponseResult, t job.Setup, assumed bool) []note.Note {
	var says []note.Note
	if text, known := map[string]string{
		analyze.LeanBassy: "It sounds bassy: the low tones are stronger than they should be against the high ones.",
		analyze.LeanThin:  "It sounds thin: the low tones are weaker than they should be against the high ones.",
		analyze.LeanEven:  "It is even: neither bassy nor thin.",
		analyze.LeanOpen:  "Whether it is bassy or thin cannot be told from this recording.",
	}[r.Lean]; known {
		says = append(says, note.Phrase(text))
	}
	if assumed {
		says = append(says, note.Of("held-against", r.How.Against))
	}
	if kind, _ := job.KindOf(t.Kind); kind.Transmit && t.Setting(job.SettingMonitorCurve) == "" {
		says = append(says, note.Phrase("The monitor is taken to be flat; name its curve with monitor_curve if it is not."))
	}
	if r.Speech != nil {
		says = append(says, note.Of("speech-heard", note.Seconds(r.Speech.ActiveS), r.Speech.Spectrum))
	}
	return says
}
