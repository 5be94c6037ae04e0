package capture_test

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/reports/sentence"
)

const zoo = "../testdata/zoo"

// truth is what the script that makes the zoo knows of one file. It comes from
// the integers the file was made of, and was compared there with other readers.
type truth struct {
	File, About                  string
	Container, Encoding, Refused string
	Bits, Rate                   int
	Codes                        []string
	Samples, Frames              int
	CheckedWith                  []string `json:"checked_with"`
}

type sound struct {
	Full     float64
	Channels [][]float64
}

func readJSON(t testing.TB, name string, into any) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(zoo, name))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(b, into))
}

func TestZoo(t *testing.T) {
	var all []truth
	var sounds []sound
	readJSON(t, "truth.json", &all)
	readJSON(t, "samples.json", &sounds)
	require.Greater(t, len(all), 150)
	t.Logf("%-26s %-46s %s", "FILE", "TRUTH", "WHAT WE SAY")
	for _, want := range all {
		f, err := capture.Open(filepath.Join(zoo, want.File))
		if want.Refused != "" {
			if assert.Error(t, err, want.File) {
				say := strings.TrimPrefix(err.Error(), zoo+"/"+want.File+": ")
				t.Logf("%-26s %-46s refused: %s", want.File, want.About, say)
				assert.Contains(t, say, want.Refused, want.File)
				assert.NotContains(t, say, "\n", want.File)
				assert.NotEqual(t, err.Error(), say, "the error names the file")
			}
			continue
		}
		if !assert.NoError(t, err, want.File) {
			continue
		}
		t.Logf("%-26s %-46s %s", want.File, want.About, describe(f.Channels[0].Origin))
		compare(t, want, sounds[want.Samples], f)
		require.NoError(t, f.Close())
	}
}

func describe(o capture.Origin) string {
	say := []string{o.Container, o.Encoding}
	for _, w := range o.Warnings {
		say = append(say, string(w.Code)+": "+sentence.Of(w.Says))
	}
	return strings.Join(say, ", ")
}

func compare(t *testing.T, want truth, s sound, f *capture.File) {
	t.Helper()
	if !assert.Len(t, f.Channels, len(s.Channels), want.File) {
		return
	}
	for c, r := range f.Channels {
		var codes []string
		for _, w := range r.Origin.Warnings {
			codes = append(codes, string(w.Code))
		}
		assert.ElementsMatch(t, want.Codes, codes, want.File)
		assert.Equal(t, want.Container, r.Origin.Container, want.File)
		assert.Equal(t, want.Encoding, r.Origin.Encoding, want.File)
		assert.Equal(t, want.Bits, r.Origin.Bits, want.File)
		assert.Equal(t, want.Rate, r.Rate, want.File)
		assert.Equal(t, c+1, r.Origin.Channel, want.File)
		assert.Equal(t, len(s.Channels), r.Origin.Channels, want.File)
		assert.Len(t, r.Origin.SHA256, 64, want.File)
		truth := slices.Clone(s.Channels[c][:want.Frames])
		for i := range truth {
			truth[i] /= s.Full
		}
		assert.Equal(t, truth, samples(t, r), "%s channel %d", want.File, c+1)
	}
}

// The zoo is what its script makes today, with scipy and sox agreeing.
func TestZooIsWhatItsScriptMakes(t *testing.T) {
	if os.Getenv("HISSPOINT_LONG") == "" && os.Getenv("HISSPOINT_CI") == "" {
		t.Skip("runs a Python script; set HISSPOINT_LONG=1")
	}
	out, err := python(t, filepath.Join(zoo, "make.py"), "--check")
	require.NoError(t, err, string(out))
}

// python runs a script with scipy and sox at hand, or skips the test where
// they are not there and need not be.
func python(t *testing.T, args ...string) ([]byte, error) {
	t.Helper()
	const interpreter = "/usr/bin/python3"
	missing := ""
	if exec.Command(interpreter, "-c", "import scipy.io.wavfile").Run() != nil {
		missing = "scipy for " + interpreter
	} else if _, err := exec.LookPath("sox"); err != nil {
		missing = "sox"
	}
	if missing != "" {
		if os.Getenv("HISSPOINT_CI") != "" {
			t.Fatal("not installed: " + missing)
		}
		t.Skip("not installed: " + missing)
	}
	return exec.Command(interpreter, args...).CombinedOutput()
}

// Float samples are handed on as they are stored, to be judged by analysis.
func TestNotFiniteIsHandedOn(t *testing.T) {
	path := filepath.Join(t.TempDir(), "float.wav")
	b, err := os.ReadFile(filepath.Join(zoo, "float32.wav"))
	require.NoError(t, err)
	at := len(b) - 320
	copy(b[at:], "\x00\x00\xC0\x7F\x00\x00\x80\xFF")
	require.NoError(t, os.WriteFile(path, b, 0o644))
	f, err := capture.Open(path)
	require.NoError(t, err)
	defer f.Close()
	assert.True(t, math.IsNaN(samples(t, f.Channels[0])[0]))
	assert.True(t, math.IsInf(samples(t, f.Channels[1])[0], -1))
}
