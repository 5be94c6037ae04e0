//go:build malgo

package soundcard

import (
	"fmt"
	"runtime"
	"sync"
	"time"

	"github.com/gen2brain/malgo"
)

// How sound comes from the system and goes to it: in blocks short enough for a
// live reading, and with a second of room for a computer that is busy elsewhere.
const (
	periodMilliseconds = 20 // WASAPI holds two blocks only where they are no longer than 10 ms
	roomMilliseconds   = 1000
	staleMilliseconds  = 100 // left out at the beginning: ALSA's way to a sound server begins with 20 ms of an earlier moment
)

// systemInput is a device that is being recorded.
type systemInput struct {
	*queue
	system *system
	device *malgo.Device
	once   sync.Once
}

// Record implements Card. The device runs as it was listed; the conversions of the
// system are switched off, and what was opened is compared with it.
func (s *system) Record(d Device) (Input, error) {
	id, err := s.find(malgo.Capture, d)
	if err != nil {
		return nil, err
	}
	config := malgo.DefaultDeviceConfig(malgo.Capture)
	config.Capture.DeviceID = id.Pointer()
	config.Capture.Format, config.Capture.Channels, config.SampleRate = malgo.FormatUnknown, 0, 0
	if runtime.GOOS == "linux" && d.Format.Rate != 0 { // ALSA has no format of its own to fall back to
		config.Capture.Format, config.Capture.Channels, config.SampleRate = kindOf(d.Format), uint32(d.Format.Channels), uint32(d.Format.Rate)
	}
	config.PeriodSizeInMilliseconds, config.Periods = periodMilliseconds, roomMilliseconds/periodMilliseconds
	config.Wasapi.NoAutoConvertSRC, config.Alsa.NoAutoResample, config.Alsa.NoAutoFormat, config.Alsa.NoAutoChannels = 1, 1, 1, 1
	in := &systemInput{system: s}
	var block []float64
	var rest []byte
	var clock *pace
	stale := 0 // bytes still to be left out
	device, err := malgo.InitDevice(s.context.Context, config, malgo.DeviceCallbacks{
		Data: func(_, samples []byte, frames uint32) {
			gone := min(stale, len(samples))
			stale -= gone
			if block, rest = in.format.decode(block[:0], append(rest, samples[gone:]...)); len(block) > 0 {
				in.put(block)
			}
			if clock.add(time.Now(), int(frames)) {
				in.fail(in.lost())
			}
		},
		Stop: func() { in.fail(halted(d)) },
	})
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be recorded (%w); check that no other program holds it, and that programs may use it", d.Name, err)
	}
	f := formatOf(device.CaptureFormat(), device.CaptureChannels(), device.SampleRate())
	in.device, clock, stale = device, newPace(f.Rate), f.Rate*staleMilliseconds/1000*f.Channels*f.width()
	in.queue = newQueue(Device{ID: d.ID, Name: d.Name, Format: f}, f, func() error { return s.diagnose(d, config) })
	if d.Format.Rate != 0 && f.Rate != d.Format.Rate {
		device.Uninit()
		return nil, fmt.Errorf("%s: opens at %d Hz though it runs at %d; set it to one rate in the system's sound settings", d.Name, f.Rate, d.Format.Rate)
	}
	s.mutex.Lock()
	s.inputs[in] = true
	s.mutex.Unlock()
	if err := device.Start(); err != nil {
		in.Close()
		return nil, fmt.Errorf("%s: cannot be started (%w); check that no other program holds it", d.Name, err)
	}
	return in, nil
}

// diagnose says why no samples come, if the device is gone or cannot be opened any
// more. Windows lets it be opened twice; ALSA tells of it in its log.
func (s *system) diagnose(d Device, config malgo.DeviceConfig) error {
	if _, err := s.find(malgo.Capture, d); err != nil || runtime.GOOS != "windows" {
		return err
	}
	var err error
	answered := within(func() {
		var again *malgo.Device
		if again, err = malgo.InitDevice(s.context.Context, config, malgo.DeviceCallbacks{}); err == nil {
			again.Uninit()
		}
	})
	switch {
	case !answered:
		s.mutex.Lock()
		s.stuck = true
		s.mutex.Unlock()
		return halted(d)
	case err != nil:
		return halted(d)
	}
	return nil
}

// Close implements Input.
func (in *systemInput) Close() error {
	in.once.Do(func() {
		in.system.mutex.Lock()
		delete(in.system.inputs, in)
		in.system.mutex.Unlock()
		in.fail(ErrClosed)
		in.system.end(in.device)
	})
	return nil
}

// end gives a device back. One that hangs is left to the end of the program.
func (s *system) end(device *malgo.Device) {
	if !within(device.Uninit) {
		s.mutex.Lock()
		s.stuck = true
		s.mutex.Unlock()
	}
}

// systemOutput is a device that plays.
type systemOutput struct {
	system *system
	device *malgo.Device
	done   chan struct{}
	once   sync.Once
	ended  sync.Once
	err    error // set before done is closed
}

// Play implements Card.
func (s *system) Play(d Device, f Format, latency time.Duration, next func([]float64) int) (Output, error) {
	id, err := s.find(malgo.Playback, d)
	if err != nil {
		return nil, err
	}
	if err := AtRate(d, f.Rate); err != nil && d.Format.Rate != 0 {
		return nil, err
	}
	periods := max(3, int(latency.Milliseconds())/periodMilliseconds)
	config := malgo.DefaultDeviceConfig(malgo.Playback)
	config.Playback.DeviceID = id.Pointer()
	config.Playback.Format, config.Playback.Channels, config.SampleRate = malgo.FormatF32, uint32(f.Channels), uint32(f.Rate)
	config.PeriodSizeInMilliseconds, config.Periods = periodMilliseconds, uint32(periods)
	config.Wasapi.NoAutoConvertSRC, config.Alsa.NoAutoResample = 1, 1
	out := &systemOutput{system: s, done: make(chan struct{})}
	over, left := false, int64(roomOf(f.Rate, periods+2)) // the sound has ended; frames until the last of it is heard
	out.device, err = malgo.InitDevice(s.context.Context, config, malgo.DeviceCallbacks{
		Data: func(samples, _ []byte, frames uint32) {
			block := make([]float64, int(frames)*f.Channels)
			if over {
				if left -= int64(frames); left < 0 {
					out.end(nil)
				}
			} else {
				over = next(block) < len(block)
			}
			copy(samples, encode(nil, block))
		},
		Stop: func() { out.end(halted(d)) },
	})
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be played to (%w); check that no other program holds it", d.Name, err)
	}
	if err := out.device.Start(); err != nil {
		s.end(out.device)
		return nil, fmt.Errorf("%s: cannot be started (%w); check that no other program holds it", d.Name, err)
	}
	return out, nil
}

// roomOf is how many frames so many periods are.
func roomOf(rate, periods int) int { return rate * periods * periodMilliseconds / 1000 }

func (out *systemOutput) end(err error) {
	out.ended.Do(func() {
		out.err = err
		close(out.done)
	})
}

func (out *systemOutput) Done() <-chan struct{} { return out.done }

func (out *systemOutput) Err() error {
	select {
	case <-out.done:
		return out.err
	default:
		return nil
	}
}

// Close implements Output.
func (out *systemOutput) Close() error {
	out.once.Do(func() {
		out.system.end(out.device)
		out.end(nil)
	})
	return nil
}
