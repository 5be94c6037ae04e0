package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"hisspoint/analyze/card"
	"hisspoint/capture"
	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/cardfile"
	"hisspoint/capture/soundcard"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/live"
	"hisspoint/reports"
	"hisspoint/reports/doc/bench"
	"hisspoint/reports/sentence"
)

type cardFlags struct {
	sound                soundFlags
	list                 bool
	output, volts, clock string
	save, percent, gain  string
	job                  string
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
record say where the card's own noise, hum or distortion is less than 10 dB below
what is read, and record puts the result beside a job's recordings as card.json:
report and all that measures takes it from there, and what the card adds joins
the uncertainty of every judged figure.

--job FOLDER puts it there for recordings made otherwise: with a FILE what that
loop-back shows, else what is known of the input (--device, or the one chosen
last), without playing anything. The folder is a job's or that of recordings.

--volts is what a voltmeter shows across the line during the first tone: it gives
the volts of full scale. --clock-reference names the frequency of a recording of
an outside standard, and gives the error of the card's clock.`,
		Example: "  hisspoint card --list\n  hisspoint card --device \"line in\" --output \"line out\"\n  hisspoint card loop.wav --volts 0.775 --volts-uncertainty 3% --job 0417",
		Args:    atMostOne("file"),
		RunE: func(_ *cobra.Command, args []string) error {
			switch {
			case f.list:
				return a.cardList()
			case f.job != "" && len(args) == 0:
				return a.cardTie(f)
			}
			return a.card(args, f)
		},
	}
	f.sound.add(c)
	fs := c.Flags()
	fs.BoolVar(&f.list, "list", false, "list inputs and outputs")
	fs.StringVar(&f.output, "output", "", "`name` of the output, or a part of it (default: the system's choice)")
	fs.StringVar(&f.volts, "volts", "", "RMS `volts` read across the line during the first tone")
	fs.StringVar(&f.percent, "volts-uncertainty", "", "uncertainty of that meter, \u00b1`percent`")
	fs.StringVar(&f.gain, "input-gain", "", "`position` of the card's gain control, as a job has it: \"62 %\"")
	fs.StringVar(&f.job, "job", "", "`folder` of a job, or of recordings, that were made with the card")
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
	percent, err := quantity("volts-uncertainty", f.percent, unit.ParsePercent)
	if err != nil {
		return err
	}
	if percent < 0 || percent > 0 && volts == 0 {
		return errors.New("--volts-uncertainty: is a percentage of --volts, not below zero; give both")
	}
	typed := typedCard{volts: volts, percent: percent, gain: strings.TrimSpace(f.gain)}
	if len(args) > 0 {
		return a.cardFile(args[0], f, typed, clock)
	}
	if clock > 0 {
		return errors.New("--clock-reference: needs a recording of the standard; name its file")
	}
	return a.cardLive(f, typed)
}

// typedCard is what a person says of a card.
type typedCard struct {
	volts, percent float64
	gain           string
}

// cardLive plays and records the loop-back.
func (a *app) cardLive(f cardFlags, typed typedCard) error {
	if f.sound.device == "-" {
		return errors.New("--device -: a loop-back needs the sound card; or record one and name its file")
	}
	in, err := a.source(f.sound).Record()
	if err != nil {
		return err
	}
	defer in.Close()
	file := f.save
	if file == "" {
		dir, remove, err := write.Passing()
		if err != nil {
			return fmt.Errorf("no folder for the recording: %w", err)
		}
		defer remove()
		file = filepath.Join(dir, "loop-back.wav")
	}
	if !a.quiet {
		fmt.Fprintln(a.stderr, "Playing and recording the test program, 15 s ...")
	}
	stop, done := live.Stopped()
	defer done()
	if err := live.Loop(in, f.output, file, stop); err != nil {
		return err
	}
	qualified, err := qualify(file, typed)
	if err != nil {
		return err
	}
	return a.cardKeep(live.Qualified{ID: in.Device().ID, Name: in.Device().Name, Card: qualified}, "", f)
}

// cardFile reads a recording that is there already.
func (a *app) cardFile(file string, f cardFlags, typed typedCard, clock float64) error {
	if clock == 0 {
		qualified, err := qualify(file, typed)
		if err != nil {
			return err
		}
		return a.cardKeep(live.Qualified{Card: qualified}, filepath.ToSlash(file), f)
	}
	sound, err := capture.Open(file)
	if err != nil {
		return err
	}
	defer sound.Close()
	ppm, err := card.Clock(sound.Channels[0], clock)
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
	return a.cardKeep(live.Qualified{ID: s.Device, Name: q.Name, Card: q.Card}, "", f)
}

func qualify(file string, typed typedCard) (job.Card, error) {
	sound, err := capture.Open(file)
	if err != nil {
		return job.Card{}, err
	}
	defer sound.Close()
	qualified, findings, err := card.Qualify(sound.Channels, typed.volts)
	if broken := (*card.Broken)(nil); errors.As(err, &broken) {
		err = fmt.Errorf("%s: %s; close other programs and record again", broken.File, sentence.Of(broken.Says))
	}
	qualified.Findings = sentence.All(findings)
	qualified.InputGain = typed.gain
	if typed.percent > 0 {
		qualified.VoltsPercent = &typed.percent
	}
	return qualified, err
}

// cardKeep shows the result and keeps it for the input; that of a file belongs to
// the input chosen last, if there is one.
func (a *app) cardKeep(q live.Qualified, file string, f cardFlags) error {
	s, err := live.LoadSettings()
	if err != nil {
		return err
	}
	if q.ID == "" {
		q.ID, q.Name = s.Device, s.Name
	}
	q.At = time.Now().Format(time.DateTime)
	record := reports.Card{Version: version(), Device: q.Name, File: file, At: q.At, Card: q.Card}
	switch {
	case q.ID != "":
		if s.Cards == nil {
			s.Cards = map[string]live.Qualified{}
		}
		s.Cards[q.ID] = q
		if err := s.Save(); err != nil {
			return err
		}
	case f.job != "":
		q.Name = file
	case !a.quiet:
		fmt.Fprintln(a.stderr, "No input was chosen yet, so this is not kept; choose one with --device.")
	}
	if err := a.cardBeside(q, f); err != nil {
		return err
	}
	if a.json {
		return reports.WriteJSON(a.stdout, record)
	}
	return a.show(bench.SoundCard(record))
}

// cardTie puts what is known of an input beside recordings that were made with it.
func (a *app) cardTie(f cardFlags) error {
	if f.volts != "" || f.gain != "" || f.percent != "" || f.clock != "" {
		return errors.New("--job: puts there what is known already; to say more of the card, qualify it again: name the file of a loop-back, or leave --job out")
	}
	q, known := live.CardOf("")
	if f.sound.device != "" {
		var err error
		if q, err = live.CardNamed(f.sound.device); err != nil {
			return fmt.Errorf("--device: %w", err)
		}
	} else if !known {
		return errors.New("--job: no sound card is qualified yet; do that first with hisspoint card, or name the file of a loop-back")
	}
	return a.cardBeside(*q, f)
}

// cardBeside writes card.json into the folder of --job. What was there is replaced,
// with a word if it was of something else.
func (a *app) cardBeside(q live.Qualified, f cardFlags) error {
	if f.job == "" {
		return nil
	}
	dir := f.job
	if ext := strings.ToLower(filepath.Ext(dir)); ext == ".yaml" || ext == ".yml" {
		dir = filepath.Dir(dir)
	}
	file := filepath.Join(dir, cardfile.Name)
	before, err := cardfile.In(dir)
	if err != nil {
		return err
	}
	if err := cardfile.Write(file, q); err != nil {
		return err
	}
	if a.quiet {
		return nil
	}
	fmt.Fprintf(a.stderr, "%s says now that the recordings there were made with %s.\n", filepath.ToSlash(file), q.Label())
	if before != nil && !before.SameAs(&q) {
		fmt.Fprintf(a.stderr, "It replaces %s.\n", before.Label())
	}
	return nil
}

// cardList shows the devices of this computer.
func (a *app) cardList() error {
	qualified, err := openCard()
	if err != nil {
		return err
	}
	defer qualified.Close()
	inputs, err := qualified.Inputs()
	if err != nil {
		return err
	}
	outputs, err := qualified.Outputs()
	if err != nil {
		return err
	}
	record := reports.Devices{Version: version(), Inputs: devices(inputs), Outputs: devices(outputs)}
	if a.json {
		return reports.WriteJSON(a.stdout, record)
	}
	return a.show(bench.Devices(record))
}

func devices(all []soundcard.Device) []reports.Device {
	var out []reports.Device
	for _, d := range all {
		out = append(out, reports.Device{Name: d.Name, ID: d.ID, RateHz: d.Format.Rate, Channels: d.Format.Channels, Bits: d.Format.Bits,
			Float: d.Format.Float, Default: d.Default, Hears: d.Hears, Muted: d.Muted, Volume: d.Turned})
	}
	return out
}
