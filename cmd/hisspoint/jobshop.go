package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
)

type jobShopFlags struct {
	heading, technician, limits, decide                        string
	levelKind, pad, padUncertainty, standardDeviation, mainsHz string
	one                                                        instrumentFlags
}

// instrumentFlags are what is said of one instrument.
type instrumentFlags struct {
	what, serial, calibrated, level, deviation, reflection, fullScale, gain, source, note string
}

func (a *app) jobShopCommand() *cobra.Command {
	var f jobShopFlags
	c := &cobra.Command{
		Use: "shop [FILE]", Short: "Makes or changes the shop's file",
		Long: `Writes what is the same every day into the shop's file, shop.yaml, which jobs in the
folders beside it take by themselves: heading, technician, equipment, limits,
decision rule. What no flag says is asked for on a terminal while there is no such
file. Later each call changes what its flags say: an instrument by what it is.

In a job's folder it is the file of that job, ../shop.yaml if it names none.`,
		Example: "  hisspoint job shop\n  hisspoint job shop --heading \"Invented Workshop\" --technician \"A. Invented\"\n  hisspoint job shop --equipment \"signal generator\" --serial G1 --calibrated 2026-03-01 --level-uncertainty-db 1",
		Args:    atMostOne("file"),
		RunE:    func(_ *cobra.Command, args []string) error { return a.jobShop(args, f) },
	}
	fs := c.Flags()
	fs.StringVar(&f.heading, "heading", "", "`heading` of reports")
	fs.StringVar(&f.technician, "technician", "", "`name` of who does the work")
	fs.StringVar(&f.limits, "limits", "", "limit `profiles`, with commas (see hisspoint limits)")
	fs.StringVar(&f.decide, "decide", "", "`rule`: guarded (the whole interval decides) or value")
	fs.StringVar(&f.levelKind, "level-kind", "", "what µV on the generator's dial mean: pd or `emf`")
	fs.StringVar(&f.pad, "rf-pad-db", "", "loss of pad and cable between generator and set in `dB`, 0 for none")
	fs.StringVar(&f.padUncertainty, "rf-pad-uncertainty-db", "", "its tolerance in ± `dB`")
	fs.StringVar(&f.standardDeviation, "deviation", "", "standard `deviation`, as 1.5 kHz, that new jobs take")
	fs.StringVar(&f.mainsHz, "mains-hz", "", "`frequency` of the mains, 50 or 60")
	fs.StringVar(&f.one.what, "equipment", "", "`instrument` that the flags below are of, as \"signal generator\"")
	fs.StringVar(&f.one.serial, "serial", "", "its serial `number`")
	fs.StringVar(&f.one.calibrated, "calibrated", "", "`day` of its last calibration, as 2026-03-01")
	fs.StringVar(&f.one.level, "level-uncertainty-db", "", "tolerance of a generator's level in ± `dB`")
	fs.StringVar(&f.one.deviation, "deviation-uncertainty-percent", "", "tolerance of its deviation in ± `percent`")
	fs.StringVar(&f.one.reflection, "reflection-factor", "", "`magnitude` of its reflection factor, 0 to 1")
	fs.StringVar(&f.one.fullScale, "full-scale-volts", "", "RMS `volts` of a full-scale sine at a sound card's input")
	fs.StringVar(&f.one.gain, "input-gain", "", "`position` of a sound card's gain control")
	fs.StringVar(&f.one.source, "source", "", "`way` by which sound comes to a sound card: "+strings.Join(job.Sources, ", "))
	fs.StringVar(&f.one.note, "note", "", "`text` that goes with it")
	return c
}

func (a *app) jobShop(args []string, f jobShopFlags) error {
	file, from, err := shopFile(args)
	if err != nil {
		return err
	}
	old, err := jobfile.LoadShop(file)
	fresh := errors.Is(err, fs.ErrNotExist)
	if err != nil && !fresh {
		return err
	}
	err = nil
	var instruments []job.Equipment
	if in, ok := a.stdin.(*os.File); ok && fresh && f == (jobShopFlags{}) && term.IsTerminal(int(in.Fd())) {
		instruments, err = f.ask(bufio.NewReader(a.stdin), a)
	} else if f.one != (instrumentFlags{}) {
		var e job.Equipment
		e, err = f.one.equipment()
		instruments = []job.Equipment{e}
	}
	if err != nil {
		return err
	}
	bench, err := f.bench()
	if err != nil {
		return err
	}
	names := namesIn(f.limits)
	if wrong := profilesFit(f.limits); wrong != "" {
		return fmt.Errorf("--limits: %s; see hisspoint limits", wrong)
	}
	switch {
	case f.decide != "" && f.decide != job.Guarded && f.decide != job.ByValue:
		return fmt.Errorf("--decide: %q is neither guarded nor value", f.decide)
	case f == (jobShopFlags{}) && instruments == nil && fresh:
		return errors.New("--heading, --technician, --equipment, --limits or --decide: nothing is said yet; give at least one")
	case fresh:
		bench.Heading, bench.Technician, bench.Equipment, bench.Limits, bench.Decide = f.heading, f.technician, instruments, names, f.decide
		err = jobfile.WriteShop(file, bench)
	case f != (jobShopFlags{}):
		err = jobfile.EditShop(file, func(l *jobfile.Lines) error {
			if err := l.SetBench(bench); err != nil {
				return err
			}
			return f.change(l, names, instruments)
		})
	}
	if err != nil {
		return err
	}
	now, err := jobfile.LoadShop(file)
	if err != nil {
		return err
	}
	a.sayShop(file, from, now, fresh || !reflect.DeepEqual(old, now))
	return nil
}

// bench is what the flags say of dial, modulation and mains.
func (f jobShopFlags) bench() (job.Shop, error) {
	var s job.Shop
	switch kind := unit.LevelKind(strings.ToLower(f.levelKind)); kind {
	case "", unit.PD, unit.EMF:
		s.Dial.LevelKind = kind
	default:
		return s, fmt.Errorf("--level-kind: %q is neither pd nor emf", f.levelKind)
	}
	for _, q := range []struct {
		flag, text string
		parse      func(string) (float64, error)
		into       *float64
	}{{"rf-pad-db", f.pad, unit.ParseDB, &s.Dial.PadDB}, {"rf-pad-uncertainty-db", f.padUncertainty, unit.ParseDB, &s.Dial.PadUncertaintyDB},
		{"deviation", f.standardDeviation, unit.ParseFrequency, &s.Deviation}, {"mains-hz", f.mainsHz, unit.ParseFrequency, &s.MainsHz}} {
		var err error
		if *q.into, err = quantity(q.flag, q.text, q.parse); err != nil {
			return s, err
		}
	}
	s.Dial.NoPad = f.pad != "" && s.Dial.PadDB == 0
	return s, nil
}

// change puts what the flags say into a file that is there.
func (f jobShopFlags) change(l *jobfile.Lines, limits []string, instruments []job.Equipment) error {
	for _, s := range []struct{ key, text string }{{"heading", f.heading}, {"technician", f.technician}, {"decide", f.decide}} {
		if s.text == "" {
			continue
		}
		if err := l.Set(s.key, s.text); err != nil {
			return err
		}
	}
	for _, e := range instruments {
		if err := l.SetEquipment(e); err != nil {
			return err
		}
	}
	if len(limits) == 0 {
		return nil
	}
	return l.SetList("limits", limits)
}

// shopFile is the shop's file that is meant, and the job that names none yet but
// lies where it would take that one; "" for none.
func shopFile(args []string) (file, job string, err error) {
	if len(args) > 0 {
		return args[0], "", nil
	}
	if _, err := os.Stat(jobfile.Name); err != nil {
		return filepath.Base(shopName), "", nil
	}
	j, err := jobfile.Load(".")
	if err != nil {
		return "", "", err
	}
	if j.ShopFile != "" {
		return filepath.FromSlash(j.ShopFile), "", nil
	}
	return filepath.FromSlash(shopName), j.ID, nil
}

// sayShop says what the file holds now.
func (a *app) sayShop(file, jobID string, s job.Shop, changed bool) {
	word := "Written: "
	if !changed {
		word = "As it is: "
	}
	fmt.Fprintln(a.stdout, word+filepath.ToSlash(file))
	for _, l := range []struct{ what, text string }{{"heading", s.Heading}, {"technician", s.Technician}, {"limits", strings.Join(s.Limits, ", ")}, {"decided by", s.Decide}, {"dial", dialText(s)}} {
		if l.text != "" {
			fmt.Fprintln(a.stdout, folded("  "+l.what+": ", l.text))
		}
	}
	for _, e := range s.Equipment {
		fmt.Fprintln(a.stdout, folded("  "+e.What+": ", strings.Join(facts(e), ", ")))
	}
	if !slices.ContainsFunc(s.Equipment, func(e job.Equipment) bool { return e.LevelUncertaintyDB != nil }) {
		fmt.Fprintln(a.stdout, folded("  ", "How sure the generator's level is, is not stated, so ±2 dB is assumed: hisspoint job shop --equipment \"signal generator\" --level-uncertainty-db 1"))
	}
	if jobID != "" {
		fmt.Fprintln(a.stdout, folded("  next: ", "hisspoint job set shop "+shopName+", so that this job takes it"))
	}
}

// dialText is what the shop's file says of the generator's dial and of the bench, for people.
func dialText(s job.Shop) string {
	var out []string
	if s.Dial.LevelKind != "" {
		out = append(out, "µV are "+strings.ToUpper(string(s.Dial.LevelKind)))
	}
	switch {
	case s.Dial.NoPad:
		out = append(out, "no pad")
	case s.Dial.PadDB != 0:
		out = append(out, fmt.Sprintf("pad and cable %.4g dB", s.Dial.PadDB))
	}
	if s.Deviation != 0 {
		out = append(out, fmt.Sprintf("deviation %.5g Hz", s.Deviation))
	}
	if s.MainsHz != 0 {
		out = append(out, fmt.Sprintf("mains %g Hz", s.MainsHz))
	}
	return strings.Join(out, ", ")
}

// facts are what is known of an instrument, for people.
func facts(e job.Equipment) []string {
	var out []string
	add := func(lead, text, behind string) {
		if text != "" {
			out = append(out, lead+text+behind)
		}
	}
	number := func(v *float64) string {
		if v == nil {
			return ""
		}
		return strconv.FormatFloat(*v, 'g', 4, 64)
	}
	add("serial ", e.Serial, "")
	add("calibrated ", e.Calibrated, "")
	add("level ±", number(e.LevelUncertaintyDB), " dB")
	add("deviation ±", number(e.DeviationPercent), " %")
	add("reflection factor ", number(e.ReflectionFactor), "")
	add("full scale ", number(e.FullScaleVolts), " V")
	add("gain ", e.InputGain, "")
	add("source ", e.Source, "")
	add("", e.Note, "")
	return out
}

// equipment is the instrument that the flags describe.
func (f instrumentFlags) equipment() (job.Equipment, error) {
	e := job.Equipment{What: strings.TrimSpace(f.what), Serial: f.serial, Calibrated: f.calibrated, InputGain: f.gain, Note: f.note}
	if e.What == "" {
		return e, errors.New("--equipment: say which instrument that is, as --equipment \"signal generator\"")
	}
	if _, err := job.ParseSource(f.source); err != nil {
		return e, fmt.Errorf("--source: %w", err)
	}
	e.Source = f.source
	e.Calibrated = dated("calibrated", e.Calibrated)
	if wrong := dayFits(e.Calibrated); f.calibrated != "" && wrong != "" {
		return e, fmt.Errorf("--calibrated: %s", wrong)
	}
	for _, q := range []struct {
		flag, text string
		most       float64
		into       **float64
	}{{"level-uncertainty-db", f.level, 20, &e.LevelUncertaintyDB}, {"deviation-uncertainty-percent", f.deviation, 100, &e.DeviationPercent},
		{"reflection-factor", f.reflection, 1, &e.ReflectionFactor}, {"full-scale-volts", f.fullScale, 1000, &e.FullScaleVolts}} {
		if q.text == "" {
			continue
		}
		v, err := tolerance(q.text, q.most)
		if err != nil {
			return e, fmt.Errorf("--%s: %w", q.flag, err)
		}
		*q.into = &v
	}
	return e, nil
}

// tolerance reads a plain number; a sign and a unit that the key states are allowed.
func tolerance(text string, most float64) (float64, error) {
	plain := strings.TrimSpace(strings.TrimLeft(strings.TrimRight(strings.TrimSpace(text), "dBDbV% "), "±+-"))
	v, err := unit.ParseNumber(plain)
	if err != nil || v <= 0 || v > most {
		return 0, fmt.Errorf("%q is no figure above 0 up to %g; leave it out where it is not known", text, most)
	}
	return v, nil
}

func dayFits(text string) string {
	if _, err := time.Parse(time.DateOnly, text); err != nil {
		return fmt.Sprintf("%q is not a date; write it year-month-day, as 2026-03-01", text)
	}
	return ""
}

func toleranceFits(most float64) func(string) string {
	return func(text string) string {
		if _, err := tolerance(text, most); err != nil {
			return err.Error()
		}
		return ""
	}
}

// ask puts a question for all that a new file may hold.
func (f *jobShopFlags) ask(in *bufio.Reader, a *app) ([]job.Equipment, error) {
	generator, card := instrumentFlags{what: "signal generator"}, instrumentFlags{what: "sound card"}
	for _, part := range [][]question{
		{{"Heading of reports", nil, &f.heading}, {"Technician", nil, &f.technician}},
		{{"Signal generator, serial number", nil, &generator.serial}, {"  calibrated on (as 2026-03-01)", dayFits, &generator.calibrated},
			{"  tolerance of its level in dB (as 1)", toleranceFits(20), &generator.level}, {"  tolerance of its deviation in percent (as 5)", toleranceFits(100), &generator.deviation}},
		{{"Sound card, serial number or name", nil, &card.serial}, {"  position of its input gain (as 62 %)", nil, &card.gain}},
	} {
		if !put(part, in, a.stderr) {
			break
		}
	}
	fmt.Fprintln(a.stderr, folded("  ", "Limit profiles: "+strings.Join(profilesFor(""), ", ")))
	put([]question{{"Limits used every day (empty: none)", profilesFit, &f.limits}, oneOf("Decided by", []string{job.Guarded, job.ByValue}, &f.decide)}, in, a.stderr)
	var out []job.Equipment
	for _, one := range []instrumentFlags{generator, card} {
		if one == (instrumentFlags{what: one.what}) {
			continue
		}
		e, err := one.equipment()
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}
