package reports

import (
	"hisspoint/capture/signal"
	"hisspoint/capture/unit"
)

func volts(dBFS, fullScale float64) float64 { return unit.Volts(dBFS, fullScale) }

// MarshalJSON writes the manifest, in the shape of `signals --json`.
func (s Signals) MarshalJSON() ([]byte, error) {
	o := object{{"schema", Schema}, {"tool", Tool}, {"version", s.Version}, {"command", "signals"}, {"bits", s.Bits}}
	if s.FullScaleVolts > 0 {
		o = append(o, member{"full_scale_volts", s.FullScaleVolts})
	}
	all := []object{}
	for _, x := range s.Signals {
		all = append(all, s.signal(x))
	}
	return marshal(append(o, member{"signals", all}))
}

func (s Signals) level(o object, dBFS float64) object {
	o = append(o, member{"level_dbfs", dBFS})
	if mv, ok := s.Millivolts(dBFS); ok {
		o = append(o, member{"level_millivolts", mv})
	}
	return o
}

func (s Signals) signal(x signal.Signal) object {
	o := object{{"file", x.Name + ".wav"}, {"kind", x.Kind}, {"about", x.About}, {"sample_rate_hz", x.Rate}, {"frames", len(x.Samples)}, {"duration_s", x.Seconds()}}
	o = append(s.level(o, x.LevelDBFS), member{"peak_dbfs", x.PeakDBFS})
	if x.Lowered > 0 {
		o = append(o, member{"lowered_db", x.Lowered})
	}
	if x.Parts != nil {
		parts := []object{}
		for _, p := range x.Parts {
			parts = append(parts, s.level(object{{"from_s", p.From}, {"to_s", p.To}, {"frequency_hz", p.Hz}}, p.LevelDBFS))
		}
		o = append(o, member{"parts", parts})
	}
	if w := x.Sweep; w != nil {
		o = append(o, member{"sweep", object{{"from_hz", w.LowHz}, {"to_hz", w.HighHz}, {"seconds", w.Seconds}, {"starts_s", x.StartS}}})
	}
	if x.TonesHz != nil {
		o = append(o, member{"tones_hz", x.TonesHz}, member{"crest_factor_db", x.CrestDB()})
	}
	return o
}
