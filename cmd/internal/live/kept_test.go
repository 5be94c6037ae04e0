package live

import (
	"errors"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture"
	"hisspoint/capture/doors/disk"
	"hisspoint/capture/soundcard"
)

// Whichever operation on the disk fails while recording, what is said to be kept is in
// the file to the sample, and is read without a repair.
func TestWhatIsSaidToBeKeptIsKept(t *testing.T) {
	slow := soundcard.Format{Rate: 1000, Channels: 1, Bits: 16} // one write a second of sound
	full := errors.New("no space left on device")
	moments := 0
	for at := 1; ; at++ {
		dir := t.TempDir()
		count := 0
		restore := disk.Fail(func(string, string) error {
			if count++; count == at {
				return full
			}
			return nil
		})
		take, err := NewTake(filepath.Join(dir, "rx.wav"), slow)
		if err == nil {
			err = take.Record(&fake{frames: 100 * 1000}, 100*1000, nil, nil)
		}
		if take == nil {
			restore()
			assert.ErrorIs(t, err, full)
			continue
		}
		said := ""
		if err != nil {
			said = take.Keep()
		} else if err = take.Finish(); err != nil {
			said = err.Error()
		}
		restore()
		file := filepath.Join(dir, "rx.wav")
		if count < at {
			require.NoError(t, err)
			break
		}
		if err != nil {
			assert.ErrorIs(t, err, full)
			file = filepath.Join(dir, "rx.unfinished.wav")
		}
		if said == "" && err != nil {
			assert.NoFileExists(t, file)
			continue
		}
		moments++
		f, failed := capture.Open(file)
		require.NoError(t, failed, "operation %d: %s", at, said)
		if err != nil && take.frames < 100*1000 {
			assert.Contains(t, said, fmt.Sprintf("(%d samples)", f.Channels[0].Count), "operation %d", at)
		}
		assert.Empty(t, f.Channels[0].Origin.Warnings, "operation %d", at)
		f.Close()
	}
	assert.Greater(t, moments, 200)
}
