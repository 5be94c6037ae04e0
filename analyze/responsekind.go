package analyze

import (
	"fmt"
	"strings"

	"hisspoint/capture"
	"hisspoint/capture/job"
)

// ResponseTest is the audio response as a test: of a receiver's audio from a
// generator of flat deviation or depth, or of a transmitter through a monitor
// whose own curve is taken out. Held against is what the test names, else the
// trade's usual curve for the mode: an FM receiver falls by 6 dB an octave, an FM
// transmitter rises by as much, AM and SSB are flat.
//
// Figures: the most and the least deviation between 300 and 3000 Hz (the mask's
// range), tilt, -3 dB edges, band balance.
func ResponseTest(t job.Setup, rs []capture.Recording) (Result, error) {
	return responseOf(t, rs, t.Setting(job.SettingSignal))
}

// SpeechBalance is the tone balance of somebody talking, or of noise shaped as
// speech, through the transmitter and a monitor.
func SpeechBalance(t job.Setup, rs []capture.Recording) (Result, error) {
	return responseOf(t, rs, ResponseSpeech)
}

func responseOf(t job.Setup, rs []capture.Recording, signal string) (Result, error) {
	against, assumed := againstOf(t)
	how := ResponseHow{Kind: signal, Against: against, Monitor: MonitorCurve{Name: t.Monitor.Name, Hz: t.Monitor.Hz, DB: t.Monitor.DB, SD: t.Monitor.SD}, Card: t.Reading.Card}
	for _, k := range t.Takes {
		if k.At > 0 {
			how.TonesHz = append(how.TonesHz, k.At)
		}
	}
	r, err := Response(rs, how)
	if err != nil {
		return Result{}, err
	}
	out := Result{Setup: t, Warnings: r.Warnings, Response: &r}
	for i, f := range r.Files {
		u := Used{Measured: Measured{Origin: f.Origin, Rate: f.Rate, From: f.From, To: f.To, Frames: rs[i].Total}}
		if i < len(t.Takes) && !t.OneFile {
			u.Take = t.Takes[i]
		}
		out.Rows = append(out.Rows, u)
	}
	if !r.OK() {
		out.Why = r.Why
		return out, nil
	}
	out.Figures = r.figures()
	if r.Levels.card != nil {
		out.Own = withoutCard(r).figures()
	}
	out.Lines = responseLines(r)
	out.Says = responseSays(r, t, assumed)
	return out, nil
}

// Figure is a figure of a response by its name, the card's own response in its
// interval.
func (r ResponseResult) Figure(name string) Reading {
	return Result{Figures: r.figures()}.Get(name)
}

// withoutCard is the same response as if nothing were known of the card.
func withoutCard(r ResponseResult) ResponseResult {
	w := listener{r}
	w.How.Card, w.Points, w.Bands, w.Warnings = nil, nil, nil, nil
	mask := w.Mask
	w.shape(levels(w.Levels))
	w.Mask = mask
	return w.ResponseResult
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
		return AgainstFlat, true
	case kind.Transmit:
		return AgainstPreEmphasis, true
	}
	return AgainstDeEmphasis, true
}

// figures are the figures of a response; the extremes are those within
// the mask's range.
func (r ResponseResult) figures() []Reading {
	most, least := none(job.QuantityResponse, "dB", "no tone lies between 300 and 3000 Hz"), none(job.QuantityResponse+Least, "dB", "no tone lies between 300 and 3000 Hz")
	if r.Kind != ResponseSpeech {
		for _, p := range r.maskPoints(LandMobileMask) {
			most = highestOf(most, reading(job.QuantityResponse, "dB", p.Deviation, p.DevLow, p.DevHigh))
			least = lowestOf(least, reading(job.QuantityResponse+Least, "dB", p.Deviation, p.DevLow, p.DevHigh))
		}
	}
	if r.Mask != nil && r.Mask.Outcome == MaskNotJudged {
		why := "the points do not reach over 300 to 3000 Hz"
		most, least = none(most.Name, "dB", why), none(least.Name, "dB", why)
	}
	if r.Kind == ResponseSpeech {
		return []Reading{r.Tilt, r.Balance}
	}
	return []Reading{r.Tilt, most, least, r.Balance, r.EdgeLow, r.EdgeHigh}
}

func responseLines(r ResponseResult) []Line {
	x, y := Quantity{"frequency", "Hz"}, Quantity{"level, relative to 1 kHz", "dB"}
	line := func(name, role string) Line {
		return Line{Picture: "audio response", Name: name, Role: role, X: x, Y: y, LogX: true}
	}
	curve, should, upper, lower := line("response", RoleCurve), line("as it should be", RoleIdeal), line("mask, upper", RoleUpper), line("mask, lower", RoleLower)
	for _, p := range r.Points {
		curve.Points = append(curve.Points, Dot{p.Hz, p.DB, p.Low, p.High})
		at := ideal(r.How.Against, p.Hz)
		should.Points = append(should.Points, Dot{p.Hz, at, at, at})
	}
	all := []Line{curve, should}
	if r.Kind != ResponseSpeech {
		m := LandMobileMask
		for _, hz := range []float64{m.LowHz, 500, 1000, 2000, m.HighHz} {
			at := ideal(r.How.Against, hz)
			upper.Points = append(upper.Points, Dot{hz, at + m.Upper, at + m.Upper, at + m.Upper})
			lower.Points = append(lower.Points, Dot{hz, at + m.Lower, at + m.Lower, at + m.Lower})
		}
		all = append(all, upper, lower)
	}
	if len(r.Distortion) > 1 {
		d := Line{Picture: "distortion against frequency", Name: "distortion", Role: RoleCurve, X: x, Y: Quantity{"distortion", "%"}, LogX: true}
		for _, p := range r.Distortion {
			d.Points = append(d.Points, Dot{p.Hz, p.Percent, p.Percent, p.Percent})
		}
		all = append(all, d)
	}
	return all
}

func responseSays(r ResponseResult, t job.Setup, assumed bool) []string {
	var says []string
	if text, known := map[string]string{
		LeanBassy: "It sounds bassy: the low tones are stronger than they should be against the high ones.",
		LeanThin:  "It sounds thin: the low tones are weaker than they should be against the high ones.",
		LeanEven:  "It is even: neither bassy nor thin.",
		LeanOpen:  "Whether it is bassy or thin cannot be told from this recording.",
	}[r.Lean]; known {
		says = append(says, text)
	}
	if assumed {
		says = append(says, fmt.Sprintf("It is held against %s, as is usual for the mode; name another curve with against.", r.How.Against))
	}
	if kind, _ := job.KindOf(t.Kind); kind.Transmit && t.Setting(job.SettingMonitorCurve) == "" {
		says = append(says, "The monitor is taken to be flat; name its curve with monitor_curve if it is not.")
	}
	if r.Speech != nil {
		says = append(says, fmt.Sprintf("%.0f s of speech were heard, held against %s; its interval admits how far talkers differ.", r.Speech.ActiveS, r.Speech.Spectrum))
	}
	return says
}
