package main

import (
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/capture/jobfile"
)

func (a *app) jobSetCommand() *cobra.Command {
	var name, round string
	c := &cobra.Command{
		Use: "set KEY VALUE", Short: "Sets one entry of the job",
		Long: `Sets one entry of the job file, as it is named there; a dot goes one deeper. Keys of
the set, of a round and of its conditions may be given alone: serial, tested,
channel, input_gain. Below tests a kind names its test, with its name behind a
colon where it has one. Limit profiles are a list: their names with commas.`,
		Example: `  hisspoint job set customer "A. Invented"
  hisspoint job set serial 0012345
  hisspoint job set tested 2026-11-02 --round as_found
  hisspoint job set tests.hum_and_noise.limit "at least 40 dB"`,
		Args: wantWords(2, "a key and its value"),
		RunE: func(_ *cobra.Command, args []string) error {
			key, err := wholeKey(args[0], name, round)
			if err != nil {
				return err
			}
			return jobfile.Edit(name, func(l *jobfile.Lines) error {
				if key == "limits" {
					return l.SetList(key, namesIn(args[1]))
				}
				return l.Set(key, args[1])
			})
		},
	}
	jobFlag(c, &name)
	roundFlag(c, &round)
	return c
}

// keysOf are the keys that may be given without what they stand below.
var keysOf = map[string][]string{
	"set":        {"description", "serial", "mode"},
	"conditions": {"rf_mhz", "channel", "supply_volts", "level_kind", "rf_pad_db", "rf_pad_uncertainty_db", "audio_pad_db", "input_gain", "load", "load_ohms", "mains_hz", "controls", "s9"},
}

// wholeKey is a key with all that it stands below.
func wholeKey(key, name, round string) (string, error) {
	first, _, _ := strings.Cut(key, ".")
	for parent, keys := range keysOf {
		for _, k := range keys {
			if key == k {
				key, first = parent+"."+key, parent
			}
		}
	}
	if first != "tested" && first != "conditions" && first != "tests" {
		return key, nil
	}
	j, err := jobfile.Load(name)
	if err != nil {
		return "", err
	}
	if round, err = roundIn(round, j); err != nil {
		return "", err
	}
	return "rounds." + round + "." + key, nil
}
