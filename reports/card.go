package reports

import "hisspoint/capture/job"

// Devices are the inputs and outputs of a sound card.
type Devices struct {
	Version         string
	Inputs, Outputs []Device
}

// Device is one of them.
type Device struct {
	Name     string `json:"name"`
	ID       string `json:"id"`
	RateHz   int    `json:"sample_rate_hz"`
	Channels int    `json:"channels"`
	Bits     int    `json:"bits"`
	Float    bool   `json:"float"`
	Default  bool   `json:"default"`                 // the system's choice
	Hears    string `json:"hears_output,omitempty"`  // the output whose sound it records, if it is no real input
	Muted    bool   `json:"muted,omitempty"`         //
	Volume   string `json:"software_gain,omitempty"` // how a volume control stands that works on the samples
}

// MarshalJSON writes the list in the shape of `card --list --json`.
func (d Devices) MarshalJSON() ([]byte, error) {
	list := func(all []Device) []Device {
		if all == nil {
			return []Device{}
		}
		return all
	}
	return marshal(struct {
		head
		Inputs  []Device `json:"inputs"`
		Outputs []Device `json:"outputs"`
	}{headOf(d.Version, "card"), list(d.Inputs), list(d.Outputs)})
}

// Card is the record of a qualified sound card.
type Card struct {
	Version string
	Device  string // what it was qualified as; empty: a file without a device
	File    string // the recording it was read from
	At      string // date and time
	Card    job.Card
}

// MarshalJSON writes the record in the shape of `card --json`.
func (c Card) MarshalJSON() ([]byte, error) {
	card := c.Card
	if card.Findings == nil {
		card.Findings = []string{}
	}
	return marshal(struct {
		head
		Device string   `json:"device,omitempty"`
		File   string   `json:"file,omitempty"`
		At     string   `json:"qualified,omitempty"`
		Card   job.Card `json:"card"`
	}{headOf(c.Version, "card"), c.Device, c.File, c.At, card})
}
