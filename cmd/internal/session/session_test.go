package session

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/soundcard"
	"hisspoint/cmd/internal/live"
)

// record runs a session on a job with a card and answers.
func record(t *testing.T, card soundcard.Card, how Settings, answers ...string) (finished bool, out, said string, err error) {
	for _, name := range []string{"XDG_CONFIG_HOME", "HOME", "AppData"} {
		t.Setenv(name, t.TempDir())
	}
	how.Seconds, how.Source = 1, live.Source{Open: func() (soundcard.Card, error) { return card, nil }}
	if how.Level == "" {
		how.Level = "-40 dBFS"
	}
	var stdout, stderr strings.Builder
	s := Session{Settings: how, In: strings.NewReader(strings.Join(answers, "\n") + "\n"), Out: &stdout, Err: &stderr}
	finished, err = s.Run()
	return finished, stdout.String(), stderr.String(), err
}

const transmitJob = `job: "7"   # by hand
set: {description: invented FM transceiver, mode: fm}
rounds:
  as_found:
    tests:
      - deviation: {reference_deviation: 2 kHz}
      - sensitivity:
          recordings:
            - {level: 1 uV}
`

// Receive comes before transmit, whatever the order in the file, and the word has
// to be typed: Enter alone does not do.
func TestRecordAsksForTheDummyLoad(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "7")
	require.NoError(t, os.MkdirAll(dir, 0o777))
	file := filepath.Join(dir, "job.yaml")
	require.NoError(t, os.WriteFile(file, []byte(transmitJob), 0o644))
	// wiring; record 1 uV; skip the proposed level; Enter and yes are not the word; the
	// word; back to 1 uV, recorded again; the word again, and no further
	job := Settings{Job: dir, Round: "as_found"}
	finished, _, said, err := record(t, &looped{hum: true, mute: true}, job, "", "", "s", "", "yes", "dummy", "b", "", "", "q")
	require.NoError(t, err)
	assert.False(t, finished)
	assert.Less(t, strings.Index(said, "dial"), strings.Index(said, "before the transmitter is keyed"))
	assert.GreaterOrEqual(t, strings.Count(said, "type dummy when it is so (q stop):"), 5, said)
	assert.Equal(t, 1, strings.Count(said, "transmitter keyed, into the dummy load"), said)
	now, _ := os.ReadFile(file)
	typed, kept, _ := strings.Cut(string(now), "files:\n")
	assert.Equal(t, strings.Replace(transmitJob, "{level: 1 uV}", "{level: 1 uV, file: as-found/sensitivity_1uV-2.wav}", 1), typed)
	assert.Regexp(t, `^  - \{file: as-found/sensitivity_1uV-2.wav, bytes: [0-9]+, sha256: "[0-9a-f]{64}", recorded: "?20[^}]*\}\n$`, kept)

	_, _, said, err = record(t, &looped{hum: true, mute: true}, job, "s", "dummy", "")
	require.NoError(t, err)
	assert.NotContains(t, said, "Take the speaker off", "the wiring was shown before")
	assert.Contains(t, said, "type dummy when it is so (q stop):", "again, in a new session")
	assert.FileExists(t, filepath.Join(dir, "as-found", "deviation.wav"))
	now, _ = os.ReadFile(file)
	assert.Contains(t, string(now), "deviation: {reference_deviation: 2 kHz, file: as-found/deviation.wav}")
}

// What was really set, one key back, and a recording that was there before.
func TestRecordTakesWhatWasReallySet(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "job.yaml")
	require.NoError(t, os.WriteFile(file, []byte("job: \"7\"\nset: {description: x}\nrounds:\n  as_left:\n    tests:\n      - sensitivity: {recordings: [{level: 1 uV}, {level: 0.5 uV}]}\n"), 0o644))
	_, _, said, err := record(t, &looped{hum: true}, Settings{Job: dir, Round: "as_left"}, "", "0.9 uV", "", "b", "", "rubbish", "", "q")
	require.NoError(t, err)
	assert.Contains(t, said, "not understood")
	assert.FileExists(t, filepath.Join(dir, "as-left", "sensitivity_0.9uV.wav"))
	assert.FileExists(t, filepath.Join(dir, "as-left", "sensitivity_0.9uV-2.wav"), "the earlier one stays")
	now, _ := os.ReadFile(file)
	assert.Contains(t, string(now), "{level: 0.9 uV, file: as-left/sensitivity_0.9uV-2.wav}, {level: 0.5 uV}")
}
