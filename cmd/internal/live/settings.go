package live

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"hisspoint/analyze"
	"hisspoint/analyze/card"
	"hisspoint/capture"
	"hisspoint/capture/doors/read"
	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
)

// Settings are what the tool remembers of this computer's sound card.
type Settings struct {
	Device string               `json:"device"`           // ID of the input chosen last
	Name   string               `json:"name"`             // what it is called
	Output *Chosen              `json:"output,omitempty"` // the output chosen last
	Cards  map[string]Qualified `json:"cards,omitempty"`  // by the ID of the input
}

// Chosen is a device that a person chose.
type Chosen struct {
	Device string `json:"device"` // its ID
	Name   string `json:"name"`
}

// Qualified is what was found of an input, and when.
type Qualified = job.Qualified

// settingsFile is where they are kept.
func settingsFile() (string, error) {
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", fmt.Errorf("no folder for settings: %w; set HOME", err)
	}
	return filepath.Join(dir, "hisspoint", "soundcard.json"), nil
}

// LoadSettings reads what is remembered; where there is nothing, nothing.
func LoadSettings() (Settings, error) {
	var s Settings
	file, err := settingsFile()
	if err != nil {
		return s, nil
	}
	data, err := read.Whole(file, read.MostCard)
	if errors.Is(err, fs.ErrNotExist) {
		return s, nil
	}
	if err == nil {
		err = json.Unmarshal(data, &s)
	}
	if err != nil {
		return Settings{}, fmt.Errorf("%s: cannot be read (%w); delete it and choose the device again with --device", slashed(file), err)
	}
	return s, nil
}

// Save remembers them.
func (s Settings) Save() error {
	file, err := settingsFile()
	if err != nil {
		return err
	}
	data, err := json.MarshalIndent(s, "", "  ")
	if err == nil {
		err = write.Folder(filepath.Dir(file))
	}
	if err == nil {
		err = write.Replace(file, write.Private, append(data, '\n'))
	}
	if err != nil {
		return fmt.Errorf("%s: cannot be written (%w); the choice is not remembered", slashed(file), err)
	}
	return nil
}

// CardOf is what is known of an input. id empty: the one chosen last. ok is false
// where it was not qualified.
func CardOf(id string) (q *Qualified, ok bool) {
	s, err := LoadSettings()
	if err != nil {
		return nil, false
	}
	if id == "" {
		id = s.Device
	}
	one, ok := s.Cards[id]
	one.ID = id // not in the settings of an earlier version
	return &one, ok
}

// qualified is what is known of an input at a rate.
func qualified(id string, rate int) (Qualified, bool) {
	q, ok := CardOf(id)
	if !ok || q.Card.RateHz != rate {
		return Qualified{}, false
	}
	return *q, true
}

// CardNote warns where a qualified card limits what was read with it. id is the
// input that recorded it; empty: the one chosen last. It says nothing of a card that
// was not qualified, or not at that rate.
func CardNote(id string, m analyze.Measured) (capture.Warning, bool) {
	q, ok := CardOf(id)
	if !ok {
		return capture.Warning{}, false
	}
	return firstOf(card.Limits(q, m))
}

// firstOf is the first of several warnings; what limits most stands in front.
func firstOf(all []capture.Warning) (capture.Warning, bool) {
	if len(all) == 0 {
		return capture.Warning{}, false
	}
	return all[0], true
}

// FullScaleVolts is what full scale of an input stands for; 0: not known.
func FullScaleVolts(id string, rate int) float64 {
	q, ok := qualified(id, rate)
	if !ok || q.Card.FullScaleVolts == nil {
		return 0
	}
	return *q.Card.FullScaleVolts
}
