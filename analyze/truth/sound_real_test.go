package truth_test

import (
	"bytes"
	"encoding/binary"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// lacking skips a check whose outside tool is not there, unless it has to be.
func lacking(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("HISSPOINT_CI") == "1" {
		t.Fatal("not there: " + what)
	}
	t.Skip("skipped, not there: " + what)
}

// Spoken words as Debian's alsa-utils ships them: no tone, and no warning of the
// recording that makes no sense there.
func TestRealSpeechGivesNoSenselessWarning(t *testing.T) {
	files, _ := filepath.Glob("/usr/share/sounds/alsa/*_*.wav")
	if len(files) == 0 {
		lacking(t, "speech in /usr/share/sounds/alsa (Debian's alsa-utils)")
	}
	for _, name := range files {
		f, err := capture.Open(name)
		require.NoError(t, err)
		for _, r := range f.Channels {
			m, err := reading.Measure(r, job.Reading{})
			require.NoError(t, err)
			noSINAD(t, m, name)
			for _, w := range m.Warnings {
				assert.Contains(t, []capture.Code{capture.Unsteady, capture.ZeroRun}, w.Code, "%s: %s", name, w.Says)
			}
			if has(m, "zero-run") {
				assert.GreaterOrEqual(t, zerosWithin(t, r), r.Rate/10, "%s: some are cut together with silence between their words", name)
			}
		}
		require.NoError(t, f.Close())
	}
}

// zerosWithin is the longest run of zeros that sound follows and precedes.
func zerosWithin(t *testing.T, r capture.Recording) int {
	t.Helper()
	longest, run, began := 0, 0, false
	for block, err := range r.Blocks() {
		require.NoError(t, err)
		for _, v := range block {
			if v == 0 {
				run++
				continue
			}
			if began {
				longest = max(longest, run)
			}
			run, began = 0, true
		}
	}
	return longest
}

// suppressor runs 16-bit samples at 16,000 a second through the preprocessor of
// Debian's libspeexdsp, in frames of 20 ms.
const suppressor = `
#include <stdio.h>
#include <stdlib.h>
#include <speex/speex_preprocess.h>
int main(int argc, char **argv) {
	enum { frame = 320 };
	short x[frame];
	int denoise = atoi(argv[1]), agc = atoi(argv[2]);
	SpeexPreprocessState *s = speex_preprocess_state_init(frame, 16000);
	speex_preprocess_ctl(s, SPEEX_PREPROCESS_SET_DENOISE, &denoise);
	speex_preprocess_ctl(s, SPEEX_PREPROCESS_SET_AGC, &agc);
	while (fread(x, sizeof x[0], frame, stdin) == frame) {
		speex_preprocess_run(s, x);
		fwrite(x, sizeof x[0], frame, stdout);
	}
	return 0;
}
`

// canceller runs such samples through the echo canceller of the same library, which
// hears that the input is played 60 ms later.
const canceller = `
#include <stdio.h>
#include <string.h>
#include <speex/speex_echo.h>
int main(void) {
	enum { frame = 320, late = 3 };
	short x[frame], far[late + 1][frame], y[frame];
	int rate = 16000;
	SpeexEchoState *s = speex_echo_state_init(frame, 2048);
	speex_echo_ctl(s, SPEEX_ECHO_SET_SAMPLING_RATE, &rate);
	memset(far, 0, sizeof far);
	while (fread(x, sizeof x[0], frame, stdin) == frame) {
		memmove(far[1], far[0], sizeof far - sizeof far[0]);
		memcpy(far[0], x, sizeof x);
		speex_echo_cancellation(s, x, far[late], y);
		fwrite(y, sizeof y[0], frame, stdout);
	}
	return 0;
}
`

// compiled is the path of a program of C that is linked with libspeexdsp.
func compiled(t *testing.T, source string) string {
	t.Helper()
	if os.Getenv("HISSPOINT_CI") != "1" && !long() {
		t.Skip("skipped: a check with an outside library runs with HISSPOINT_CI=1 or HISSPOINT_LONG=1")
	}
	program := filepath.Join(t.TempDir(), "program")
	require.NoError(t, os.WriteFile(program+".c", []byte(source), 0o600))
	if out, err := exec.Command("cc", "-o", program, program+".c", "-lspeexdsp").CombinedOutput(); err != nil {
		lacking(t, "a C compiler with Debian's libspeexdsp-dev: "+string(out))
	}
	return program
}

// piped is what a program makes of 16-bit samples.
func piped(t *testing.T, x []float64, program string, flags ...string) []float64 {
	t.Helper()
	var in, out bytes.Buffer
	for _, v := range x {
		require.NoError(t, binary.Write(&in, binary.LittleEndian, int16(v*32768)))
	}
	c := exec.Command(program, flags...)
	c.Stdin, c.Stdout = &in, &out
	require.NoError(t, c.Run())
	whole := make([]int16, out.Len()/2)
	require.NoError(t, binary.Read(&out, binary.LittleEndian, whole))
	samples := make([]float64, len(whole))
	for i, v := range whole {
		samples[i] = float64(v) / 32768
	}
	return samples
}

// A real echo canceller that hears the tone it is to let through takes it away,
// more or less; whatever it leaves of it is told to be unsteady or processed.
func TestRealEchoCancellingIsFound(t *testing.T) {
	program := compiled(t, canceller)
	for _, level := range []float64{-119, -115, -105} {
		m, err := reading.Measure(sixteen(16000, piped(t, bench(31).Take(level, 8), program)), job.Reading{})
		require.NoError(t, err)
		t.Logf("%g dBm: SINAD %.1f %v", level, m.Get(analyze.SINAD).Value, m.Warnings)
		assert.True(t, has(m, "processed-audio"), "%g dBm", level)
	}
}

// Recordings through a real noise suppressor and automatic gain are told.
func TestRealProcessingIsFound(t *testing.T) {
	program := compiled(t, suppressor)
	for _, flags := range [][]string{{"1", "0"}, {"1", "1"}, {"0", "0"}} {
		for _, level := range []float64{-119, -115, -105} {
			m, err := reading.Measure(sixteen(16000, piped(t, bench(31).Take(level, 8), program, flags...)), job.Reading{})
			require.NoError(t, err)
			on := flags[0] == "1" // its automatic gain alone waits for speech and leaves a tone as it was
			t.Logf("denoise %s, agc %s, %g dBm: SINAD %.1f %v", flags[0], flags[1], level, m.Get(analyze.SINAD).Value, m.Warnings)
			assert.Equal(t, on, has(m, "processed-audio"), "denoise %s, agc %s, %g dBm", flags[0], flags[1], level)
		}
	}
}
