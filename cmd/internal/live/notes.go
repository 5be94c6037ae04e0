package live

import (
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"hisspoint/capture/doors/write"
	"hisspoint/capture/soundcard"
)

// MarksName is the file beside a job in which marks are kept. The job file itself
// is never touched for them.
const MarksName = "marks.txt"

// AddLine adds a line to a file, which is made where it is not there yet; head
// opens a new one.
func AddLine(file, head, line string) error {
	if err := write.Line(file, head, line); err != nil {
		return fmt.Errorf("%s: cannot be written: %w", slashed(file), err)
	}
	return nil
}

// Mark keeps a reading with a note in the folder of a job.
func Mark(folder string, at time.Time, reading, note string) error {
	line := at.Format(time.DateTime) + "  " + reading
	if note != "" {
		line += "; note: " + note
	}
	return AddLine(filepath.Join(folder, MarksName), "", line)
}

// Beeper plays a tone that follows the aim.
type Beeper struct {
	*soundcard.Beep
	out soundcard.Output
}

// NewBeeper opens an output for it. An output whose sound the input hears is
// refused: the tone would be measured.
func NewBeeper(card soundcard.Card, heard soundcard.Device, name string) (*Beeper, error) {
	if card == nil {
		return nil, errors.New("--beep: raw samples come in, so there is no sound card to play on; leave it out")
	}
	all, err := card.Outputs()
	if err != nil {
		return nil, err
	}
	d, err := soundcard.Pick(all, name, "output")
	if err != nil {
		return nil, fmt.Errorf("--beep: %w", err)
	}
	if d.ID == heard.Hears {
		return nil, fmt.Errorf("--beep: the input hears the output %q, so the tone would be measured; name another with --beep-on", d.Name)
	}
	f := soundcard.Format{Rate: d.Format.Rate, Channels: min(2, d.Format.Channels), Bits: 32, Float: true}
	b := soundcard.NewBeep(f)
	out, err := card.Play(d, f, 80*time.Millisecond, b.Next)
	if err != nil {
		return nil, fmt.Errorf("--beep: %w", err)
	}
	return &Beeper{Beep: b, out: out}, nil
}

// Close ends the tone.
func (b *Beeper) Close() error { return b.out.Close() }
