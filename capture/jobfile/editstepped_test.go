package jobfile

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
)

// Whatever a test had planned, and however it is written, it is one file with a list
// of levels afterwards, and keeps all else.
func TestSteppedInAnySpelling(t *testing.T) {
	const head = "job: \"1\"\nrounds:\n"
	for name, text := range map[string]string{
		"block":   head + "  as_left:\n    tests:\n      - hiss:\n      - sensitivity:\n          limit: 0.5 uV PD  # agreed\n          recordings:\n            - {level: 1 uV}\n            - level: 2 uV\n      - distortion: {level: 1 mV}\n",
		"only":    head + "  as_left:\n    tests:\n      - hiss:\n      - sensitivity:\n          recordings:\n            - {level: 1 uV}\n      - distortion: {level: 1 mV}\n",
		"nothing": head + "  as_left:\n    tests:\n    - hiss: {}\n    - sensitivity:\n    - distortion: {level: 1 mV}\n",
		"list":    head + "  as_left:\n    tests:\n      - hiss:\n      - sensitivity: {levels: [1 uV,\n           2 uV], limit: 0.5 uV PD}\n      - distortion: {level: 1 mV}\n",
		"braces":  "job: \"1\"\nrounds: {as_left: {tests: [{hiss: }, {sensitivity: {limit: 0.5 uV PD, recordings: [{level: 1 uV}]}}, {distortion: {level: 1 mV}}]}}\n",
	} {
		t.Run(name, func(t *testing.T) {
			for _, end := range []string{"\n", "\r\n"} {
				got := edited(t, strings.ReplaceAll(text, "\n", end), func(l *Lines) error {
					return l.SetStepped("as_left", 1, "steps, down.wav", []string{"30 uV PD", "off"})
				})
				j, err := Parse(Name, []byte(got))
				require.NoError(t, err, got)
				require.Len(t, j.AsLeft.Tests, 3, got)
				s := j.AsLeft.Tests[1].Stanza
				require.NotNil(t, s, got)
				assert.True(t, s.OneFile, got)
				require.Len(t, s.Takes, 2, got)
				for i, typed := range []string{"30 uV PD", "off"} {
					assert.Equal(t, typed, s.Takes[i].Typed)
					assert.Equal(t, "steps, down.wav", s.Takes[i].File)
				}
				assert.Equal(t, strings.Count(text, "0.5 uV PD"), strings.Count(got, "0.5 uV PD"))
				assert.Equal(t, strings.Count(text, "# agreed"), strings.Count(got, "# agreed"))
				assert.Equal(t, "1 mV", j.AsLeft.Tests[2].Stanza.LevelTyped)
			}
		})
	}
}

// (S+N)/N of an SSB set is measured within each step; an AM set needs two at each level.
func TestStepsOfSignalToNoise(t *testing.T) {
	text := func(mode, levels string) []byte {
		return []byte("job: \"1\"\nset: {mode: " + mode + "}\nrounds: {as_found: {tests: [{sensitivity: {criterion: sn_n 10 dB, file: s.wav, levels: [" + levels + "]}}]}}\n")
	}
	j, err := Parse(Name, text("ssb", "1 uV, 0.5 uV"))
	require.NoError(t, err)
	for _, k := range j.AsFound.Tests[0].Stanza.Takes {
		assert.Equal(t, job.StateModulated, k.State)
	}
	_, err = Parse(Name, text("am", "1 uV, 0.5 uV"))
	assert.ErrorContains(t, err, "write levels: [1 uV modulated, 1 uV carrier]")
	j, err = Parse(Name, text("am", "1 uV modulated, 1 uV carrier"))
	require.NoError(t, err)
	again, err := Marshal(j)
	require.NoError(t, err)
	back, err := Parse(Name, again)
	require.NoError(t, err, string(again))
	assert.Equal(t, j.AsFound.Tests[0].Stanza.Takes, back.AsFound.Tests[0].Stanza.Takes, string(again))
}
