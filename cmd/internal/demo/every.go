package demo

import (
	"fmt"

	"hisspoint/capture/job"
	"hisspoint/capture/signal"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
)

// The tests that a service seldom has time for.

func (r round) leakage() test {
	return test{kind: job.KindLeakage, stanza: one("leakage.wav", nil), takes: single("leakage.wav", received(r.bench(), simulate.Segment{Seconds: 2, Down: true}))}
}

func (r round) hiss() test {
	return test{kind: job.KindHiss, stanza: one("hiss.wav", nil), takes: single("hiss.wav", received(r.bench(), simulate.Segment{Seconds: 4, Off: true}))}
}

// stepped is a stanza of one file in which something was stepped through a list.
func stepped(name string, texts []string, take func(text string) (job.Take, error), change func(*job.Stanza)) func(at func(string) string) (*job.Stanza, error) {
	return func(at func(string) string) (*job.Stanza, error) {
		s := &job.Stanza{OneFile: true}
		for _, text := range texts {
			k, err := take(text)
			if err != nil {
				return nil, err
			}
			k.File = at(name)
			s.Takes = append(s.Takes, k)
		}
		if change != nil {
			change(s)
		}
		return s, nil
	}
}

func atLevel(text string) (job.Take, error) {
	l, err := unit.ParseLevel(text, unit.PD)
	return job.Take{Level: l, Typed: text}, err
}

func on(axis string) func(text string) (job.Take, error) {
	return func(text string) (job.Take, error) {
		v, err := job.ParseAt(axis, text)
		return job.Take{At: v, AtTyped: text}, err
	}
}

func (r round) power() test {
	volumes := []string{"1", "2", "3", "4", "5", "max"}
	var segments []simulate.Segment
	for i := range volumes {
		segments = append(segments, simulate.Segment{Seconds: 2, LevelDBm: dialed(strongUV), VolumeDB: 5*float64(i) - 15})
	}
	return test{kind: job.KindAudioPower, stanza: stepped("volume.wav", volumes, on(job.AxisVolume), strong), takes: single("volume.wav", received(r.bench(), segments...))}
}

func (r round) levelCurve() test {
	texts := []string{"3 mV", "300 uV", "30 uV"} // then down to where the audio gives way
	for _, ratio := range []float64{1, 0.5, 0.4, 0.3} {
		texts = append(texts, fmt.Sprintf("%.2f uV", ratio*simulate.MicrovoltPDFromDBm(-118+r.receiver.FrontLossDB+padDB)))
	}
	test := test{kind: job.KindLevelCurve, stanza: stepped("curve.wav", texts, atLevel, func(s *job.Stanza) { s.Deviation = 1200 })}
	test.takes = single("curve.wav", received(r.bench(), r.levelSegments(texts)...))
	return test
}

func (r round) levelSegments(texts []string) []simulate.Segment {
	var segments []simulate.Segment
	for _, text := range texts {
		segments = append(segments, simulate.Segment{Seconds: 2.5, LevelDBm: dialed(text)})
	}
	return segments
}

// squelchLevels steps up past the opening and down past the closing.
func (r round) squelchLevels() test {
	uv := simulate.MicrovoltPDFromDBm(r.receiver.Squelch.OpenDBm + padDB)
	var texts []string
	for _, ratio := range []float64{0.4, 0.6, 0.85, 1.1, 1.6, 1.1, 0.85, 0.6, 0.4} {
		texts = append(texts, fmt.Sprintf("%.2f uV", uv*ratio))
	}
	return test{kind: job.KindSquelchLevels, takes: single("squelch-steps.wav", received(r.muted(), r.levelSegments(texts)...)),
		stanza: stepped("squelch-steps.wav", texts, atLevel, func(s *job.Stanza) {
			s.Deviation, s.Settings = 1200, map[string]string{job.SettingSquelch: "threshold"}
		})}
}

func (r round) centring() test {
	offsets := []string{"-5 kHz", "-4 kHz", "-3 kHz", "-1.5 kHz", "0 Hz", "1.5 kHz", "3 kHz", "4 kHz", "5 kHz"}
	name := func(i int) string { return fmt.Sprintf("offset-%d.wav", i) }
	level := fmt.Sprintf("%.2f uV", simulate.MicrovoltPDFromDBm(-112+r.receiver.FrontLossDB+padDB))
	return test{kind: job.KindCentring,
		stanza: func(at func(string) string) (*job.Stanza, error) {
			s := &job.Stanza{Deviation: 1200, LevelTyped: level}
			for i, text := range offsets {
				k, err := on(job.AxisOffset)(text)
				if err != nil {
					return nil, err
				}
				k.File = at(name(i))
				s.Takes = append(s.Takes, k)
			}
			var err error
			s.Level, err = unit.ParseLevel(level, unit.PD)
			return s, err
		},
		takes: func(at func(string) string) []file {
			var fs []file
			for i, text := range offsets {
				hz, _ := job.ParseAt(job.AxisOffset, text)
				fs = append(fs, file{at(name(i)), received(r.bench(), simulate.Segment{Seconds: 2, LevelDBm: dialed(level), OffsetHz: hz})})
			}
			return fs
		}}
}

// degradation has the second generator on the next channel but one, whose level
// the simulation counts at the set.
func (r round) degradation() test {
	texts := []string{"100 uV", "300 uV", "1 mV", "3 mV", "10 mV", "30 mV"}
	wanted := fmt.Sprintf("%.2f uV", simulate.MicrovoltPDFromDBm(-115+r.receiver.FrontLossDB+padDB))
	name := func(i int) string { return fmt.Sprintf("second-%d.wav", i) }
	b := r.bench()
	set := r.receiver
	set.Immunity.BlockingDBm = -45
	b.Set, b.Interferer = set, simulate.Interferer{Kind: simulate.Blocking}
	return test{kind: job.KindDegradation,
		stanza: func(at func(string) string) (*job.Stanza, error) {
			s := &job.Stanza{Deviation: 1200, LevelTyped: wanted, Settings: map[string]string{job.SettingInterferer: "blocking", job.SettingInterfererOffset: "1 MHz"}}
			for i, text := range texts {
				k, err := atLevel(text)
				if err != nil {
					return nil, err
				}
				k.File = at(name(i))
				s.Takes = append(s.Takes, k)
			}
			var err error
			s.Level, err = unit.ParseLevel(wanted, unit.PD)
			return s, err
		},
		takes: func(at func(string) string) []file {
			var fs []file
			for i, text := range texts {
				fs = append(fs, file{at(name(i)), received(b, simulate.Segment{Seconds: 3, LevelDBm: dialed(wanted), InterfererDBm: dialed(text) - padDB})})
			}
			return fs
		}}
}

func (r round) limiter() test {
	texts := []string{"1 mV", "2 mV", "4 mV", "8 mV", "20 mV", "50 mV"}
	record := func(seed uint64) (int, int, []float64) {
		b := r.transmit().WithSeed(seed)
		var mic []float64
		for _, text := range texts {
			db, _ := job.ParseAt(job.AxisInput, text)
			mic = append(mic, signal.Tone(48000, 1000, db-40, 2).Samples...) // 100 mV RMS is a sine that just reaches full scale
		}
		return b.Card.Rate, b.Card.Bits, b.Record(mic, 48000)
	}
	return test{kind: job.KindLimiter, limits: map[string]string{job.QuantityDeviation: "2 kHz" + manual},
		takes: single("tx-steps.wav", record),
		stanza: func(at func(string) string) (*job.Stanza, error) {
			s, err := stepped("tx-steps.wav", texts, on(job.AxisInput), nil)(at)
			if err == nil {
				s.Settings = reference(at)
				s.Settings[job.SettingRatedDeviation] = "2 kHz"
			}
			return s, err
		}}
}

func (r round) transmitDistortion() test {
	return test{kind: job.KindTransmitDistortion, limits: map[string]string{job.QuantityDistortion: "5 %" + manual},
		stanza: one("tx-distortion.wav", nil), takes: single("tx-distortion.wav", r.microphone(signal.Tone(48000, 1000, -26, 2.5)))}
}

func (r round) transmitHum() test {
	return test{kind: job.KindTransmitHumNoise, limits: map[string]string{job.QuantityHumNoise: "34 dB" + manual},
		stanza: func(at func(string) string) (*job.Stanza, error) {
			return &job.Stanza{Takes: []job.Take{{State: job.StateModulated, Level: unit.Level{Scale: unit.Off}, File: at("tx-standard.wav")}, {State: job.StateCarrier, Level: unit.Level{Scale: unit.Off}, File: at("tx-shorted.wav")}}}, nil
		},
		takes: func(at func(string) string) []file {
			return []file{{at("tx-standard.wav"), r.microphone(signal.Tone(48000, 1000, -26, 2.5))},
				{at("tx-shorted.wav"), r.microphone(signal.Signal{Rate: 48000, Samples: make([]float64, 120000)})}}
		}}
}

func (r round) speech() test {
	noise := signal.SpeechNoise(48000, -36, signal.NoiseSeconds)
	noise.Samples = noise.Samples[:12*48000]
	return test{kind: job.KindSpeechBalance, takes: single("tx-speech.wav", r.microphone(noise)),
		stanza: one("tx-speech.wav", func(s *job.Stanza) {
			s.Settings = map[string]string{job.SettingAgainst: "pre-emphasis", job.SettingMonitorCurve: "750us"}
		})}
}
