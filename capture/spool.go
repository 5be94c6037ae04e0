package capture

import (
	"errors"
	"fmt"
	"io"

	door "hisspoint/capture/doors/read"
)

// mostStdin is how long standard input may be: what a RIFF header can state.
const mostStdin = 4 << 30

// OpenStdin reads a stream to its end and opens it, since a recording is read more than
// once. It is looked at before anything is kept; what is kept lies in dir ("" for the
// system's place) without a name, and is gone when the file is closed or the program
// ends. Its name is "-".
func OpenStdin(r io.Reader, dir string) (*File, error) {
	kept, err := door.Stream(r, dir, mostStdin, sniffBytes, func(head []byte) error {
		if kind := sniff(head); kind != "wav" && kind != "flac" {
			return refusal(kind)
		}
		return nil
	})
	switch {
	case errors.Is(err, door.ErrEmpty):
		return nil, errors.New("-: standard input is empty; pipe a recording in")
	case err != nil:
		return nil, fmt.Errorf("-: standard input %w", err)
	}
	f, err := fromFile(kept, kept.Size(), "-")
	if err != nil {
		return nil, fmt.Errorf("-: %w", err)
	}
	return f, nil
}
