package main

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
)

type readingEntry struct {
	job, round, why string
	replace         bool
	reading         job.MeterReading
}

func (a *app) jobReadingCommand() *cobra.Command {
	var f readingEntry
	c := &cobra.Command{
		Use: "reading WHAT [VALUE]", Short: "Adds a meter reading, a check, or what was left out",
		Long: `Adds what was read off an instrument, with an optional limit; a reading that the
plan asks for gets its value. A value of yes or no makes it a check;
--not-measured says why something was left out: a reading, or a test by its
kind. What is there already is changed with --replace only.`,
		Example: `  hisspoint job reading "supply current" "1.2 A" --limit "at most 1.5 A"
  hisspoint job reading "S-meter at S9" "60 uV PD" --nominal S9 --within 6dB
  hisspoint job reading "air test" yes
  hisspoint job reading squelch --not-measured "no control fitted"`,
		Args: func(c *cobra.Command, args []string) error {
			want := 2
			if f.why != "" {
				want = 1
			}
			return wantWords(want, "what was read and its value, each in quotes")(c, args)
		},
		RunE: func(_ *cobra.Command, args []string) error {
			f.reading.What = strings.TrimSpace(args[0])
			if len(args) > 1 {
				f.reading.Value = strings.TrimSpace(args[1])
			}
			for _, text := range []*string{&f.reading.What, &f.reading.Value, &f.reading.Limit, &f.reading.Nominal, &f.reading.Within, &f.reading.Note, &f.why} {
				*text = plainMinus(*text)
			}
			return a.enterReading(f)
		},
	}
	c.Flags().StringVar(&f.reading.Limit, "limit", "", "`limit`, as \"at most 1.5 A\"")
	c.Flags().StringVar(&f.reading.Nominal, "nominal", "", "nominal `value`, as \"50 uV PD\" or S9")
	c.Flags().StringVar(&f.reading.Within, "within", "", "`tolerance` around it, as \"6 dB\"")
	c.Flags().StringVar(&f.reading.Note, "note", "", "`text` that goes with it")
	c.Flags().StringVar(&f.why, "not-measured", "", "`reason` why it was left out")
	c.Flags().BoolVar(&f.replace, "replace", false, "change what is there already")
	jobFlag(c, &f.job)
	roundFlag(c, &f.round)
	a.writtenFlag(c)
	return c
}

// enterReading puts a meter reading, a check or what was left out into its round.
func (a *app) enterReading(f readingEntry) error {
	m := f.reading
	switch {
	case m.What == "":
		return fmt.Errorf("WHAT: says nothing; name what was read, in quotes")
	case (m.Nominal == "") != (m.Within == ""):
		return fmt.Errorf("--nominal, --within: give both, as --nominal S9 --within \"6 dB\"")
	case m.Limit != "" && m.Nominal != "":
		return fmt.Errorf("--limit, --nominal: give one of them")
	}
	if err := f.leavesNothingOut(); err != nil {
		return err
	}
	j, err := jobfile.Load(f.job)
	if err != nil {
		return err
	}
	if f.round, err = roundIn(f.round, j); err != nil {
		return err
	}
	round := j.Round(f.round)
	if round == nil {
		round = &job.Round{}
	}
	list, index, err := f.place(round)
	if err != nil {
		return err
	}
	path := []string{"rounds", f.round, list}
	var item string
	switch answer := strings.ToLower(m.Value); {
	case list == "not_measured":
		item = jobfile.Flow("what", m.What, "why", f.why)
	case list == "checks":
		if index >= 0 {
			m.What = round.Checks[index].What
		}
		item = jobfile.Flow("what", m.What, "answer", answer, "note", m.Note)
	default:
		if index >= 0 { // a limit that is not given anew stays
			old := round.MeterReadings[index]
			m.What = old.What
			if m.Limit == "" && m.Nominal == "" {
				m.Limit, m.Nominal, m.Within = old.Limit, old.Nominal, old.Within
			}
			if m.Note == "" {
				m.Note = old.Note
			}
		}
		if err := judgeable(m, round.Conditions); err != nil {
			return err
		}
		item = jobfile.Meter(m)
	}
	if err := jobfile.Edit(f.job, a.command, func(l *jobfile.Lines) error {
		if index >= 0 {
			return l.Replace(path, index, item)
		}
		return l.Append(path, item)
	}); err != nil {
		return err
	}
	a.wrote(f.job, f.round, strings.ReplaceAll(list, "_", " "), m.What, m.Value+f.why)
	if list == "meter_readings" && m.Limit == "" && m.Nominal == "" {
		how := `--limit "at least ..." or --nominal and --within`
		if strings.HasPrefix(strings.ToLower(m.What), "s-meter") {
			how = `--nominal S9 --within "6 dB" --replace`
		}
		fmt.Fprintln(a.stdout, folded("  ", m.What+": has no limit and takes no part in the verdict; give one with "+how))
	}
	return nil
}

// leavesNothingOut refuses what an entry of its kind has no room for.
func (f readingEntry) leavesNothingOut() error {
	m := f.reading
	given := ""
	for _, flag := range []struct{ name, text string }{{"--limit", m.Limit}, {"--nominal", m.Nominal}, {"--within", m.Within}} {
		if given == "" && flag.text != "" {
			given = flag.name
		}
	}
	switch answer := strings.ToLower(m.Value); {
	case f.why != "" && m.Note != "":
		return fmt.Errorf("--note: what is not measured has its reason only; say it with --not-measured")
	case f.why != "" && given != "":
		return fmt.Errorf("%s: what is not measured has none; leave it out", given)
	case (answer == "yes" || answer == "no") && given != "":
		return fmt.Errorf("%s: a check (yes or no) has none; leave it out, or give the value that was read, as \"4 W\"", given)
	}
	return nil
}

// place is the list that an entry belongs to, and which of its entries gives
// way: one that is planned only, or one that is to be replaced; -1 for none.
func (f readingEntry) place(r *job.Round) (list string, index int, err error) {
	same := func(what string) bool { return strings.EqualFold(what, f.reading.What) }
	reading := slices.IndexFunc(r.MeterReadings, func(m job.MeterReading) bool { return same(m.What) })
	check := slices.IndexFunc(r.Checks, func(k job.Check) bool { return same(k.What) })
	omitted := slices.IndexFunc(r.NotMeasured, func(n job.NotMeasured) bool { return same(n.What) })
	planned := map[string]bool{"meter_readings": reading >= 0 && r.MeterReadings[reading].Value == "", "checks": check >= 0 && r.Checks[check].Open}
	list, index = "meter_readings", reading
	switch answer := strings.ToLower(f.reading.Value); {
	case f.why != "":
		list, index = "not_measured", omitted
	case (answer == "yes" || answer == "no") && reading >= 0:
		return "", 0, fmt.Errorf("%s: is a meter reading; give its value, or say with --not-measured why there is none", f.reading.What)
	case answer == "yes" || answer == "no":
		list, index = "checks", check
	case planned["checks"] && reading < 0:
		return "", 0, fmt.Errorf("%s: is a check; answer it with yes or no", f.reading.What)
	}
	for _, there := range []struct {
		in    string
		index int
	}{{"meter_readings", reading}, {"checks", check}, {"not_measured", omitted}} {
		if there.index < 0 || planned[there.in] {
			continue
		}
		if there.in != list {
			return "", 0, fmt.Errorf("%s: is among the %s of %s already; take it out there, or use another name", f.reading.What, strings.ReplaceAll(there.in, "_", " "), f.round)
		}
		if !f.replace {
			return "", 0, fmt.Errorf("%s: is there already; change it with --replace, or use another name", f.reading.What)
		}
	}
	return list, index, nil
}

// sReading is what an S-meter shows: S7, S9+20 dB. It can be written down, and
// judged only as the level at which it is shown.
var sReading = regexp.MustCompile(`(?i)^S ?[0-9](?: ?\+ ?[0-9]+(?: ?dB)?)?$`)

// judgeable tells what keeps a reading from being judged by its limit, and
// whether a value without one can be read as a figure.
func judgeable(m job.MeterReading, c job.RoundConditions) error {
	unlimited := m.Limit == "" && m.Nominal == ""
	if _, err := job.ParseFigure(m.Value, c); err != nil && !(unlimited && sReading.MatchString(m.Value)) {
		return fmt.Errorf("%s: the value %w", m.What, err)
	}
	v := limit.JudgeMeter(m, c)
	if _, _, bound := job.SplitBound(m.Limit); m.Limit != "" && bound == "" {
		figure, source, _ := strings.Cut(m.Limit, ", ")
		if source != "" {
			source = ", " + source
		}
		return fmt.Errorf("%s: the limit %q does not say on which side it lies: give --limit \"at least %s%s\" or --limit \"at most %s%s\"", m.What, m.Limit, figure, source, figure, source)
	}
	if v != nil && v.Outcome == limit.NotJudged {
		return fmt.Errorf("%s: cannot be judged: %s", m.What, v.Why)
	}
	return nil
}
