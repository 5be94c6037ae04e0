//go:build unix

package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/wav"
)

// A name that would wipe its line and write another (ECMA-48: CSI 2 K, CR), in seven
// and eight bits, or turn it around (UAX 9), shows as a name and says that more was in
// it; JSON has it whole, without a character that commands a terminal.
func TestForgedNames(t *testing.T) {
	dir := t.TempDir()
	name := "a\x1b[2K\rPASS \u009b2K\u202egnp.wav"
	x := make([]float64, 16000)
	require.NoError(t, wav.WriteFile(filepath.Join(dir, name), wav.Format{Rate: 16000, Bits: 16}, x))
	bad := filepath.Join(dir, "b\x1b[31m\r\u2066.wav")
	require.NoError(t, os.WriteFile(bad, []byte("no sound"), 0o600))
	for _, flags := range [][]string{nil, {"--quiet"}, {"--json"}} {
		code, out, errs := ran(nil, append([]string{"measure", filepath.Join(dir, name), bad}, flags...)...)
		assert.Equal(t, exitTrouble, code)
		assert.False(t, strings.ContainsAny(out+errs, "\x1b\r\u009b\u202e\u2066"), "%q %q", out, errs)
		assert.Contains(t, errs, "b\ufffd[31m")
		if flags == nil || flags[0] != "--json" {
			assert.Contains(t, out, "a\ufffd[2K")
			continue
		}
		var record struct {
			Recordings []struct{ File string }
		}
		require.NoError(t, json.Unmarshal([]byte(out), &record))
		assert.Equal(t, filepath.Join(dir, name), record.Recordings[0].File)
	}
}
