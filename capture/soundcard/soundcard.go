// Package soundcard records from and plays to the real sound card: it lists
// devices, picks one by a part of its name, and hands out interleaved samples,
// full scale +-1, at the card's own rate.
//
// Nothing is ever resampled in silence: a device is opened at the rate it runs
// at, and another rate that is asked for is refused. A device that vanishes or a
// sound server that dies ends a recording with an error within Patience.
//
// Which backend is built in depends on the build: PulseAudio and PipeWire on
// Linux in pure Go, the system's own sound with the build tag malgo, none
// elsewhere. Raw samples from a pipe need none.
//
// Traps: the PulseAudio client tells of a closed connection only on EOF (hence the
// question above) and prints unknown messages to standard output; a null sink's clock
// stands still without a player; under load it drops samples. malgo crashes when asked
// about a vanished device (only devices just listed are asked), resamples without a word
// (the device's own format is asked for and compared, the conversions are off), drops
// samples without a word (WASAPI; with 60 ms of room it did, hence a second of room, and
// pace.go, which finds by the clock what stays away), tells of ALSA's overruns in its
// log alone, and waits for itself if it logs while it lists devices (hence within).
// ALSA's library writes to standard error (hush_linux.go), lists converters as devices
// (alsa.go), and its way to PulseAudio begins with 20 ms of an earlier moment, so 0.1 s
// is left out at the beginning.
package soundcard

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// Patience is how long a device may stay silent on the wire, in the sense of
// sending no samples at all, before it counts as gone.
const Patience = 700 * time.Millisecond

// Format is how samples come from a device or go to it.
type Format struct {
	Rate     int  // frames a second
	Channels int  // interleaved
	Bits     int  // valid bits a sample: 8, 16, 24 or 32
	Float    bool // 32-bit float instead of integers
}

// String is the format in a few words: "48000 Hz, 2 channels, 16 bit".
func (f Format) String() string {
	channels := fmt.Sprintf("%d channels", f.Channels)
	if f.Channels == 1 {
		channels = "1 channel"
	}
	kind := fmt.Sprintf("%d bit", f.Bits)
	if f.Float {
		kind = "float"
	}
	return fmt.Sprintf("%d Hz, %s, %s", f.Rate, channels, kind)
}

// Device is an input or an output of a sound card.
type Device struct {
	ID      string // as the system names it, without blanks
	Name    string // for people
	Format  Format // its own
	Default bool   // the system's choice
	Hears   string // ID of the output whose sound it records, if it is no real input
	Muted   bool
	Turned  string // how its volume control stands, if that works on the samples: "62 %"; else empty
}

// Card is what a backend offers.
type Card interface {
	Inputs() ([]Device, error)
	Outputs() ([]Device, error)
	// Record opens an input at its own format.
	Record(d Device) (Input, error)
	// Play opens an output. next fills a block of interleaved samples and says how
	// many it filled; fewer than asked ends the sound. latency is how much sound is
	// held ready: short follows at once, long survives a busy computer.
	Play(d Device, f Format, latency time.Duration, next func(block []float64) int) (Output, error)
	Close() error
}

// Input is a device that is being recorded.
type Input interface {
	Device() Device
	Format() Format
	// Read waits for samples and returns how many it put into block, a whole number
	// of frames. It returns an error of one line once the device or the server is
	// gone, samples were lost, or the input was closed.
	Read(block []float64) (int, error)
	Close() error
}

// Output is a device that plays. Done is closed when all was heard or the
// device is gone.
type Output interface {
	Done() <-chan struct{}
	Err() error
	Close() error
}

// ErrClosed is returned by Read after Close.
var ErrClosed = errors.New("the sound card was closed")

// Pick finds the one device that a person means: by its whole name, else by a
// part of name or ID, whatever the case. Without a name it is the system's
// choice. what is "input" or "output".
func Pick(all []Device, name, what string) (Device, error) {
	name = strings.TrimSpace(name)
	if len(all) == 0 {
		return Device{}, fmt.Errorf("there is no sound %s; plug the card in and see hisspoint card --list", what)
	}
	if name == "" {
		for _, d := range all {
			if d.Default {
				return d, nil
			}
		}
		return all[0], nil
	}
	var found []Device
	for _, d := range all {
		if strings.EqualFold(d.Name, name) || strings.EqualFold(d.ID, name) {
			found = append(found, d)
		}
	}
	if len(found) == 0 {
		for _, d := range all {
			if has(d.Name, name) || has(d.ID, name) {
				found = append(found, d)
			}
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return Device{}, fmt.Errorf("no sound %s is called %q; there is %s", what, name, names(all))
	}
	return Device{}, fmt.Errorf("%q is part of %d sound %ss: %s; give more of the name", name, len(found), what, names(found))
}

func has(text, part string) bool {
	return strings.Contains(strings.ToLower(text), strings.ToLower(part))
}

func names(all []Device) string {
	var parts []string
	for _, d := range all {
		parts = append(parts, fmt.Sprintf("%q", d.Name))
	}
	return strings.Join(parts, ", ")
}

// AtRate refuses a rate that is not the device's own. 0 asks for none.
func AtRate(d Device, rate int) error {
	if rate == 0 || rate == d.Format.Rate {
		return nil
	}
	return fmt.Errorf("%s: runs at %d Hz, not at %d; leave --rate out, or set the device to that rate in the system's sound settings (resampling would falsify the figures)", d.Name, d.Format.Rate, rate)
}
