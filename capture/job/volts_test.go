package job

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A sine of half the full-scale amplitude is at -6.0206 dBFS (AES17); 1.5 V RMS
// read meanwhile make full scale 3 V.
func TestFullScaleVolts(t *testing.T) {
	assert.InDelta(t, 3, FullScaleVolts(1.5, -6.020599913), 1e-8)
	assert.InDelta(t, 0.2, FullScaleVolts(0.2, 0), 1e-12)
}

func TestCalibrationHoldsAtItsGainOnly(t *testing.T) {
	volts := 0.9
	card := Equipment{What: "sound card", FullScaleVolts: &volts, InputGain: "62 %"}
	found, left := &Round{}, &Round{Conditions: RoundConditions{AudioPadDB: 20}}
	j := &Job{Equipment: []Equipment{card}, AsFound: found, AsLeft: left}
	got, why := j.CardVolts(left)
	assert.InDelta(t, 9, got, 1e-12, "20 dB of pad are a factor of ten")
	assert.Empty(t, why)
	assert.False(t, j.GainChanged())

	left.Conditions.InputGain = "62%"
	got, _ = j.CardVolts(left)
	assert.InDelta(t, 9, got, 1e-12)
	left.Conditions.InputGain = "50 %"
	got, why = j.CardVolts(left)
	assert.Zero(t, got)
	assert.Equal(t, "the input gain is 50 % in this round, and the sound card was calibrated at 62 %", why)
	assert.True(t, j.GainChanged())
	got, _ = j.CardVolts(found)
	assert.InDelta(t, 0.9, got, 1e-12)
	assert.Zero(t, j.Setup(left, Test{Stanza: &Stanza{}}).Reading.FullScaleVolts)

	j.Equipment[0].InputGain, found.Conditions.InputGain = "", "62 %"
	got, why = j.CardVolts(found)
	assert.Zero(t, got)
	assert.Contains(t, why, "nothing says at which")
	got, why = (&Job{}).CardVolts(found)
	assert.Zero(t, got)
	assert.Empty(t, why)
}

func TestMeteredRecordings(t *testing.T) {
	take := Take{File: "a.wav", MeasuredVolts: 1.2}
	r := &Round{Tests: []Test{
		{Kind: KindHumNoise, Stanza: &Stanza{OneFile: true, Takes: []Take{take, take}}},
		{Kind: KindDistortion, Stanza: &Stanza{Takes: []Take{{File: "b.wav"}}}},
		{Kind: KindSensitivity, Stanza: &Stanza{Takes: []Take{{File: "c.wav", MeasuredVolts: 2}, {MeasuredVolts: 3}}}},
		{Kind: KindTransmitDistortion, Stanza: &Stanza{Takes: []Take{take}}},
	}}
	assert.Equal(t, []Take{take, {File: "c.wav", MeasuredVolts: 2}}, r.Metered())
}
