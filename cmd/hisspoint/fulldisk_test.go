//go:build linux

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/simulate"
	"hisspoint/capture/smalldisk"
	"hisspoint/capture/wav"
)

const smallJob = `job: "1"
set: {description: invented set, mode: fm}
rounds:
  as_left:
    tests:
      - sensitivity:
          recordings: [{level: 0.1 uV, file: 1.wav}, {level: 0.2 uV, file: 2.wav}, {level: 0.4 uV, file: 3.wav}]
`

// ran is a run of the whole program in this process.
func ran(stdin []byte, args ...string) (code int, stdout, stderr string) {
	var out, errs bytes.Buffer
	code = program(args, bytes.NewReader(stdin), &out, &errs)
	return code, out.String(), errs.String()
}

// A full disk under the report, under standard input or behind standard output: one
// line, exit code 3, and nothing half-written.
func TestFullDisk(t *testing.T) {
	full := smalldisk.New(t, 48<<10)
	dir := t.TempDir()
	for i, uv := range []float64{0.1, 0.2, 0.4} {
		b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: simulate.PlainCard(), Seed: uint64(i)}
		b.Card.Rate = 16000
		x := b.Record(simulate.Segment{Seconds: 2, LevelDBm: simulate.DBmFromMicrovoltPD(uv)})
		require.NoError(t, wav.WriteFile(filepath.Join(dir, string('1'+rune(i))+".wav"), wav.Format{Rate: 16000, Bits: 16}, x))
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "job.yaml"), []byte(smallJob), 0o644))
	oneLine := func(stderr string) {
		t.Helper()
		assert.Equal(t, 1, strings.Count(stderr, "\n"), "%q", stderr)
		assert.Contains(t, stderr, "no space left")
	}

	code, _, stderr := ran(nil, "report", "--quiet", "--out", full, dir)
	assert.Equal(t, exitTrouble, code)
	oneLine(stderr)
	for _, name := range []string{"report.html", "report.pdf", "report.json", "series.csv"} {
		whole, err := os.ReadFile(filepath.Join(full, name))
		assert.True(t, os.IsNotExist(err) || len(whole) > 0, name)
	}
	left, err := filepath.Glob(filepath.Join(full, "*.part"))
	require.NoError(t, err)
	hidden, err := filepath.Glob(filepath.Join(full, ".*"))
	require.NoError(t, err)
	assert.Empty(t, append(left, hidden...))

	t.Setenv("TMPDIR", smalldisk.New(t, 16<<10))
	sound, err := os.ReadFile(filepath.Join(dir, "1.wav"))
	require.NoError(t, err)
	code, stdout, stderr := ran(sound, "measure", "-")
	assert.Equal(t, exitTrouble, code)
	assert.Empty(t, stdout)
	oneLine(stderr)
	assert.True(t, smalldisk.Empty(t, os.Getenv("TMPDIR")))

	device, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	require.NoError(t, err)
	defer device.Close()
	var errs bytes.Buffer
	assert.Equal(t, exitTrouble, program([]string{"measure", filepath.Join(dir, "3.wav")}, nil, device, &errs))
	oneLine(errs.String())
}
