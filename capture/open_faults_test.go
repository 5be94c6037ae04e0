package capture_test

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/wav"
)

// ramp writes a 16-bit file of 100000 samples.
func ramp(t *testing.T, path string) {
	t.Helper()
	x := make([]float64, 100000)
	for i := range x {
		x[i] = float64(i%30000) / 32768
	}
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: 8000, Bits: 16}, x))
}

// oneLine checks what every error promises.
func oneLine(t *testing.T, err error, name string, words ...string) {
	t.Helper()
	require.Error(t, err)
	assert.True(t, strings.HasPrefix(err.Error(), name+": "), "%q names %q", err, name)
	assert.NotContains(t, err.Error(), "\n")
	for _, w := range words {
		assert.Contains(t, err.Error(), w)
	}
}

func TestOpenRefusesWhatIsNoFile(t *testing.T) {
	dir := filepath.ToSlash(t.TempDir())
	_, err := capture.Open(dir + "/none.wav")
	oneLine(t, err, dir+"/none.wav", "no such file")
	_, err = capture.Open(dir)
	oneLine(t, err, dir, "folder")
	_, err = capture.Open("-")
	oneLine(t, err, "-", "standard input")
	_, err = capture.Open(dir + "/none.wav/x.wav")
	oneLine(t, err, dir+"/none.wav/x.wav")
	_, err = capture.Open("nul\x00.wav")
	oneLine(t, err, "nul\x00.wav")
	if runtime.GOOS != "windows" {
		_, err = capture.Open(os.DevNull)
		oneLine(t, err, os.DevNull, "device or pipe")
	}
}

func TestOpenRefusesUnreadable(t *testing.T) {
	if runtime.GOOS == "windows" || os.Geteuid() == 0 {
		t.Skip("permissions bind neither the superuser nor this system")
	}
	path := filepath.Join(t.TempDir(), "locked.wav")
	require.NoError(t, os.WriteFile(path, []byte("RIFF"), 0))
	_, err := capture.Open(path)
	oneLine(t, err, path, "permissions")
}

// A file that shrinks while it is read gives what is there, then an error.
func TestShrinkingFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ramp.wav")
	ramp(t, path)
	f, err := capture.Open(path)
	require.NoError(t, err)
	defer f.Close()
	n, last := 0, error(nil)
	for block, err := range f.Channels[0].Blocks() {
		require.NoError(t, last, "nothing comes after an error")
		if n == 0 {
			require.NoError(t, os.Truncate(path, 100001))
		}
		n, last = n+len(block), err
	}
	oneLine(t, last, filepath.ToSlash(path), "ended at byte 100001")
	assert.Positive(t, n)
	assert.Less(t, n, 50000)
}

func TestClosedFile(t *testing.T) {
	for _, name := range []string{"pcm16-1ch.wav", "flac16-1ch.flac"} {
		f, err := capture.Open(zoo + "/" + name)
		require.NoError(t, err)
		require.NoError(t, f.Close())
		var last error
		for _, err := range f.Channels[0].Blocks() {
			last = err
		}
		oneLine(t, last, zoo+"/"+name)
		assert.ErrorIs(t, last, os.ErrClosed)
	}
}

// What the container showed and where the sound came from travels along.
func TestOriginIsFilled(t *testing.T) {
	f, err := capture.Open(zoo + "/truncated.wav")
	require.NoError(t, err)
	defer f.Close()
	require.Len(t, f.Channels, 2)
	o := f.Channels[1].Origin
	assert.Equal(t, zoo+"/truncated.wav", o.File)
	assert.Equal(t, 2, o.Channel)
	require.Len(t, o.Warnings, 1)
	assert.Equal(t, []float64{40.0 / 8000}, o.Warnings[0].AtS)
}

// The value is that of coreutils' sha256sum for this file of the zoo.
func TestDigest(t *testing.T) {
	f, err := capture.Open(zoo + "/pcm16-1ch.wav")
	require.NoError(t, err)
	defer f.Close()
	assert.Equal(t, "6b1b4cae2859dd485652639b6621696a25385d8777633a483df62005ff891df9", f.Channels[0].Origin.SHA256)
}

func TestStdinFaults(t *testing.T) {
	good, err := os.ReadFile(zoo + "/pcm16-1ch.wav")
	require.NoError(t, err)
	broken := errors.New("broken pipe")
	for words, r := range map[string]io.Reader{
		"is empty":            strings.NewReader(""),
		"broke off after 100": io.MultiReader(bytes.NewReader(good[:100]), iotest.ErrReader(broken)),
		"text file":           strings.NewReader("hello, bench\n"),
	} {
		dir := t.TempDir()
		_, err := capture.OpenStdin(r, dir)
		oneLine(t, err, "-", words)
		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		assert.Empty(t, left, "nothing stays behind")
	}
	_, err = capture.OpenStdin(bytes.NewReader(good), filepath.Join(t.TempDir(), "none"))
	oneLine(t, err, "-", "cannot be kept in", "TMPDIR")

	// A pipe hands out a byte at a time if it likes.
	f, err := capture.OpenStdin(iotest.OneByteReader(bytes.NewReader(good)), t.TempDir())
	require.NoError(t, err)
	direct, err := capture.Open(zoo + "/pcm16-1ch.wav")
	require.NoError(t, err)
	defer direct.Close()
	assert.Equal(t, samples(t, direct.Channels[0]), samples(t, f.Channels[0]))
	assert.Equal(t, direct.Channels[0].Origin.SHA256, f.Channels[0].Origin.SHA256)
	require.NoError(t, f.Close())
}
