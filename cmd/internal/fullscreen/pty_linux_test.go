package fullscreen

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
	"golang.org/x/term"
)

// terminal is a pseudo-terminal: what a program is started in, and what stands in
// for the person before it (pty(7), ioctl_tty(2)).
func terminal(t *testing.T) (person, program *os.File) {
	person, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skip("no pseudo-terminals here:", err)
	}
	require.NoError(t, unix.IoctlSetPointerInt(int(person.Fd()), unix.TIOCSPTLCK, 0))
	n, err := unix.IoctlGetInt(int(person.Fd()), unix.TIOCGPTN)
	require.NoError(t, err)
	program, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	require.NoError(t, unix.IoctlSetWinsize(int(program.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Col: 80, Row: 24}))
	t.Cleanup(func() { person.Close(); program.Close() })
	return person, program
}

// A panic while the screen is held leaves the terminal as it was.
func TestAPanicGivesTheTerminalBack(t *testing.T) {
	person, program := terminal(t)
	before, err := term.GetState(int(program.Fd()))
	require.NoError(t, err)
	func() {
		defer func() { assert.Equal(t, "at the bench", recover()) }()
		s, err := Open(program, program)
		require.NoError(t, err)
		defer s.Close()
		held, err := term.GetState(int(program.Fd()))
		require.NoError(t, err)
		assert.NotEqual(t, before, held, "raw while it is held")
		require.NoError(t, s.Paint([]string{"hiss", "-40.0"}))
		_, err = person.WriteString("q")
		require.NoError(t, err)
		select {
		case k := <-s.Keys():
			assert.Equal(t, Key{Rune: 'q'}, k)
		case <-time.After(10 * time.Second):
			t.Error("no key came")
		}
		panic("at the bench")
	}()
	after, err := term.GetState(int(program.Fd()))
	require.NoError(t, err)
	assert.Equal(t, before, after)
	var shown strings.Builder
	buffer := make([]byte, 4096)
	for !strings.HasSuffix(shown.String(), leave) {
		n, err := person.Read(buffer)
		require.NoError(t, err)
		shown.Write(buffer[:n])
	}
	assert.True(t, strings.HasPrefix(shown.String(), enter))
	assert.Contains(t, shown.String(), "-40.0")
}
