package main

import (
	"errors"

	"github.com/spf13/cobra"

	"hisspoint/capture/soundcard"
	"hisspoint/reports"
	"hisspoint/reports/doc"
)

func (a *app) cardCommand() *cobra.Command {
	var list bool
	c := &cobra.Command{
		Use:     "card",
		Short:   "Lists and qualifies the sound card",
		Long:    `Lists the inputs and outputs of the sound card with --list.`,
		Example: "  hisspoint card --list",
		Args:    noArguments,
		RunE: func(*cobra.Command, []string) error {
			if list {
				return a.cardList()
			}
			return errors.New("--list: say what is wanted; see hisspoint card --help")
		},
	}
	c.Flags().BoolVar(&list, "list", false, "list inputs and outputs")
	a.outputFlags(c)
	return c
}

// cardList shows the devices of this computer.
func (a *app) cardList() error {
	card, err := openCard()
	if err != nil {
		return err
	}
	defer card.Close()
	inputs, err := card.Inputs()
	if err != nil {
		return err
	}
	outputs, err := card.Outputs()
	if err != nil {
		return err
	}
	record := reports.Devices{Version: version(), Inputs: devices(inputs), Outputs: devices(outputs)}
	if a.json {
		return reports.WriteJSON(a.stdout, record)
	}
	return a.show(doc.Devices(record))
}

func devices(all []soundcard.Device) []reports.Device {
	var out []reports.Device
	for _, d := range all {
		out = append(out, reports.Device{Name: d.Name, ID: d.ID, RateHz: d.Format.Rate, Channels: d.Format.Channels, Bits: d.Format.Bits,
			Float: d.Format.Float, Default: d.Default, Hears: d.Hears, Muted: d.Muted, Volume: d.Turned})
	}
	return out
}
