package cardfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
)

func one() job.Qualified {
	volts, percent, hum := 0.9, 3.0, -80.0
	return job.Qualified{ID: "line_in", Name: "Line in", At: "2026-11-01 10:00:00", Card: job.Card{RateHz: 48000, NoiseDBFS: map[string]float64{job.SpeechBand: -85.25},
		RestDBFS: map[string]float64{job.SpeechBand: -84}, HumDBFS: &hum, DistortionPC: 0.003, Response: []job.CardTone{{Hz: 300, DB: -0.1}, {Hz: 1000}},
		FullScaleVolts: &volts, VoltsPercent: &percent, InputGain: "62 %"}}
}

func TestACardIsReadAsItWasWritten(t *testing.T) {
	dir := t.TempDir()
	q, err := In(dir)
	require.NoError(t, err)
	assert.Nil(t, q)
	require.NoError(t, Write(filepath.Join(dir, Name), one()))
	q, err = In(dir)
	require.NoError(t, err)
	assert.Equal(t, one(), *q)
	again, err := Load(filepath.Join(dir, Name))
	require.NoError(t, err)
	assert.True(t, q.SameAs(again))
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 1, "nothing is left beside it")
	assert.ErrorContains(t, Write(filepath.Join(dir, "gone", Name), one()), "cannot be written")
}

func TestWhatIsNoCardIsRefusedInALine(t *testing.T) {
	good, err := Marshal(one())
	require.NoError(t, err)
	for _, bent := range []string{"", "{", "[]", "{}", `{"card": {"sample_rate_hz": 48000}}`, strings.Repeat(" ", 1<<20) + string(good),
		strings.Replace(string(good), "48000", "-1", 1), strings.Replace(string(good), "-85.25", "1e300", 1), strings.Replace(string(good), "0.003", "300", 1),
		strings.Replace(string(good), `"db": -0.1`, `"db": 999`, 1), strings.Replace(string(good), "0.9", "0", 1), strings.Replace(string(good), "\"volts_uncertainty_percent\": 3", "\"volts_uncertainty_percent\": -3", 1)} {
		require.NotEqual(t, string(good), bent)
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, Name), []byte(bent), 0o644))
		_, err := In(dir)
		require.Error(t, err, bent)
		assert.Contains(t, err.Error(), "card.json: is no qualification that hisspoint card wrote (")
		assert.NotContains(t, err.Error(), "\n")
	}
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, Name), 0o755))
	_, err = In(dir)
	assert.ErrorContains(t, err, "it is not a file")
}

// What came from elsewhere is named without words of a programming language, and
// writes nothing on a terminal but text.
func TestWhatIsWrongWithACardIsSaidPlainly(t *testing.T) {
	good, err := Marshal(one())
	require.NoError(t, err)
	for bent, want := range map[string]string{
		"{":  "it is no JSON, or is cut off",
		"[]": "it holds no object but a JSON array",
		strings.Replace(string(good), "48000", `"fast"`, 1):                             "card.sample_rate_hz cannot be a JSON string",
		strings.Replace(string(good), "Line in", `Line\u001b[31min`, 1):                 "holds what cannot be shown",
		strings.Replace(string(good), `"frequency_hz": 300`, `"frequency_hz": 2000`, 1): "a response at 1000 Hz behind one at 2000 Hz",
		strings.Replace(string(good), "62 %", `62\n%`, 1):                               "holds what cannot be shown",
	} {
		_, err := Parse([]byte(bent))
		assert.ErrorContains(t, err, want)
	}
}

func TestALinkThatLeadsOutIsRefused(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(t.TempDir(), Name)
	require.NoError(t, Write(file, one()))
	if err := os.Symlink(file, filepath.Join(dir, Name)); err != nil {
		t.Skip("this system makes no links: " + err.Error())
	}
	_, err := In(dir)
	assert.ErrorContains(t, err, "is no qualification")
}
