package reports

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/doors/print"
	"hisspoint/reports/sentence"
)

// head opens every object.
type head struct {
	Schema  int    `json:"schema"`
	Tool    string `json:"tool"`
	Version string `json:"version"`
	Command string `json:"command"`
}

func headOf(version, command string) head { return head{Schema, Tool, version, command} }

// readingJSON is a reading with full precision; null where there is no value, with
// High where it is known what the value is at most.
type readingJSON struct {
	Value      *float64 `json:"value"`
	Unit       string   `json:"unit"`
	Low        *float64 `json:"low,omitempty"`
	High       *float64 `json:"high,omitempty"`
	Why        string   `json:"why,omitempty"`
	NoInterval string   `json:"no_interval,omitempty"`
	OpenSide   string   `json:"open_side,omitempty"`
}

func jsonReading(r analyze.Reading) readingJSON {
	j := readingJSON{Unit: r.Unit, Why: string(r.Why), NoInterval: r.NoInterval}
	if r.OK() {
		j.Value = &r.Value
	}
	if r.HasInterval() {
		j.Low, j.High, j.OpenSide = &r.Low, &r.High, r.OneSided
		switch r.OneSided {
		case "low":
			j.Low = nil
		case "high":
			j.High = nil
		}
	}
	if r.Bounded {
		j.High = &r.High
	}
	if r.Unreached {
		j.Low = &r.Low
	}
	return j
}

// order is the order of readings in JSON and CSV.
var order = []string{
	analyze.Level, analyze.ToneFrequency, analyze.ToneDrift, analyze.ToneLevel, analyze.SINAD, analyze.THD, analyze.THDN, analyze.SNR,
	analyze.NoiseLevel, analyze.HumLevel, analyze.HumFrequency, analyze.BuzzLevel, analyze.DCOffset, analyze.Peak, analyze.LevelVolts, analyze.Power,
}

// object is a JSON object whose keys keep their order.
type object []member

type member struct {
	key   string
	value any
}

// MarshalJSON writes the members in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			b.WriteByte(',')
		}
		for j, v := range []any{m.key, m.value} {
			if j == 1 {
				b.WriteByte(':')
			}
			text, err := marshal(v)
			if err != nil {
				return nil, err
			}
			b.Write(text)
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// readings puts the known readings in their order, then whatever else was read.
func readings(rs []analyze.Reading) object {
	var o object
	done := map[string]bool{}
	for _, name := range order {
		for _, r := range rs {
			if r.Name == name && !done[name] {
				o = append(o, member{name, jsonReading(r)})
				done[name] = true
			}
		}
	}
	for _, r := range rs {
		if !done[r.Name] {
			o = append(o, member{r.Name, jsonReading(r)})
			done[r.Name] = true
		}
	}
	return o
}

type warningJSON struct {
	Code capture.Code `json:"code"`
	Text string       `json:"text"`
	AtS  []float64    `json:"at_s,omitempty"`
}

func warnings(ws []capture.Warning) []warningJSON {
	out := make([]warningJSON, len(ws))
	for i, w := range ws {
		out[i] = warningJSON{w.Code, sentence.Of(w.Says), w.AtS}
	}
	return out
}

type harmonicJSON struct {
	Order   int     `json:"order"`
	Percent float64 `json:"percent"`
}

type humLineJSON struct {
	FrequencyHz float64 `json:"frequency_hz"`
	LevelDBFS   float64 `json:"level_dbfs"`
}

type recordingJSON struct {
	File        string         `json:"file"`
	SHA256      string         `json:"sha256"`
	Channel     int            `json:"channel"`
	RateHz      int            `json:"sample_rate_hz"`
	Bits        int            `json:"bits"`
	Encoding    string         `json:"encoding"`
	Frames      int64          `json:"frames"`
	DurationS   float64        `json:"duration_s"`
	UsedFromS   float64        `json:"used_from_s"`
	UsedToS     float64        `json:"used_to_s"`
	Readings    object         `json:"readings"`
	Harmonics   []harmonicJSON `json:"harmonics"`
	HumLines    []humLineJSON  `json:"hum_lines"`
	OtherTone   float64        `json:"other_tone_hz,omitempty"`
	ToneOnMains float64        `json:"tone_on_mains_hz,omitempty"`
	HumOrTone   float64        `json:"hum_or_tone_hz,omitempty"` // a line that may be hum or a sub-audible tone
	HumOrLevel  float64        `json:"hum_or_tone_dbfs,omitempty"`
	SubAudible  float64        `json:"sub_audible_tone_hz,omitempty"`
	SubLevel    float64        `json:"sub_audible_tone_dbfs,omitempty"`
	SubStandard float64        `json:"sub_audible_standard_hz,omitempty"` // nearest standard tone, if within 0.5 %
	Warnings    []warningJSON  `json:"warnings"`
}

type failedJSON struct {
	File  string `json:"file"`
	Error string `json:"error"`
}

func jsonRecording(m analyze.Measured) recordingJSON {
	j := recordingJSON{
		File: m.Origin.File, SHA256: m.Origin.SHA256, Channel: m.Origin.Channel, RateHz: m.Rate, Bits: m.Origin.Bits, Encoding: m.Origin.Encoding,
		Frames: m.Frames, UsedFromS: m.From, UsedToS: m.To, Readings: readings(m.Readings), OtherTone: m.OtherTone, ToneOnMains: m.ToneOnMains, SubAudible: m.SubAudibleTone,
		Harmonics: []harmonicJSON{}, HumLines: []humLineJSON{}, Warnings: warnings(m.Warnings),
	}
	if m.HumOrTone > 0 {
		j.HumOrTone, j.HumOrLevel = m.HumOrTone, m.HumOrToneDBFS
	}
	if m.SubAudibleTone > 0 {
		j.SubLevel = m.SubAudibleDBFS
		if standard, within := analyze.StandardTone(m.SubAudibleTone); within {
			j.SubStandard = standard
		}
	}
	if m.Rate > 0 {
		j.DurationS = float64(m.Frames) / float64(m.Rate)
	}
	for _, h := range m.Harmonics {
		j.Harmonics = append(j.Harmonics, harmonicJSON(h))
	}
	for _, l := range m.HumLines {
		j.HumLines = append(j.HumLines, humLineJSON{l.FrequencyHz, l.LevelDBFS})
	}
	return j
}

// MarshalJSON writes the record in the shape of `measure --json`.
func (r Measure) MarshalJSON() ([]byte, error) {
	out := struct {
		head
		Filter     string `json:"filter"`
		Recordings []any  `json:"recordings"`
	}{headOf(r.Version, "measure"), r.Filter.String(), []any{}}
	for _, rec := range r.Recordings {
		if rec.Error != "" {
			out.Recordings = append(out.Recordings, failedJSON{rec.File, rec.Error})
			continue
		}
		out.Recordings = append(out.Recordings, jsonRecording(rec.Measured))
	}
	return marshal(out)
}

// marshal leaves <, > and & as they are.
func marshal(v any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	return bytes.TrimRight(b.Bytes(), "\n"), nil
}

// WriteJSON writes a record as one indented object.
func WriteJSON(w io.Writer, record json.Marshaler) error {
	flat, err := record.MarshalJSON()
	if err != nil {
		return fmt.Errorf("cannot write the record: %w", err)
	}
	var b bytes.Buffer
	if err := json.Indent(&b, flat, "", "  "); err != nil {
		return fmt.Errorf("cannot write the record: %w", err)
	}
	b.WriteByte('\n')
	_, err = w.Write(print.JSON(b.Bytes()))
	return err
}
