package job

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/capture/unit"
)

func TestWhatWasLeftOut(t *testing.T) {
	r := &Round{NotMeasured: []NotMeasured{{"Hum_and_noise", "no time"}, {"squelch timing", "none fitted"}, {"Distortion, speaker", "broken"}}}
	for _, c := range []struct {
		test Test
		why  string
	}{
		{Test{Kind: KindHumNoise}, "no time"}, {Test{Kind: KindSquelch}, "none fitted"}, {Test{Kind: KindDistortion, Name: "speaker"}, "broken"},
		{Test{Kind: KindDistortion}, ""}, {Test{Kind: KindHiss}, ""},
	} {
		why, ok := r.LeftOut(c.test)
		assert.Equal(t, c.why != "", ok, c.test)
		assert.Equal(t, c.why, why)
	}
}

func TestDepthOffAScopeIsNoPlan(t *testing.T) {
	read := &Stanza{Settings: map[string]string{SettingHighest: "3.0", SettingLowest: "1.0"}}
	assert.False(t, Test{Kind: KindModulationDepth, Stanza: read}.Planned())
	assert.True(t, Test{Kind: KindModulationDepth, Stanza: &Stanza{}}.Planned())
}

func TestPlanOfARound(t *testing.T) {
	r := Round{Tested: "2026-11-02", Conditions: RoundConditions{Channel: "20", InputGain: "62 %"},
		Tests: []Test{
			{Kind: KindSensitivity, Stanza: &Stanza{OneFile: true, Takes: []Take{{Level: unit.DBm(-110), Typed: "-110 dBm", File: "s.wav"}}}},
			{Kind: KindBenchFloor, Stanza: &Stanza{Takes: []Take{{File: "f.wav", From: 1, To: 2}}}},
			{Kind: KindDeviation, Stanza: &Stanza{Takes: []Take{{File: "d.wav"}}, Settings: map[string]string{SettingReferenceFile: "r.wav", SettingReferenceDeviation: "2 kHz"}}},
			{Kind: KindResponse, Stanza: &Stanza{Takes: []Take{{AtTyped: "1 kHz", At: 1000, File: "t.wav", MeasuredVolts: 1}}}},
		},
		MeterReadings: []MeterReading{{What: "power", Value: "4 W", Limit: "at least 3 W", Note: "hot"}},
		Checks:        []Check{{What: "air test", Yes: true}}, NotMeasured: []NotMeasured{{"x", "y"}}}
	plan := r.AsPlan()
	assert.Equal(t, Round{Conditions: r.Conditions,
		Tests: []Test{
			{Kind: KindSensitivity, Stanza: &Stanza{OneFile: true, Takes: []Take{{Level: unit.DBm(-110), Typed: "-110 dBm"}}}},
			{Kind: KindBenchFloor, Stanza: &Stanza{}},
			{Kind: KindDeviation, Stanza: &Stanza{Settings: map[string]string{SettingReferenceDeviation: "2 kHz"}}},
			{Kind: KindResponse, Stanza: &Stanza{Takes: []Take{{AtTyped: "1 kHz", At: 1000}}}},
		},
		MeterReadings: []MeterReading{{What: "power", Limit: "at least 3 W"}},
		Checks:        []Check{{What: "air test", Open: true}}}, plan)
	assert.Equal(t, "s.wav", r.Tests[0].Stanza.Takes[0].File, "the round itself stays as it is")
	assert.Equal(t, "r.wav", r.Tests[2].Stanza.Setting(SettingReferenceFile))
}
