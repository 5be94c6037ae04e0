package capture_test

import (
	"os"
	"path/filepath"
	"runtime"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"hisspoint/capture"
)

// nobody is the user that owns nothing.
const nobody = 65534

// The superuser reads everything, so where the tests run as that, this thread
// looks at files as nobody does.
func TestOpenRefusesWhatNobodyMayRead(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only the superuser can look at files as somebody else; TestOpenRefusesUnreadable does without")
	}
	dir := t.TempDir()
	require.NoError(t, os.Chmod(filepath.Dir(dir), 0o755))
	path := filepath.Join(dir, "locked.wav")
	require.NoError(t, os.WriteFile(path, []byte("RIFF"), 0o600))
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	require.NoError(t, syscall.Setfsuid(nobody))
	_, err := capture.Open(path)
	require.NoError(t, syscall.Setfsuid(0))
	oneLine(t, err, path, "permissions")
}
