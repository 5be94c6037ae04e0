package jobfile

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// asJob is a job whose only test is written as the text says.
func asJob(test string) []byte {
	return []byte("job: \"1\"\nrounds:\n  as_left:\n    tests:\n      - " + test + "\n")
}

// What help and errors show has to be right, and whatever can be written has
// to be read back as the same.
func TestSketchesOfAllKinds(t *testing.T) {
	for _, k := range job.Kinds() {
		j, err := Parse(Name, asJob(k.Sketch))
		require.NoError(t, err, k.Name)
		require.Len(t, j.AsLeft.Tests, 1)
		test := j.AsLeft.Tests[0]
		assert.Equal(t, k.Name, test.Kind)
		assert.False(t, test.Planned(), k.Name)
		for _, take := range test.AllTakes() {
			assert.True(t, strings.HasSuffix(take.File, ".wav"), k.Name)
		}
		sameAfterWriting(t, j)
		planned := test.AsPlan()
		assert.True(t, planned.Planned(), k.Name)
		assert.Empty(t, planned.Files(), k.Name)
		j.AsLeft.Tests[0] = planned
		sameAfterWriting(t, j)
	}
}

func sameAfterWriting(t *testing.T, want *job.Job) {
	data, err := Marshal(want)
	require.NoError(t, err)
	got, err := Parse(Name, data)
	require.NoError(t, err, string(data))
	require.Equal(t, want, got, string(data))
}

func TestGoodJobSaysWhatItSays(t *testing.T) {
	j, err := Load(folder + "/good")
	require.NoError(t, err)
	j.Dir, j.Shop, j.Profiles = "", job.Shop{}, nil
	sameAfterWriting(t, j)
	seen := map[string]job.Test{}
	for _, test := range j.AsLeft.Tests {
		seen[test.Kind] = test
	}
	q := seen[job.KindQuieting].Stanza
	assert.True(t, q.OneFile)
	require.Len(t, q.Takes, 4)
	assert.Equal(t, job.Take{State: job.StateModulated, Level: q.Takes[1].Level, Typed: "0,5 uV", File: "quieting.wav"}, q.Takes[2])
	assert.Equal(t, unit.Off, q.Takes[0].Level.Scale)
	d := seen[job.KindDistortion].Stanza
	assert.InDelta(t, -46.99, d.Level.DB, 0.01) // 1 mV PD is 60 dB above 1 µV, -106.99 dBm
	assert.Equal(t, []job.Take{{File: "strong.wav", MeasuredVolts: 1.2}}, d.Takes)
	require.Len(t, d.Limits, 2)
	assert.Equal(t, job.QuantityDistortion, d.Limits[0].Quantity)
	assert.Equal(t, job.AtMost, d.Limits[0].Bound)
	assert.Equal(t, 10.0, d.Limits[0].Value)
	assert.Equal(t, "invented manual", d.Limits[0].Source)
	assert.Equal(t, job.AtLeast, d.Limits[1].Bound)
	assert.Equal(t, []job.Contribution{{What: "card", DB: 0.1}}, d.Uncertainty)
	c := seen[job.KindCentring]
	assert.Equal(t, []float64{-2000, 0, 2000}, []float64{c.Stanza.Takes[0].At, c.Stanza.Takes[1].At, c.Stanza.Takes[2].At})
	assert.Len(t, c.Missing(), 1)
	assert.Len(t, j.Setup(j.AsLeft, c).Takes, 2, "what is not recorded is not measured")
	assert.True(t, seen[job.KindHumNoise].Planned())
	assert.True(t, seen[job.KindHiss].Planned())
	assert.Equal(t, job.StateCarrier, seen[job.KindSensitivity].Stanza.Takes[1].State)
	assert.Equal(t, "hum and noise, speaker", seen[job.KindHumNoise].Label())
}

func TestFilesOfSettingsStayInTheFolder(t *testing.T) {
	c, err := parse(Name, asJob("deviation: {file: a.wav, reference_file: ref.wav, reference_deviation: 2 kHz, monitor_curve: own.csv}"))
	require.NoError(t, err)
	var names []string
	for _, f := range c.files {
		names = append(names, f.Value)
	}
	assert.ElementsMatch(t, []string{"a.wav", "ref.wav", "own.csv"}, names)
	c, err = parse(Name, asJob("deviation: {file: a.wav, monitor_curve: 750 µs}"))
	require.NoError(t, err)
	assert.Len(t, c.files, 1, "a curve by its name is no file")
}
