package capture_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
)

// What scipy's own odd files are to us; every other one of them is read
// without a warning.
var scipyOdd = map[string]struct{ refused, code string }{
	"test-44100Hz-le-1ch-4bytes-early-eof.wav":         {code: "truncated"},
	"test-44100Hz-le-1ch-4bytes-early-eof-no-data.wav": {refused: "no data chunk"},
	"test-44100Hz-le-1ch-4bytes-incomplete-chunk.wav":  {refused: "without a fmt"},
	"test-8000Hz-le-3ch-5S-24bit-inconsistent.wav":     {code: "header-repaired"},
	"test-8000Hz-le-3ch-5S-36bit.wav":                  {refused: "36-bit integer"},
	"test-8000Hz-le-3ch-5S-45bit.wav":                  {refused: "45-bit integer"},
	"test-8000Hz-le-3ch-5S-53bit.wav":                  {refused: "53-bit integer"},
	"test-8000Hz-le-3ch-5S-64bit.wav":                  {refused: "64-bit integer"},
	// A format that scipy does not read; its samples are sox's in the zoo.
	"test-8000Hz-le-1ch-1byte-ulaw.wav": {},
}

// The odd WAVE files that scipy tests itself with, against its own reading.
func TestScipysOddFiles(t *testing.T) {
	out, err := python(t, "../testdata/wav/scipy_reads.py")
	require.NoError(t, err, string(out))
	lines := bufio.NewScanner(bytes.NewReader(out))
	lines.Buffer(nil, 64<<20)
	compared := 0
	for lines.Scan() {
		var want struct {
			File, Error string
			Rate        int
			Samples     [][]float64
		}
		require.NoError(t, json.Unmarshal(lines.Bytes(), &want))
		name := filepath.Base(want.File)
		odd := scipyOdd[name]
		f, err := capture.Open(want.File)
		if odd.refused != "" {
			assert.ErrorContains(t, err, odd.refused, name)
			t.Logf("%-52s refused: %v", name, err)
			continue
		}
		if !assert.NoError(t, err, name) {
			continue
		}
		t.Logf("%-52s %s", name, describe(f.Channels[0].Origin))
		if odd.code == "" {
			assert.Empty(t, f.Channels[0].Origin.Warnings, name)
		} else if assert.Len(t, f.Channels[0].Origin.Warnings, 1, name) {
			assert.Equal(t, capture.Code(odd.code), f.Channels[0].Origin.Warnings[0].Code, name)
		}
		if want.Error == "" && assert.Len(t, f.Channels, len(want.Samples), name) {
			for c, r := range f.Channels {
				assert.Equal(t, want.Rate, r.Rate, name)
				assert.Equal(t, want.Samples[c], samples(t, r), name)
			}
			compared++
		}
		require.NoError(t, f.Close())
	}
	assert.Greater(t, compared, 5)
}
