//go:build malgo

package soundcard

import (
	"errors"
	"fmt"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/gen2brain/malgo"
)

// system is the sound of the operating system itself: ALSA on Linux, WASAPI on
// Windows, Core Audio on macOS.
type system struct {
	context *malgo.AllocatedContext

	mutex  sync.Mutex
	inputs map[*systemInput]bool
	stuck  bool // a call never came back: nothing may be asked any more
}

// answers is how long the system may take for an answer. A driver that hangs would
// hold the program up for good.
const answers = 3 * time.Second

// errNoAnswer is what a driver that hangs is told by.
var errNoAnswer = errors.New("it does not answer")

// within runs a call into the system, and tells whether it came back in time.
func within(call func()) bool {
	done := make(chan struct{})
	go func() {
		defer close(done)
		call()
	}()
	select {
	case <-done:
		return true
	case <-time.After(answers):
		return false
	}
}

// Open connects to the system's sound.
func Open() (Card, error) {
	s := &system{inputs: map[*systemInput]bool{}}
	var backends []malgo.Backend
	if runtime.GOOS == "linux" { // a sound server is what the build without this tag speaks to
		backends = []malgo.Backend{malgo.BackendAlsa}
		hushALSA()
	}
	var err error
	config := malgo.ContextConfig{Alsa: malgo.AlsaContextConfig{UseVerboseDeviceEnumeration: 1}}
	if s.context, err = malgo.InitContext(backends, config, s.heard); err != nil {
		return nil, fmt.Errorf("the system's sound cannot be reached (%w); check that a sound card is installed, or pipe raw samples in with --device -", err)
	}
	return s, nil
}

// heard takes what the library tells of itself, the only place where it says that
// ALSA dropped samples or that a device has broken down.
func (s *system) heard(message string) {
	var fault func(*systemInput) error
	switch {
	case strings.Contains(message, "EPIPE (read)"):
		fault = func(in *systemInput) error { return in.lost() }
	case strings.Contains(message, "POLLERR"), strings.Contains(message, "poll_descriptors_revents() failed"):
		fault = func(in *systemInput) error { return halted(in.Device()) }
	default:
		return
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	for in := range s.inputs {
		in.fail(fault(in))
	}
}

func halted(d Device) error {
	return fmt.Errorf("%s: the device has stopped; plug it in again, or start its sound server again", d.Name)
}

// Close implements Card.
func (s *system) Close() error {
	s.mutex.Lock()
	stuck := s.stuck
	s.mutex.Unlock()
	if stuck {
		return nil
	}
	var err error
	within(func() {
		err = s.context.Uninit()
		s.context.Free()
	})
	return err
}

// Inputs implements Card.
func (s *system) Inputs() ([]Device, error) { return s.devices(malgo.Capture) }

// Outputs implements Card.
func (s *system) Outputs() ([]Device, error) { return s.devices(malgo.Playback) }

// list asks for the devices that are there now.
func (s *system) list(kind malgo.DeviceType) (list []malgo.DeviceInfo, err error) {
	s.mutex.Lock()
	stuck := s.stuck
	s.mutex.Unlock()
	if stuck {
		return nil, errNoAnswer
	}
	if !within(func() { list, err = s.context.Devices(kind) }) {
		s.mutex.Lock()
		s.stuck = true
		s.mutex.Unlock()
		return nil, errNoAnswer
	}
	return list, err
}

func (s *system) devices(kind malgo.DeviceType) ([]Device, error) {
	list, err := s.list(kind)
	if err != nil {
		return nil, fmt.Errorf("the sound card's devices cannot be listed (%w); check that a sound card is installed", err)
	}
	var all []Device
	for _, info := range list {
		all = append(all, Device{ID: idText(info.ID[:], runtime.GOOS == "windows"), Name: info.Name(), Default: info.IsDefault != 0})
	}
	if runtime.GOOS == "linux" {
		all = realALSA(all)
	}
	for i := range all {
		for _, info := range list {
			if all[i].ID != idText(info.ID[:], runtime.GOOS == "windows") {
				continue
			}
			// Only devices that were listed a moment ago are asked: a device that has
			// vanished brings the library down.
			if full, err := s.context.DeviceInfo(kind, info.ID, malgo.Shared); err == nil {
				all[i].Format = nativeFormat(full.Formats)
			}
			break
		}
	}
	return all, nil
}

// nativeFormat is the one of those a device offers that it is opened with: 48 kHz
// where it can, two channels where it can, and then the finest integers.
func nativeFormat(all []malgo.DataFormat) Format {
	better := func(a, b Format) bool {
		switch {
		case (a.Rate == 48000) != (b.Rate == 48000):
			return a.Rate == 48000
		case a.Rate != b.Rate:
			return false // the library's order
		case (a.Channels == 2) != (b.Channels == 2):
			return a.Channels == 2
		case a.Channels != b.Channels:
			return false
		}
		return !a.Float && (b.Float || a.Bits > b.Bits)
	}
	var best Format
	for _, x := range all {
		f := formatOf(x.Format, x.Channels, x.SampleRate)
		if f.Channels == 0 { // any number
			f.Channels = 2
		}
		if best.Rate == 0 || better(f, best) {
			best = f
		}
	}
	return best
}

func formatOf(kind malgo.FormatType, channels, rate uint32) Format {
	f := Format{Rate: int(rate), Channels: int(channels)}
	switch kind {
	case malgo.FormatU8:
		f.Bits = 8
	case malgo.FormatS16:
		f.Bits = 16
	case malgo.FormatS24:
		f.Bits = 24
	case malgo.FormatS32:
		f.Bits = 32
	default:
		f.Bits, f.Float = 32, true
	}
	return f
}

func kindOf(f Format) malgo.FormatType {
	switch {
	case f.Float:
		return malgo.FormatF32
	case f.Bits == 8:
		return malgo.FormatU8
	case f.Bits == 16:
		return malgo.FormatS16
	case f.Bits == 24:
		return malgo.FormatS24
	}
	return malgo.FormatS32
}

// find gives the ID of a device that is there now.
func (s *system) find(kind malgo.DeviceType, d Device) (malgo.DeviceID, error) {
	list, err := s.list(kind)
	if err != nil {
		return malgo.DeviceID{}, fmt.Errorf("%s: the system's sound cannot be asked for it (%w); start the program again", d.Name, err)
	}
	for _, info := range list {
		if idText(info.ID[:], runtime.GOOS == "windows") == d.ID {
			return info.ID, nil
		}
	}
	return malgo.DeviceID{}, fmt.Errorf("%s: the device is gone; plug it in again", d.Name)
}
