package live

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// Settings are what the tool remembers of this computer's sound card.
type Settings struct {
	Device string `json:"device"` // ID of the input chosen last
	Name   string `json:"name"`   // what it is called
}

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
	data, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return s, nil
	}
	if err == nil {
		err = json.Unmarshal(data, &s)
	}
	if err != nil {
		return Settings{}, fmt.Errorf("%s: cannot be read (%w); delete it and choose the device again with --device", slashed(file), bare(err))
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
		err = os.MkdirAll(filepath.Dir(file), 0o755)
	}
	if err == nil {
		err = replace(file, append(data, '\n'))
	}
	if err != nil {
		return fmt.Errorf("%s: cannot be written (%w); the choice is not remembered", slashed(file), bare(err))
	}
	return nil
}

// replace writes a file beside its place and renames it.
func replace(file string, data []byte) error {
	f, err := os.CreateTemp(filepath.Dir(file), ".hisspoint-*.tmp")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(data)
	if closed := f.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Rename(f.Name(), file)
	}
	return err
}
