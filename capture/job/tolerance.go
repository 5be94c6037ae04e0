package job

import (
	"fmt"
	"math"
	"strings"
)

// Input is something at the bench that acts on figures and is not the set's.
type Input string

// Inputs of measurement equations, as budgets name them.
const (
	InputLevel       Input = "generator level"
	InputPad         Input = "pad and cable"
	InputModulation  Input = "generator's deviation or depth"
	InputToneTHD     Input = "generator's audio distortion"
	InputToneFlat    Input = "audio source's response"
	InputKeying      Input = "moment of keying"
	InputCardFlat    Input = "sound card's response"
	InputCardTHD     Input = "sound card's distortion"
	InputMonitorTHD  Input = "monitor's distortion"
	InputCardClock   Input = "sound card's clock"
	InputVolts       Input = "full scale in volts"
	InputLoad        Input = "load"
	InputMonitorFlat Input = "monitor's response"
	InputReconnect   Input = "reconnecting and setting the volume again"
)

// Tolerance is by how much an input may be off: the half-width of its bounds.
type Tolerance struct {
	Half    float64
	Unit    string // "dB" or "%"
	Assumed bool   // nobody stated it: it is what instruments of its kind usually keep
}

// Assumption is what an input is taken to keep until somebody states it.
type Assumption struct {
	Input  Input
	Half   float64
	Unit   string
	Key    string // by which it is stated in a job's or shop's file; empty: it is not
	Reason string
}

// Assumptions is the table of what is assumed of instruments. All of it is common practice,
// without a published source.
var Assumptions = []Assumption{
	{InputLevel, 2, "dB", "level_uncertainty_db of the signal generator", "used service generators keep 1 dB when calibrated, and 2 dB over the years and with worn attenuators"},
	{InputPad, 0.5, "dB", "rf_pad_uncertainty_db", "fixed pads keep 0.3 dB, cable and connectors as much again"},
	{InputModulation, 10, "%", "deviation_uncertainty_percent of the signal generator", "the meter or scale of a generator's deviation or depth is read to 5 to 10 %"},
	{InputToneTHD, 1, "%", "distortion_percent of the signal generator", "oscillator and modulator of a service generator together"},
	{InputToneFlat, 0.5, "dB", "response_uncertainty_db of the signal generator", "a modulation input, or a sound card's output, between 300 and 3000 Hz against 1 kHz"},
	{InputKeying, 2, "ms", "", "relays and attenuators switch within that"},
	{InputCardFlat, 0.5, "dB", "response_uncertainty_db of the sound card, or qualify it with hisspoint card", "input with its coupling capacitor, between 300 and 3000 Hz against 1 kHz"},
	{InputCardTHD, 0.1, "%", "qualify the sound card with hisspoint card", "line inputs below clipping"},
	{InputCardClock, 0.01, "%", "", "crystals keep 100 parts in a million"},
	{InputVolts, 3, "%", "volts_uncertainty_percent", "a hand-held meter on alternating current, read to two digits"},
	{InputLoad, 5, "%", "load_uncertainty_percent", "wire-wound resistors as they are bought"},
	{InputMonitorFlat, 1, "dB", "response_uncertainty_db of the monitor", "a monitor receiver's audio against the curve it is named after, between 300 and 3000 Hz against 1 kHz"},
	{InputMonitorTHD, 1, "%", "distortion_percent of the monitor", "a monitor receiver on tune"},
	{InputReconnect, 0.1, "dB", "reconnect_uncertainty_db", "plugs and a volume control that is set to a mark again; a control set by ear repeats to 1 dB only"},
}

// assumption is the table's row of an input.
func assumption(in Input) Assumption {
	a, _ := find(Assumptions, func(a Assumption) bool { return a.Input == in })
	return a
}

// Stated are the tolerances that a person stated of what no other field of a setup
// holds; 0: not stated.
type Stated struct {
	ToneTHDPercent, ToneFlatDB, CardFlatDB, CardTHDPercent, MonitorFlatDB, MonitorTHDPercent, LoadPercent, ReconnectDB float64
	LevelDB, DeviationPercent                                                                                          float64
	Twice                                                                                                              []string // keys that were stated twice and differently: the larger counts
}

// Tolerance is what an input keeps in a test: as stated, as the qualified card shows
// it, else as assumed. Of a setup that was not Assumed, what nobody stated is 0.
func (s Setup) Tolerance(in Input) Tolerance {
	a := assumption(in)
	half := map[Input]float64{InputPad: s.Path.PadUncertaintyDB, InputModulation: s.DeviationPercent, InputVolts: s.Reading.VoltsPercent,
		InputToneTHD: s.Stated.ToneTHDPercent, InputToneFlat: s.Stated.ToneFlatDB, InputCardFlat: s.Stated.CardFlatDB,
		InputMonitorFlat: s.Stated.MonitorFlatDB, InputMonitorTHD: s.Stated.MonitorTHDPercent, InputCardTHD: s.Stated.CardTHDPercent, InputLoad: s.Stated.LoadPercent, InputReconnect: s.Stated.ReconnectDB}[in]
	if in == InputLevel && s.Path.LevelUncertainty != nil {
		half = *s.Path.LevelUncertainty
	}
	q := s.Reading.Card
	switch {
	case in == InputPad && s.Path.PadDB == 0 && half == 0:
		return Tolerance{Unit: a.Unit} // there is none
	case q != nil && in == InputCardTHD:
		return Tolerance{Half: 0, Unit: a.Unit} // known by its size: see limit
	case q != nil && in == InputCardFlat && half == 0 && len(q.Card.Response) > 0:
		return Tolerance{Half: q.Card.unevenness(), Unit: a.Unit}
	case half > 0:
		return Tolerance{half, a.Unit, s.Assumed[in]}
	case s.Assumed == nil:
		return Tolerance{Unit: a.Unit}
	}
	return Tolerance{a.Half, a.Unit, true}
}

// unevenness is how far a card's response strays from that at 1 kHz in the speech band.
func (c Card) unevenness() (most float64) {
	for _, t := range c.Response {
		if t.Hz >= 300 && t.Hz <= 3400 {
			most = math.Max(most, math.Abs(t.DB))
		}
	}
	return most
}

// Assume is the setup with what is usually kept in the place of tolerances that nobody
// stated (see Assumptions).
func (s Setup) Assume() Setup {
	if s.Assumed != nil {
		return s
	}
	s.Assumed = map[Input]bool{}
	if s.Path.LevelUncertainty == nil {
		half := assumption(InputLevel).Half
		s.Path.LevelUncertainty, s.Assumed[InputLevel] = &half, true
	}
	if s.Path.PadDB != 0 && s.Path.PadUncertaintyDB == 0 {
		s.Path.PadUncertaintyDB, s.Assumed[InputPad] = assumption(InputPad).Half, true
	}
	if s.DeviationPercent == 0 {
		s.DeviationPercent, s.Assumed[InputModulation] = assumption(InputModulation).Half, true
	}
	if s.Reading.VoltsPercent == 0 && s.Reading.FullScaleVolts > 0 {
		s.Reading.VoltsPercent, s.Assumed[InputVolts] = assumption(InputVolts).Half, true
	}
	return s
}

// ResponseKnownDB is how well what stands between a tone and the samples is known to be
// flat, at 300 and 3000 Hz against 1 kHz, as a standard uncertainty in dB: the source of
// the tone, the sound card and, of a transmitter, the monitor.
func (s Setup) ResponseKnownDB() float64 {
	sum := 0.0
	for _, in := range s.ResponseInputs() {
		sum += math.Pow(s.Tolerance(in).Half, 2) / 3
	}
	return math.Sqrt(sum)
}

// ResponseInputs are the inputs that act on a response. The response of a card that was
// qualified is known by size and sign and counts apart; so does the curve of a monitor
// that was measured.
func (s Setup) ResponseInputs() []Input {
	in := []Input{InputToneFlat}
	if q := s.Reading.Card; q == nil || len(q.Card.Response) == 0 {
		in = append(in, InputCardFlat)
	}
	if k, _ := KindOf(s.Kind); k.Transmit && len(s.Monitor.SD) == 0 {
		in = append(in, InputMonitorFlat)
	}
	return in
}

// StatedOf gathers the tolerances of a round's instruments. Where two instruments state
// the same, the larger counts, and Twice tells so.
func (j *Job) StatedOf(r *Round) Stated {
	s := Stated{LoadPercent: r.Conditions.LoadPercent, ReconnectDB: r.Conditions.ReconnectDB}
	for _, e := range j.AllEquipment() {
		flat, thd, whose := &s.MonitorFlatDB, &s.MonitorTHDPercent, "monitor"
		switch what := strings.ToLower(e.What); {
		case e.IsCard():
			flat, thd, whose = &s.CardFlatDB, &s.CardTHDPercent, "sound card"
		case strings.Contains(what, "generator"), strings.Contains(what, "source"):
			flat, thd, whose = &s.ToneFlatDB, &s.ToneTHDPercent, "generator"
		}
		s.larger(flat, e.ResponseDB, "response_uncertainty_db of the "+whose)
		if !e.IsCard() {
			s.larger(&s.LevelDB, e.LevelUncertaintyDB, "level_uncertainty_db")
		}
		s.larger(&s.DeviationPercent, e.DeviationPercent, "deviation_uncertainty_percent")
		s.larger(thd, e.DistortionPercent, "distortion_percent of the "+whose)
	}
	return s
}

// larger takes the larger of what was stated before and now.
func (s *Stated) larger(into *float64, v *float64, key string) {
	if v == nil {
		return
	}
	if *into > 0 && *into != *v {
		s.Twice = append(s.Twice, fmt.Sprintf("%s is stated as %g and as %g: the larger counts", key, *into, *v))
	}
	*into = math.Max(*into, *v)
}
