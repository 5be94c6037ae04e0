package demo

import (
	"fmt"

	"hisspoint/capture/job"
	"hisspoint/capture/signal"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
)

// file is a recording: its name from the job's folder, and how it is made.
type file struct {
	name   string
	record func(seed uint64) (rate, bits int, x []float64)
}

// test is one test of a round, as the job has it and as it is recorded.
type test struct {
	kind   string
	stanza func(at func(name string) string) (*job.Stanza, error) // nil for sensitivity
	takes  func(at func(name string) string) []file
	levels []string // of sensitivity
	limits map[string]string
}

const (
	strongUV = "3 mV" // on the dial: 1 mV PD behind the pad
	manual   = ", invented service manual"
)

// folderOf names files of a round.
func folderOf(round string) func(name string) string {
	return func(name string) string { return folder(round) + "/" + name }
}

func (t test) files(round string) []file { return t.takes(folderOf(round)) }

// job is the test as the job file has it.
func (t test) job(round string) (job.Test, error) {
	if t.kind == job.KindSensitivity {
		s, err := sensitivity(round, t.levels)
		return job.Test{Kind: t.kind, Stanza: s}, err
	}
	s, err := t.stanza(folderOf(round))
	if err != nil {
		return job.Test{}, err
	}
	for quantity, text := range t.limits {
		l, err := job.ParseLimit(text, quantity, unit.PD)
		if err != nil {
			return job.Test{}, err
		}
		s.Limits = append(s.Limits, l)
		if s.LimitTexts == nil {
			s.LimitTexts = map[string]string{}
		}
		s.LimitTexts[quantity] = text
	}
	if s.Filter.Name == "" {
		s.Filter.Name = job.SpeechBand
	}
	return job.Test{Kind: t.kind, Stanza: s}, nil
}

// sensitivity is the sensitivity test of a round.
func sensitivity(round string, levels []string) (*job.Stanza, error) {
	const text = "0.5 uV PD" + manual
	l, err := job.ParseLimit(text, job.QuantitySensitivity, unit.PD)
	if err != nil {
		return nil, err
	}
	t := &job.Stanza{
		Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}, ToneHz: 1000, Deviation: 1200,
		Filter: job.Filter{Name: job.SpeechBand}, Limits: []job.Limit{l}, LimitTexts: map[string]string{job.QuantitySensitivity: text},
	}
	for _, uv := range levels {
		level, err := unit.ParseLevel(uv+" uV", unit.PD)
		if err != nil {
			return nil, err
		}
		t.Takes = append(t.Takes, job.Take{Level: level, Typed: uv + " uV", File: folderOf(round)(uv + "uV.wav")})
	}
	return t, nil
}

// one is a stanza of one file.
func one(name string, change func(*job.Stanza)) func(at func(string) string) (*job.Stanza, error) {
	return func(at func(string) string) (*job.Stanza, error) {
		s := &job.Stanza{Takes: []job.Take{{File: at(name)}}}
		if change != nil {
			change(s)
		}
		return s, nil
	}
}

// parts is a stanza of one file with its parts.
func parts(name string, deviation float64, texts ...string) func(at func(string) string) (*job.Stanza, error) {
	return func(at func(string) string) (*job.Stanza, error) {
		s := &job.Stanza{OneFile: true, Deviation: deviation}
		for _, text := range texts {
			k, err := job.ParsePart(text, unit.PD)
			if err != nil {
				return nil, err
			}
			k.File = at(name)
			s.Takes = append(s.Takes, k)
		}
		return s, nil
	}
}

// single is the one recording of a test.
func single(name string, record func(seed uint64) (int, int, []float64)) func(at func(string) string) []file {
	return func(at func(string) string) []file { return []file{{at(name), record}} }
}

// strong sets the generator to a strong signal.
func strong(s *job.Stanza) {
	s.Level, _ = unit.ParseLevel(strongUV, unit.PD)
	s.LevelTyped, s.Deviation = strongUV, 1200
}

func dialed(text string) float64 {
	l, err := unit.ParseLevel(text, unit.PD)
	if err != nil {
		panic(err) // a level of this file
	}
	return l.DB
}

// tests are those of a round: the ones that a service has time for, or every kind.
func (r round) tests(everything bool) []test {
	all := []test{r.floor(), r.sensitivity(), r.quieting(), r.hum(), r.distortion(), r.response(), r.squelch(), r.transmitResponse(), r.deviation()}
	if everything {
		all = append(all, r.leakage(), r.hiss(), r.power(), r.levelCurve(), r.squelchLevels(), r.centring(), r.degradation(), r.limiter(), r.transmitDistortion(), r.transmitHum(), r.speech())
	}
	return all
}

func (r round) sensitivity() test {
	names := r.levels
	return test{kind: job.KindSensitivity, levels: names, takes: func(at func(string) string) []file {
		var fs []file
		for _, uv := range names {
			fs = append(fs, file{at(uv + "uV.wav"), received(r.bench(), simulate.Segment{Seconds: seconds, LevelDBm: dialed(uv + " uV")})})
		}
		return fs
	}}
}

func (r round) floor() test {
	return test{kind: job.KindBenchFloor, stanza: one("floor.wav", nil),
		takes: single("floor.wav", received(r.bench(), simulate.Segment{Seconds: 2, Off: true, VolumeDB: simulate.VolumeZero}))}
}

func (r round) quieting() test {
	level := fmt.Sprintf("%.1f uV", 5*simulate.MicrovoltPDFromDBm(simulate.DBmFromMicrovoltPD(1)+r.receiver.FrontLossDB))
	dbm := dialed(level)
	return test{kind: job.KindQuieting, stanza: parts("quieting.wav", 1200, job.StateOff, level+" carrier", level+" modulated", job.StateOff),
		limits: map[string]string{job.QuantityQuieting: "20 dB" + manual},
		takes: single("quieting.wav", received(r.bench(), simulate.Segment{Seconds: 2.5, Off: true},
			simulate.Segment{Seconds: 2.5, LevelDBm: dbm, Unmodulated: true}, simulate.Segment{Seconds: 2.5, LevelDBm: dbm}, simulate.Segment{Seconds: 2.5, Off: true}))}
}

func (r round) hum() test {
	dbm := dialed(strongUV)
	return test{kind: job.KindHumNoise, stanza: parts("hum.wav", 1200, strongUV+" modulated", strongUV+" carrier"),
		limits: map[string]string{job.QuantityHumNoise: "34 dB" + manual},
		takes:  single("hum.wav", received(r.bench(), simulate.Segment{Seconds: 3, LevelDBm: dbm}, simulate.Segment{Seconds: 3, LevelDBm: dbm, Unmodulated: true}))}
}

func (r round) distortion() test {
	return test{kind: job.KindDistortion, stanza: one("strong.wav", strong), limits: map[string]string{job.QuantityDistortion: "5 %" + manual},
		takes: single("strong.wav", received(r.bench(), simulate.Segment{Seconds: 3, LevelDBm: dialed(strongUV)}))}
}

func (r round) response() test {
	var segments []simulate.Segment
	for _, hz := range append(signal.StandardSteps(3), 1000) {
		segments = append(segments, simulate.Segment{Seconds: 0.6, LevelDBm: dialed(strongUV), ToneHz: hz, DeviationHz: 1000})
	}
	return test{kind: job.KindResponse, takes: single("tones.wav", received(r.bench(), segments...)), stanza: one("tones.wav", func(s *job.Stanza) {
		strong(s)
		s.Deviation = 1000
		s.Settings = map[string]string{job.SettingSignal: "stepped", job.SettingAgainst: "de-emphasis"}
	})}
}

func (r round) squelch() test {
	level := "3 uV"
	if r.receiver.FrontLossDB > 5 {
		level = "10 uV"
	}
	return test{kind: job.KindSquelch, limits: map[string]string{job.QuantityClosing: "250 ms" + manual},
		takes: single("keyed.wav", received(r.muted(), simulate.Keyed(dialed(level), 1, 0.8, 2)...)), stanza: one("keyed.wav", func(s *job.Stanza) {
			s.Level, _ = unit.ParseLevel(level, unit.PD)
			s.LevelTyped, s.Deviation = level, 1200
		})}
}

func (r round) transmitResponse() test {
	return test{kind: job.KindTransmitResponse, takes: single("tx-tones.wav", r.microphone(signal.Stepped(48000, signal.StandardSteps(3), -36, 0.6))),
		stanza: one("tx-tones.wav", func(s *job.Stanza) {
			s.Settings = map[string]string{job.SettingSignal: "stepped", job.SettingAgainst: "pre-emphasis", job.SettingMonitorCurve: "750us"}
		})}
}

func (r round) deviation() test {
	return test{kind: job.KindDeviation, limits: map[string]string{job.QuantityDeviation: "2 kHz" + manual},
		takes: func(at func(string) string) []file {
			return []file{{at("tx-1kHz.wav"), r.microphone(signal.Tone(48000, 1000, -26, 2.5))}, {at("monitor-1.5kHz.wav"), r.substitute(1500)}}
		},
		stanza: func(at func(string) string) (*job.Stanza, error) {
			return &job.Stanza{Takes: []job.Take{{File: at("tx-1kHz.wav")}}, Settings: reference(at)}, nil
		}}
}

func reference(at func(string) string) map[string]string {
	return map[string]string{job.SettingReferenceFile: at("monitor-1.5kHz.wav"), job.SettingReferenceDeviation: "1.5 kHz", job.SettingMonitorCurve: "750us"}
}
