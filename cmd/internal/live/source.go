package live

import (
	"errors"
	"fmt"
	"io"

	"hisspoint/capture/soundcard"
)

// Source says which input is wanted.
type Source struct {
	Device   string // name or part of it; "-" for raw samples on standard input; empty: the one chosen last
	Rate     int    // 0: the device's own
	Channels int    // of raw samples
	Bits     string // of raw samples: "16", "24", "32" or "float"
	Stdin    io.Reader
	Open     func() (soundcard.Card, error)
}

// Opened is an input with the card it belongs to.
type Opened struct {
	soundcard.Input
	Card soundcard.Card // nil for standard input
}

// Close closes both.
func (o *Opened) Close() error {
	err := o.Input.Close()
	if o.Card != nil {
		err = errors.Join(err, o.Card.Close())
	}
	return err
}

// Record opens the input that is wanted. One that was named is remembered.
func (s Source) Record() (*Opened, error) {
	if s.Device == "-" {
		in, err := s.raw()
		if err != nil {
			return nil, err
		}
		return &Opened{Input: in}, nil
	}
	card, err := s.Open()
	if err != nil {
		return nil, err
	}
	in, err := s.record(card)
	if err != nil {
		card.Close()
		return nil, err
	}
	return &Opened{Input: in, Card: card}, nil
}

func (s Source) record(card soundcard.Card) (soundcard.Input, error) {
	all, err := card.Inputs()
	if err != nil {
		return nil, err
	}
	d, err := s.pick(all)
	if err != nil {
		return nil, err
	}
	if err := soundcard.AtRate(d, s.Rate); err != nil {
		return nil, err
	}
	return card.Record(d)
}

// pick chooses by the name given, else the device chosen last where it is there.
func (s Source) pick(all []soundcard.Device) (soundcard.Device, error) {
	known, err := LoadSettings()
	if err != nil && s.Device == "" {
		return soundcard.Device{}, err
	}
	if s.Device == "" && known.Device != "" {
		for _, d := range all {
			if d.ID == known.Device {
				return d, nil
			}
		}
		return soundcard.Device{}, fmt.Errorf("%s: the input chosen last is not there; plug it in, or choose another with --device (hisspoint card --list)", known.Name)
	}
	d, err := soundcard.Pick(all, s.Device, "input")
	if err != nil || s.Device == "" {
		return d, err
	}
	if known.Device != d.ID {
		known.Device, known.Name = d.ID, d.Name
		return d, known.Save()
	}
	return d, nil
}

func (s Source) raw() (soundcard.Input, error) {
	f := soundcard.Format{Rate: s.Rate, Channels: s.Channels, Bits: 16}
	if f.Rate == 0 {
		return nil, errors.New("standard input: the rate of raw samples is not known; say it, as --rate 48000")
	}
	switch s.Bits {
	case "", "16":
	case "24":
		f.Bits = 24
	case "32":
		f.Bits = 32
	case "float":
		f.Bits, f.Float = 32, true
	default:
		return nil, fmt.Errorf("--bits: %q is none of 16, 24, 32, float", s.Bits)
	}
	if s.Stdin == nil {
		return nil, errors.New("-: there is no standard input; pipe raw samples in")
	}
	return soundcard.Raw(s.Stdin, f)
}
