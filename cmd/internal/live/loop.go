package live

import (
	"fmt"
	"time"

	"hisspoint/capture/soundcard"
	"hisspoint/capture/soundcard/loopback"
)

// Loop plays the program of a loop-back on an output while an input is recorded
// into a file.
func Loop(in *Opened, output, file string, stop <-chan struct{}) error {
	began := time.Now() // the input runs already
	all, err := in.Card.Outputs()
	if err != nil {
		return err
	}
	d, err := soundcard.Pick(all, output, "output")
	if err != nil {
		return err
	}
	f := soundcard.Format{Rate: d.Format.Rate, Channels: min(2, d.Format.Channels), Bits: 32, Float: true}
	program := loopback.Samples(f.Rate)
	at := 0
	take, err := NewTake(file, in.Format())
	if err != nil {
		return err
	}
	out, err := in.Card.Play(d, f, 500*time.Millisecond, func(block []float64) int {
		n := 0
		for n+f.Channels <= len(block) && at < len(program) {
			for range f.Channels {
				block[n] = program[at]
				n++
			}
			at++
		}
		return n
	})
	if err != nil {
		take.Drop()
		return err
	}
	defer out.Close()
	// What the system puts between its output and its input is well under a second;
	// what it took to open the output is in the recording, too.
	frames := int64((time.Since(began).Seconds() + loopback.Seconds() + 1) * float64(in.Format().Rate))
	if err := take.Record(in, frames, stop, nil); err != nil {
		take.Drop()
		return err
	}
	select {
	case <-out.Done():
	case <-time.After(2 * time.Second):
	}
	if err := out.Err(); err != nil {
		take.Drop()
		return fmt.Errorf("%s: the test program could not be played: %w", d.Name, err)
	}
	return take.Finish()
}
