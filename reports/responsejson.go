package reports

import (
	"hisspoint/analyze"
)

// MarshalJSON writes the record in the shape of `response --json`.
func (r Response) MarshalJSON() ([]byte, error) {
	res := r.Result
	o := object{{"schema", Schema}, {"tool", Tool}, {"version", r.Version}, {"command", "response"}}
	o = append(o, responseBody(res)...)
	o = append(o, member{"compare", nil})
	if c := r.Change; c != nil {
		o[len(o)-1].value = changeObject(*c)
	}
	return marshal(append(o, member{"warnings", warnings(res.Warnings)}))
}

func responseBody(res analyze.ResponseResult) object {
	o := object{{"kind", orNull(res.Kind)}}
	if res.Why != "" {
		o = append(o, member{"why", res.Why})
	}
	return append(o,
		member{"reference_hz", res.Reference},
		member{"against", orWord(res.How.Against, analyze.AgainstFlat)},
		member{"monitor_curve", orWord(res.How.Monitor.Name, analyze.MonitorFlat)},
		member{"recordings", responseFiles(res.Files)},
		member{"points", responsePoints(res.Points)},
		member{"edges_hz", edgesObject(res)},
		member{"tilt", jsonReading(orUnread(res.Tilt, "dB/octave", res.Why))},
		member{"bands", bandObjects(res.Bands)},
		member{"balance", object{{"word", orNull(res.Lean)}, {"low_less_high", jsonReading(orUnread(res.Balance, "dB", res.Why))}}},
		member{"mask", maskObject(res.Mask)},
		member{"distortion", distortionObjects(res.Distortion)},
		member{"speech", speechObject(res.Speech)},
	)
}

func orNull(word string) any {
	if word == "" {
		return nil
	}
	return word
}

func orWord(word, usual string) string {
	if word == "" {
		return usual
	}
	return word
}

// orUnread is a reading, or one that says why it was never taken.
func orUnread(r analyze.Reading, unit, why string) analyze.Reading {
	if r.Unit == "" {
		return analyze.Reading{Unit: unit, Why: analyze.Why(orWord(why, "not measured"))}
	}
	return r
}

func responseFiles(files []analyze.ResponseFile) []object {
	all := []object{}
	for _, f := range files {
		all = append(all, object{{"file", f.Origin.File}, {"sha256", f.Origin.SHA256}, {"channel", f.Origin.Channel}, {"sample_rate_hz", f.Rate},
			{"used_from_s", f.From}, {"used_to_s", f.To}})
	}
	return all
}

func responsePoints(points []analyze.ResponsePoint) []object {
	all := []object{}
	for _, p := range points {
		all = append(all, object{{"frequency_hz", p.Hz}, {"db", p.DB}, {"low", p.Low}, {"high", p.High}, {"deviation_db", p.Deviation}})
	}
	return all
}

// edgesObject has a number or null for either edge, and its interval where there is one.
func edgesObject(res analyze.ResponseResult) object {
	of := func(r analyze.Reading) any {
		if r.Unit == "" || !r.OK() {
			return nil
		}
		return r.Value
	}
	o := object{{"low", of(res.EdgeLow)}, {"high", of(res.EdgeHigh)}}
	for _, e := range []struct {
		key string
		r   analyze.Reading
	}{{"low_95", res.EdgeLow}, {"high_95", res.EdgeHigh}} {
		if e.r.Unit != "" && e.r.HasInterval() {
			o = append(o, member{e.key, [2]float64{e.r.Low, e.r.High}})
		}
	}
	return o
}

func bandObjects(bands []analyze.BandLevel) []object {
	all := []object{}
	for _, b := range bands {
		o := object{{"from_hz", b.FromHz}, {"to_hz", b.ToHz}, {"db", nil}}
		switch {
		case !b.Level.OK():
			o = append(o, member{"why", b.Level.Why})
		default:
			o[2].value = b.Level.Value
			if b.Level.HasInterval() {
				o = append(o, member{"low", b.Level.Low}, member{"high", b.Level.High})
			}
		}
		all = append(all, o)
	}
	return all
}

// maskObject says whether the response lies inside: true, false, or null where
// that is open.
func maskObject(m *analyze.MaskResult) any {
	if m == nil {
		return nil
	}
	o := object{{"name", m.Mask.Name}, {"inside", nil}, {"outcome", m.Outcome}, {"worst_db", m.WorstDB}, {"worst_hz", m.WorstHz}, {"source", m.Mask.Source}}
	switch m.Outcome {
	case analyze.MaskInside:
		o[1].value = true
	case analyze.MaskOutside:
		o[1].value = false
	default:
		o = append(o, member{"why", m.Why})
	}
	return o
}

func distortionObjects(ds []analyze.SweptDistortion) []object {
	all := []object{}
	for _, d := range ds {
		harmonics := []harmonicJSON{}
		for _, h := range d.Harmonics {
			harmonics = append(harmonics, harmonicJSON(h))
		}
		all = append(all, object{{"frequency_hz", d.Hz}, {"percent", d.Percent}, {"noise_percent", d.FloorPercent}, {"harmonics", harmonics}})
	}
	return all
}

func speechObject(s *analyze.SpeechFacts) any {
	if s == nil {
		return nil
	}
	o := object{{"active_s", s.ActiveS}, {"shaped_noise", s.Noise}, {"spectrum", s.Spectrum}}
	if !s.Noise {
		o = append(o, member{"other_spectrum", s.OtherSpectrum}, member{"other_tilt_db_per_octave", s.OtherTilt},
			member{"talkers", object{{"tilt_sd_db_per_octave", analyze.TalkerTilt}, {"band_sd_db", analyze.TalkerBand}, {"source", "common practice, no source"}}})
	}
	return o
}

func changeObject(c ResponseChange) object {
	d := c.Difference
	o := object{{"before", responseFiles(c.Before.Files)}}
	if d.Why != "" {
		o = append(o, member{"why", d.Why})
	}
	return append(o, member{"word", orNull(d.Lean)}, member{"tilt", jsonReading(orUnread(d.Tilt, "dB/octave", d.Why))}, member{"bands", bandObjects(d.Bands)}, member{"points", responsePoints(d.Points)})
}
