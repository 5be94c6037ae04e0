package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/soundcard"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/live"
	"hisspoint/reports"
	"hisspoint/reports/doc"
)

type cardFlags struct {
	sound                soundFlags
	list                 bool
	output, volts, clock string
	save                 string
}

func (a *app) cardCommand() *cobra.Command {
	var f cardFlags
	c := &cobra.Command{
		Use:   "card [FILE]",
		Short: "Qualifies the sound card from a loop-back, and lists its devices",
		Long: `Plays a test program (14 s) on the card's output, records it at its input, and
tells what the card adds by itself: noise, hum, distortion, response, balance of
the channels, and whether something works on the gain. Connect the output to the
input first (hisspoint wiring loopback). With a FILE it reads the recording of an
earlier loop-back.

The result is kept for the input, at the gain it has now. From then on watch and
record say where the card's own noise is less than 10 dB below what is read.

--volts is what a voltmeter shows across the line during the first tone: it gives
the volts of full scale. --clock-reference names the frequency of a recording of
an outside standard, and gives the error of the card's clock.`,
		Example: "  hisspoint card --list\n  hisspoint card --device \"line in\" --output \"line out\"\n  hisspoint card loop.wav --volts 0.775",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			if f.list {
				return a.cardList()
			}
			return a.card(args, f)
		},
	}
	f.sound.add(c)
	fs := c.Flags()
	fs.BoolVar(&f.list, "list", false, "list inputs and outputs")
	fs.StringVar(&f.output, "output", "", "`name` of the output, or a part of it (default: the system's choice)")
	fs.StringVar(&f.volts, "volts", "", "RMS `volts` read across the line during the first tone")
	fs.StringVar(&f.clock, "clock-reference", "", "`frequency` of the outside standard that FILE holds")
	fs.StringVar(&f.save, "save", "", "`file` in which the recording of the loop-back is kept")
	a.outputFlags(c)
	return c
}

func (a *app) card(args []string, f cardFlags) error {
	volts, err := quantity("volts", f.volts, unit.ParseVolts)
	if err != nil {
		return err
	}
	clock, err := quantity("clock-reference", f.clock, unit.ParseFrequency)
	if err != nil {
		return err
	}
	if len(args) > 0 {
		return a.cardFile(args[0], f, volts, clock)
	}
	if clock > 0 {
		return errors.New("--clock-reference: needs a recording of the standard; name its file")
	}
	return a.cardLive(f, volts)
}

// cardLive plays and records the loop-back.
func (a *app) cardLive(f cardFlags, volts float64) error {
	if f.sound.device == "-" {
		return errors.New("--device -: a loop-back needs the sound card; or record one and name its file")
	}
	in, err := a.openInput(f.sound)
	if err != nil {
		return err
	}
	defer in.Close()
	file := f.save
	if file == "" {
		dir, err := os.MkdirTemp("", "hisspoint-")
		if err != nil {
			return fmt.Errorf("no folder for the recording: %w", err)
		}
		defer os.RemoveAll(dir)
		file = filepath.Join(dir, "loop-back.wav")
	}
	if !a.quiet {
		fmt.Fprintln(a.stderr, "Playing and recording the test program, 15 s ...")
	}
	stop, done := stopped()
	defer done()
	if err := live.Loop(in, f.output, file, stop); err != nil {
		return err
	}
	card, err := qualify(file, volts)
	if err != nil {
		return err
	}
	return a.cardKeep(in.Device().ID, in.Device().Name, "", card)
}

// cardFile reads a recording that is there already.
func (a *app) cardFile(file string, f cardFlags, volts, clock float64) error {
	if clock == 0 {
		card, err := qualify(file, volts)
		if err != nil {
			return err
		}
		return a.cardKeep("", "", filepath.ToSlash(file), card)
	}
	sound, err := capture.Open(file)
	if err != nil {
		return err
	}
	defer sound.Close()
	ppm, err := analyze.CardClock(sound.Channels[0], clock)
	if err != nil {
		return err
	}
	s, err := live.LoadSettings()
	if err != nil {
		return err
	}
	q, ok := s.Cards[s.Device]
	if !ok {
		return errors.New("--clock-reference: no card is qualified yet; do that first with hisspoint card")
	}
	q.Card.ClockPPM = &ppm
	return a.cardKeep(s.Device, q.Name, "", q.Card)
}

func qualify(file string, volts float64) (analyze.Card, error) {
	sound, err := capture.Open(file)
	if err != nil {
		return analyze.Card{}, err
	}
	defer sound.Close()
	return analyze.QualifyCard(sound.Channels, volts)
}

// cardKeep shows the result and keeps it for the input; that of a file belongs to
// the input chosen last, if there is one.
func (a *app) cardKeep(id, name, file string, card analyze.Card) error {
	s, err := live.LoadSettings()
	if err != nil {
		return err
	}
	if id == "" {
		id, name = s.Device, s.Name
	}
	record := reports.Card{Version: version(), Device: name, File: file, At: time.Now().Format(time.DateTime), Card: card}
	if id != "" {
		if s.Cards == nil {
			s.Cards = map[string]live.Qualified{}
		}
		s.Cards[id] = live.Qualified{Name: name, At: record.At, Card: card}
		if err := s.Save(); err != nil {
			return err
		}
	} else if !a.quiet {
		fmt.Fprintln(a.stderr, "No input was chosen yet, so this is not kept; choose one with --device.")
	}
	if a.json {
		return reports.WriteJSON(a.stdout, record)
	}
	return a.show(doc.SoundCard(record))
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
