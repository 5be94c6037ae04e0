package live

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/cardfile"
	"hisspoint/capture/soundcard"
)

func TestRecordTiesARoundToItsCard(t *testing.T) {
	config := t.TempDir()
	for _, name := range []string{"XDG_CONFIG_HOME", "HOME", "AppData"} {
		t.Setenv(name, config)
	}
	one := func(name, at string) Qualified {
		return Qualified{Name: name, At: at, Card: job.Card{RateHz: 48000, NoiseDBFS: map[string]float64{job.SpeechBand: -80}}}
	}
	s := Settings{Device: "a", Cards: map[string]Qualified{"a": one("Line A", "2026-11-01"), "b": one("Line B", "2026-11-01")}}
	require.NoError(t, s.Save())
	a, b, plain := soundcard.Device{ID: "a", Name: "Line A"}, soundcard.Device{ID: "b", Name: "Line B"}, soundcard.Device{ID: "c", Name: "Line C"}
	round := func(file string) *job.Round {
		return &job.Round{Tests: []job.Test{{Kind: job.KindHiss, Stanza: &job.Stanza{Takes: []job.Take{{File: file}}}}}}
	}
	fresh := func() (*job.Job, string) {
		dir := t.TempDir()
		return &job.Job{Dir: dir, AsFound: round("as-found/a.wav"), AsLeft: round("as-left/b.wav")}, dir
	}
	has := func(dir string) string {
		q, err := cardfile.In(dir)
		require.NoError(t, err)
		if q == nil {
			return ""
		}
		return q.Name
	}
	recorded := func(dir, file string) {
		require.NoError(t, os.MkdirAll(filepath.Dir(filepath.Join(dir, file)), 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(dir, file), nil, 0o644))
	}
	j, dir := fresh()
	said, err := TieCard(dir, "as_found", j, plain, 48000)
	require.NoError(t, err)
	assert.Empty(t, said+has(dir), "an input that is not qualified")
	said, err = TieCard(dir, "as_found", j, a, 44100)
	require.NoError(t, err)
	assert.Contains(t, said, "qualified at 48000 Hz and records at 44100 Hz")
	assert.Empty(t, has(dir))
	said, err = TieCard(dir, "as_found", j, a, 48000)
	require.NoError(t, err)
	assert.Contains(t, said, "What is known of the sound card (Line A, qualified 2026-11-01) was put beside the recordings: card.json.")
	assert.Equal(t, "Line A", has(dir))
	said, err = TieCard(dir, "as_found", j, a, 48000)
	require.NoError(t, err)
	assert.Empty(t, said, "it is there")

	recorded(dir, "as-found/a.wav")
	_, err = TieCard(dir, "as_found", j, b, 48000)
	assert.ErrorContains(t, err, "Line B: the recordings of this round were made with Line A, qualified 2026-11-01")
	_, err = TieCard(dir, "as_left", j, plain, 48000)
	assert.ErrorContains(t, err, "Line C: this input is not qualified, and the card.json beside the job is that of Line A")
	said, err = TieCard(dir, "as_left", j, b, 48000)
	require.NoError(t, err)
	assert.Contains(t, said, "as-left/card.json")
	assert.Equal(t, "Line A", has(dir), "the other round's stays")
	assert.Equal(t, "Line B", has(filepath.Join(dir, "as-left")))

	s.Cards["a"] = one("Line A", "2026-12-01")
	require.NoError(t, s.Save())
	said, err = TieCard(dir, "as_found", j, a, 48000)
	require.NoError(t, err)
	assert.Contains(t, said, "it was qualified again since (2026-12-01)")

	j, dir = fresh()
	recorded(dir, "as-found/a.wav")
	said, err = TieCard(dir, "as_found", j, a, 48000)
	require.NoError(t, err)
	assert.Contains(t, said, "nothing ties to a sound card")
	assert.Empty(t, has(dir), "those may be of another")
	said, err = TieCard(dir, "as_left", j, a, 48000)
	require.NoError(t, err)
	assert.Contains(t, said, "as-left/card.json")

	q, err := CardNamed("line b")
	require.NoError(t, err)
	assert.Equal(t, "b", q.ID)
	_, err = CardNamed("line")
	assert.ErrorContains(t, err, "several qualified inputs are called like")
	_, err = CardNamed("usb")
	assert.ErrorContains(t, err, "there are: Line A; Line B")
}
