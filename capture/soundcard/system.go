//go:build malgo

package soundcard

import (
	"errors"
	"fmt"
	"runtime"
	"sync"
	"time"

	"github.com/gen2brain/malgo"
)

// system is the sound of the operating system itself: ALSA on Linux, WASAPI on
// Windows, Core Audio on macOS.
type system struct {
	context *malgo.AllocatedContext
}

// Open connects to the system's sound.
func Open() (Card, error) {
	var backends []malgo.Backend
	if runtime.GOOS == "linux" { // a sound server is what the build without this tag speaks to
		backends = []malgo.Backend{malgo.BackendAlsa}
	}
	context, err := malgo.InitContext(backends, malgo.ContextConfig{}, nil)
	if err != nil {
		return nil, fmt.Errorf("the system's sound cannot be reached (%w); check that a sound card is installed, or pipe raw samples in with --device -", err)
	}
	return &system{context}, nil
}

// Close implements Card.
func (s *system) Close() error {
	err := s.context.Uninit()
	s.context.Free()
	return err
}

// Inputs implements Card.
func (s *system) Inputs() ([]Device, error) { return s.devices(malgo.Capture) }

// Outputs implements Card.
func (s *system) Outputs() ([]Device, error) { return s.devices(malgo.Playback) }

func (s *system) devices(kind malgo.DeviceType) ([]Device, error) {
	list, err := s.context.Devices(kind)
	if err != nil {
		return nil, fmt.Errorf("the sound card's devices cannot be listed (%w)", err)
	}
	var all []Device
	for _, info := range list {
		d := Device{ID: info.ID.String(), Name: info.Name(), Default: info.IsDefault != 0}
		// Only devices that were listed a moment ago are asked: a device that has
		// vanished brings the library down.
		if full, err := s.context.DeviceInfo(kind, info.ID, malgo.Shared); err == nil {
			d.Format = nativeFormat(full.Formats)
		}
		all = append(all, d)
	}
	return all, nil
}

// nativeFormat is the one that a device is opened with if nothing is asked for:
// 48 kHz where it can.
func nativeFormat(all []malgo.DataFormat) Format {
	var best Format
	for _, x := range all {
		f := formatOf(x.Format, x.Channels, x.SampleRate)
		if best.Rate == 0 || f.Rate == 48000 && best.Rate != 48000 {
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

// find gives the ID of a device that is there now.
func (s *system) find(kind malgo.DeviceType, d Device) (malgo.DeviceID, error) {
	list, err := s.context.Devices(kind)
	if err != nil {
		return malgo.DeviceID{}, fmt.Errorf("%s: the system's sound does not answer (%w)", d.Name, err)
	}
	for _, info := range list {
		if info.ID.String() == d.ID {
			return info.ID, nil
		}
	}
	return malgo.DeviceID{}, fmt.Errorf("%s: the device is gone; plug it in again", d.Name)
}

// systemInput is a device that is being recorded.
type systemInput struct {
	*queue
	device *malgo.Device
	once   sync.Once
}

// Record implements Card. Nothing is asked for, so the device runs as it is; the
// conversions of the system are switched off.
func (s *system) Record(d Device) (Input, error) {
	id, err := s.find(malgo.Capture, d)
	if err != nil {
		return nil, err
	}
	config := malgo.DefaultDeviceConfig(malgo.Capture)
	config.Capture.DeviceID = id.Pointer()
	config.Capture.Format, config.Capture.Channels, config.SampleRate = malgo.FormatUnknown, 0, 0
	config.PeriodSizeInMilliseconds = 20
	config.Wasapi.NoAutoConvertSRC, config.Alsa.NoAutoResample, config.Alsa.NoAutoFormat, config.Alsa.NoAutoChannels = 1, 1, 1, 1
	in := &systemInput{}
	var block []float64
	var rest []byte
	device, err := malgo.InitDevice(s.context.Context, config, malgo.DeviceCallbacks{
		Data: func(_, samples []byte, _ uint32) {
			block, rest = in.format.decode(block[:0], append(rest, samples...))
			in.put(block)
		},
		Stop: func() { in.fail(fmt.Errorf("%s: the device has stopped; plug it in again", d.Name)) },
	})
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be recorded (%w); check that no other program holds it, and that programs may use it", d.Name, err)
	}
	f := formatOf(device.CaptureFormat(), device.CaptureChannels(), device.SampleRate())
	in.device = device
	in.queue = newQueue(Device{ID: d.ID, Name: d.Name, Format: f}, f, func() error { _, err := s.find(malgo.Capture, d); return err })
	if d.Format.Rate != 0 && f.Rate != d.Format.Rate {
		device.Uninit()
		return nil, fmt.Errorf("%s: opens at %d Hz though it runs at %d; set it to one rate in the system's sound settings", d.Name, f.Rate, d.Format.Rate)
	}
	if err := device.Start(); err != nil {
		device.Uninit()
		return nil, fmt.Errorf("%s: cannot be started (%w)", d.Name, err)
	}
	return in, nil
}

// Close implements Input.
func (in *systemInput) Close() error {
	in.once.Do(func() {
		in.fail(ErrClosed)
		in.device.Uninit()
	})
	return nil
}

// systemOutput is a device that plays.
type systemOutput struct {
	device *malgo.Device
	done   chan struct{}
	once   sync.Once
	ended  sync.Once
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
	config := malgo.DefaultDeviceConfig(malgo.Playback)
	config.Playback.DeviceID = id.Pointer()
	config.Playback.Format, config.Playback.Channels, config.SampleRate = malgo.FormatF32, uint32(f.Channels), uint32(f.Rate)
	config.PeriodSizeInMilliseconds = uint32(max(10, latency.Milliseconds()/3))
	config.Wasapi.NoAutoConvertSRC, config.Alsa.NoAutoResample = 1, 1
	out := &systemOutput{done: make(chan struct{})}
	over := 0
	out.device, err = malgo.InitDevice(s.context.Context, config, malgo.DeviceCallbacks{
		Data: func(samples, _ []byte, frames uint32) {
			block := make([]float64, int(frames)*f.Channels)
			n := 0
			if over == 0 {
				n = next(block)
			}
			copy(samples, encode(nil, block))
			if n < len(block) {
				if over++; over > 3 { // what the system holds has been heard
					out.end()
				}
			}
		},
		Stop: out.end,
	})
	if err != nil {
		return nil, fmt.Errorf("%s: cannot be played to (%w)", d.Name, err)
	}
	if err := out.device.Start(); err != nil {
		out.device.Uninit()
		return nil, errors.New(d.Name + ": cannot be started")
	}
	return out, nil
}

func (out *systemOutput) end()                  { out.ended.Do(func() { close(out.done) }) }
func (out *systemOutput) Done() <-chan struct{} { return out.done }
func (out *systemOutput) Err() error            { return nil }

// Close implements Output.
func (out *systemOutput) Close() error {
	out.once.Do(func() {
		out.device.Uninit()
		out.end()
	})
	return nil
}
