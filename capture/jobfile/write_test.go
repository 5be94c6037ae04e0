package jobfile

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

func TestJobsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyJob(t)
		data, err := Marshal(want)
		require.NoError(t, err, "%#v", want)
		got, err := Parse(Name, data)
		require.NoError(t, err, string(data))
		require.Equal(t, want, got, string(data))
		again, err := Marshal(got)
		require.NoError(t, err)
		require.Equal(t, string(data), string(again))
	})
}

// texts are what people type, and what a YAML reader may stumble over.
var texts = rapid.OneOf(
	rapid.SampledFrom([]string{"0417", "0x1F", "1e3", "yes", "null", "~", "a: b", "#1", "- x", "&a", "*b", "!c", "{d}", "[e]", "f, g", `"`, `\`, "'", "%", "@",
		"a #b", "two\nlines", "µ Ω ±", "2026-11-02", "12:30:05", ".nan", ".inf", "-", "?", ":", "|", ">", "a:", "<<", "=", "---", "...", "-5", "+3", "1_000", "😀", "a\u00a0b"}),
	rapid.StringOf(rapid.RuneFrom(nil, unicode.L, unicode.N, unicode.P, unicode.S, unicode.Zs)),
)

func words(t *rapid.T, label string) string { return strings.TrimSpace(texts.Draw(t, label)) }

func filled(t *rapid.T, label string) string { return "x" + words(t, label) }

func maybe(t *rapid.T, low, high float64, label string) *float64 {
	if rapid.Bool().Draw(t, "has "+label) {
		return nil
	}
	v := rapid.Float64Range(low, high).Draw(t, label)
	return &v
}

func some[T any](t *rapid.T, label string, one func(*rapid.T) T) []T {
	var out []T
	for range rapid.IntRange(0, 2).Draw(t, label) {
		out = append(out, one(t))
	}
	return out
}

func anyJob(t *rapid.T) *job.Job {
	pick := func(list ...string) string { return rapid.SampledFrom(append(list, "")).Draw(t, "word") }
	j := &job.Job{ID: filled(t, "job"), Set: job.Set{Description: words(t, "set"), Maker: words(t, "maker"), Model: words(t, "model"), Serial: words(t, "serial"), Mode: pick(job.Modes...)},
		Customer: words(t, "customer"), Received: pick("2026-11-02"), Issued: pick("2026-11-05"), FaultReported: words(t, "fault"), Outcome: pick(job.Outcomes...),
		Contact: words(t, "contact"), Reason: words(t, "reason"), Language: pick(job.Languages...), Authorised: words(t, "authorised"),
		ShopFile: pick("../shop.yaml"), Technician: words(t, "technician"), Decide: pick(job.Guarded, job.ByValue), Simulated: words(t, "simulated")}
	j.Complaints = some(t, "complaints", func(t *rapid.T) job.Complaint {
		return job.Complaint{Reported: filled(t, "reported"), Work: words(t, "work on it")}
	})
	j.Work = some(t, "work", func(t *rapid.T) string { return words(t, "piece") })
	j.Parts = some(t, "parts", func(t *rapid.T) job.Part {
		return job.Part{Ref: words(t, "ref"), Fitted: words(t, "fitted"), Removed: words(t, "removed")}
	})
	j.Equipment = some(t, "equipment", func(t *rapid.T) job.Equipment {
		return job.Equipment{What: filled(t, "what"), Serial: words(t, "serial"), Certificate: words(t, "certificate"), LevelUncertaintyDB: maybe(t, 0.01, 20, "level"), DeviationPercent: maybe(t, 0.01, 100, "deviation"), ResponseDB: maybe(t, 0.01, 20, "response"), DistortionPercent: maybe(t, 0.01, 100, "tone"),
			ReflectionFactor: maybe(t, 0, 1, "reflection"), FullScaleVolts: maybe(t, 0.001, 100, "volts"), InputGain: words(t, "gain"), Note: words(t, "note")}
	})
	j.Limits = some(t, "limits", func(t *rapid.T) string { return rapid.StringMatching(`[a-z0-9]{1,8}`).Draw(t, "limit") })
	if rapid.Bool().Draw(t, "as found") {
		j.AsFound = anyRound(t)
	}
	if rapid.Bool().Draw(t, "as left") {
		j.AsLeft = anyRound(t)
	}
	return j
}

func anyRound(t *rapid.T) *job.Round {
	kind := rapid.SampledFrom([]unit.LevelKind{"", unit.PD, unit.EMF}).Draw(t, "kind")
	r := &job.Round{Conditions: job.RoundConditions{RFMHz: maybe(t, 0.1, 3000, "rf"), Channel: words(t, "channel"), SupplyVolts: maybe(t, 0, 300, "supply"), TemperatureC: maybe(t, -40, 60, "temperature"), LevelKind: kind,
		RFPadDB: rapid.Float64Range(0, 100).Draw(t, "pad"), InputGain: words(t, "gain"), Source: rapid.SampledFrom(append([]string{""}, job.Sources...)).Draw(t, "source"), MainsHz: rapid.SampledFrom([]float64{0, 50, 60}).Draw(t, "mains"), Load: words(t, "load"), Controls: words(t, "controls")}}
	r.Channel = rapid.IntRange(0, 2).Draw(t, "audio channel")
	r.Tests = anyTests(t, kind)
	r.MeterReadings = some(t, "readings", func(t *rapid.T) job.MeterReading {
		m := job.MeterReading{What: filled(t, "what"), Value: filled(t, "value"), Note: words(t, "note")}
		if rapid.Bool().Draw(t, "band") {
			m.Nominal, m.Within = filled(t, "nominal"), filled(t, "within")
		} else {
			m.Limit = words(t, "limit")
		}
		return m
	})
	r.Checks = some(t, "checks", func(t *rapid.T) job.Check {
		return job.Check{What: filled(t, "what"), Yes: rapid.Bool().Draw(t, "yes"), Note: words(t, "note")}
	})
	r.NotMeasured = some(t, "omissions", func(t *rapid.T) job.NotMeasured {
		return job.NotMeasured{What: filled(t, "what"), Why: filled(t, "why")}
	})
	return r
}

// anyTests are tests of any kinds, told apart by their names.
func anyTests(t *rapid.T, kind unit.LevelKind) []job.Test {
	var out []job.Test
	for i := range rapid.IntRange(0, 3).Draw(t, "tests") {
		k := rapid.SampledFrom(job.Kinds()).Draw(t, "kind")
		test := job.Test{Kind: k.Name, Name: fmt.Sprint(i, words(t, "name"))}
		if k.Name == job.KindSensitivity {
			test.Stanza = anySensitivity(t, kind)
		} else {
			test.Stanza = anyStanza(t, k, kind)
		}
		out = append(out, test)
	}
	return out
}

// anyStanza has the settings of the kind's sketch: what they may hold is not
// for chance to find.
func anyStanza(t *rapid.T, k job.Kind, kind unit.LevelKind) *job.Stanza {
	sketch, err := Parse(Name, asJob(k.Sketch))
	require.NoError(t, err)
	s := &job.Stanza{Filter: job.Filter{Name: rapid.SampledFrom(job.FilterNames).Draw(t, "filter")}, Settings: sketch.AsLeft.Tests[0].Stanza.Settings, Note: words(t, "note")}
	if k.TakesLevel() && rapid.Bool().Draw(t, "with level") {
		s.LevelTyped = "0,7 uV"
		s.Level, err = unit.ParseLevel(s.LevelTyped, kind)
		require.NoError(t, err)
	}
	anyTakes(t, k, kind, s)
	for _, q := range k.Limits {
		if !rapid.Bool().Draw(t, "limited") {
			continue
		}
		for _, text := range []string{"3 dB, invented: p. 3", "3 %", "30 ms", "3 kHz", "3 W"} {
			if l, err := job.ParseLimit(text, q, kind); err == nil {
				s.Limits = append(s.Limits, l)
				if s.LimitTexts == nil {
					s.LimitTexts = map[string]string{}
				}
				s.LimitTexts[q] = text
				break
			}
		}
	}
	s.Uncertainty = some(t, "uncertainty", func(t *rapid.T) job.Contribution {
		return job.Contribution{What: filled(t, "what"), DB: rapid.Float64Range(0, 60).Draw(t, "dB"), Distribution: rapid.SampledFrom(append([]string{""}, job.Distributions...)).Draw(t, "distribution")}
	})
	return s
}

// anyTakes are recordings of a kind in one of the ways in which it has them.
func anyTakes(t *rapid.T, k job.Kind, kind unit.LevelKind, s *job.Stanza) {
	file := func() string {
		return rapid.StringMatching(`([a-z][a-z0-9 µ]{1,4}[a-z]\.wav)?`).Draw(t, "file")
	}
	if k.Single && rapid.Bool().Draw(t, "single") {
		s.Takes = []job.Take{{File: "x" + file(), MeasuredVolts: rapid.Float64Range(0, 9).Draw(t, "volts")}}
		return
	}
	if k.AxisKey() == "" {
		return
	}
	s.Takes = some(t, "takes", func(t *rapid.T) job.Take {
		take := job.Take{Typed: "2 uV"}
		var err error
		switch {
		case k.Axis == job.AxisLevel:
			take.Level, err = unit.ParseLevel(take.Typed, kind)
		case k.Axis != "":
			take = job.Take{AtTyped: rapid.SampledFrom(map[string][]string{job.AxisTone: {"400 Hz", "1,5 kHz"}, job.AxisOffset: {"-2 kHz", "+0 Hz"},
				job.AxisVolume: {"1/2", "max", "11", "- #"}, job.AxisInput: {"10 mV", "-20 dB"}}[k.Axis]).Draw(t, "place")}
			take.At, err = job.ParseAt(k.Axis, take.AtTyped)
		default:
			take, err = job.ParsePart(rapid.SampledFrom([]string{"off", "carrier", "2 uV modulated", "0,5 µV EMF carrier"}).Draw(t, "part"), kind)
		}
		require.NoError(t, err)
		if take.File = file(); take.File != "" && rapid.Bool().Draw(t, "part of it") {
			take.From, take.To, take.MeasuredVolts = 0.5, 2, 1.25
		}
		return take
	})
	if len(s.Takes) > 0 && rapid.Bool().Draw(t, "one file") {
		s.OneFile = true
		for i := range s.Takes {
			s.Takes[i].File, s.Takes[i].From, s.Takes[i].To, s.Takes[i].MeasuredVolts = s.Takes[0].File, 0, 0, 0
		}
	}
}

func anySensitivity(t *rapid.T, kind unit.LevelKind) *job.Stanza {
	s := &job.Stanza{Note: words(t, "note"), Criterion: job.Criterion{Quantity: rapid.SampledFrom([]string{job.QuantitySINAD, job.QuantityQuieting}).Draw(t, "criterion"), Value: rapid.Float64Range(1, 60).Draw(t, "dB"), Unit: "dB"},
		Filter: rapid.SampledFrom([]job.Filter{{Name: job.SpeechBand}, {Name: job.Psophometric}, {Name: job.Band, Low: 300, High: 3000}}).Draw(t, "filter"),
		ToneHz: rapid.SampledFrom([]float64{0, 400, 1007.3}).Draw(t, "tone"), Depth: rapid.SampledFrom([]float64{0, 30}).Draw(t, "depth")}
	s.Takes = some(t, "takes", func(t *rapid.T) job.Take {
		typed := rapid.SampledFrom([]string{"1 uV", "0,25 µV", "-119 dBm", "1 uV EMF", "off", "-3 dB"}).Draw(t, "level")
		level, err := unit.ParseLevel(typed, kind)
		require.NoError(t, err)
		take := job.Take{Level: level, Typed: typed, File: rapid.StringMatching(`[a-z0-9]{1,5}(/[a-z0-9 µ]{1,4}[a-z])?\.wav`).Draw(t, "file")}
		if rapid.Bool().Draw(t, "part") {
			take.From = rapid.Float64Range(0, 10).Draw(t, "from")
			take.To = take.From + 1
		}
		return take
	})
	if len(s.Takes) > 0 && rapid.Bool().Draw(t, "stepped") {
		s.OneFile = true
		for i := range s.Takes {
			s.Takes[i] = job.Take{Level: s.Takes[i].Level, Typed: s.Takes[i].Typed, File: s.Takes[0].File}
		}
	}
	if rapid.Bool().Draw(t, "limited") {
		const text = "0,5 uV, invented manual: page 3"
		l, err := job.ParseLimit(text, job.QuantitySensitivity, kind)
		require.NoError(t, err)
		s.Limits, s.LimitTexts = []job.Limit{l}, map[string]string{job.QuantitySensitivity: text}
	}
	return s
}

func TestWriteWholeOrNotAtAll(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, Name)
	require.NoError(t, Write(file, &job.Job{ID: "0417"}))
	assert.Error(t, Write(file, &job.Job{}), "a job without number cannot be read back")
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "job: \"0417\"\n", string(data))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 1)
	assert.Error(t, Write(filepath.Join(dir, "nowhere", Name), &job.Job{ID: "1"}))
}
