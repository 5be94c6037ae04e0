package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/jobfile/yamlfile"
	"hisspoint/capture/unit"
)

func (a *app) jobSetCommand() *cobra.Command {
	var name, round, file string
	c := &cobra.Command{
		Use: "set KEY VALUE", Short: "Sets one entry of the job",
		Long: `Sets one entry by its name in the job file; dots separate nested names. Keys of
the set, of a round and of its conditions may be given alone: serial, tested,
channel, input_gain. Below tests a kind names its test, with its name behind a
colon where it has one; --file names one recording by its file instead: its from, to,
measured_volts or level. Limit profiles are a list: their names with commas. So are
complaints, with semicolons; behind = stands what shows one: tests, meter readings or
checks, with commas.`,
		Example: `  hisspoint job set customer "A. Invented"
  hisspoint job set serial 0012345
  hisspoint job set complaints "it hums = hum_and_noise; hears near stations only"
  hisspoint job set rf_pad_db 10
  hisspoint job set tested today --round as_found
  hisspoint job set tests.hum_and_noise.limit "at least 40 dB"
  hisspoint job set measured_volts 1.2 --file strong.wav`,
		Args: wantWords(2, "a key and its value"),
		RunE: func(_ *cobra.Command, args []string) error {
			args[1] = plainMinus(args[1])
			if file != "" {
				return a.setOfFile(name, round, filepath.ToSlash(file), args[0], args[1])
			}
			key, err := wholeKey(args[0], name, round)
			if err != nil {
				return err
			}
			if how := otherWay(key); how != "" {
				return fmt.Errorf("%s: is not a single value; %s", args[0], how)
			}
			args[1] = dated(key, withoutUnit(key, args[1]))
			err = jobfile.Edit(name, a.command, func(l *jobfile.Lines) error {
				switch key {
				case "limits":
					return l.SetList(key, namesIn(args[1]))
				case "complaints":
					return l.SetComplaints(complaintsIn(strings.Split(args[1], ";")))
				}
				if strings.HasSuffix(key, ".conditions.rf_pad_db") {
					if err := movePlanned(l, name, key, args[1]); err != nil {
						return err
					}
				}
				return l.Set(key, args[1])
			})
			if err == nil {
				a.wroteKey(name, key, args[1])
				return nil
			}
			if home := homeOf(key); home != "" && errors.Is(err, jobfile.ErrOtherPlace) {
				last := key[strings.LastIndexByte(key, '.')+1:]
				return fmt.Errorf("%s belongs to %s: hisspoint job set %s %s", last, home, last, quoted(args[1]))
			}
			if number := leadingNumber.FindString(args[1]); number != "" && errors.Is(err, yamlfile.ErrNotPlain) {
				text, rest, _ := strings.Cut(err.Error(), ";")
				return fmt.Errorf("%s: hisspoint job set %s %s;%s", text, args[0], number, rest)
			}
			return err
		},
	}
	c.Flags().StringVar(&file, "file", "", "`recording` whose entry is set, as the job names it")
	jobFlag(c, &name)
	roundFlag(c, &round)
	a.writtenFlag(c)
	return c
}

var leadingNumber = regexp.MustCompile(`^[-+]?[0-9]+(?:[.,][0-9]+)?`)

// unitOf is the unit that a key has in its name.
var unitOf = map[string]string{"_db": "db", "_volts": "v", "_ohms": "ohm", "_mhz": "mhz", "_hz": "hz", "_percent": "%"}

// withoutUnit takes the unit off a figure that the key's name states already.
func withoutUnit(key, value string) string {
	number := leadingNumber.FindString(value)
	for ending, u := range unitOf {
		rest := strings.ToLower(strings.TrimSpace(value[len(number):]))
		if number != "" && strings.HasSuffix(key, ending) && (rest == u || rest == u+"s" || u == "ohm" && (rest == "\u03c9" || rest == "\u2126")) {
			return number
		}
	}
	return value
}

// recordingKeys are the keys of one recording.
var recordingKeys = []string{job.KeyFrom, job.KeyTo, job.KeyVolts, job.AxisLevel, job.AxisTone, job.AxisOffset, job.AxisVolume, job.AxisInput, job.KeyPart}

// setOfFile sets a key of the recording with a file.
func (a *app) setOfFile(name, round, file, key, value string) error {
	if !slices.Contains(recordingKeys, key) {
		return fmt.Errorf("%s: is no entry of a recording; there are %s", key, strings.Join(recordingKeys, ", "))
	}
	if round != "" {
		var err error
		if round, err = roundNamed(round, name); err != nil {
			return err
		}
	}
	err := jobfile.Edit(name, a.command, func(l *jobfile.Lines) error { return l.SetOfFile(round, file, key, value) })
	if key == job.KeyFrom && errors.Is(err, jobfile.ErrNeedsTo) {
		return fmt.Errorf("from: needs to; set that first, as hisspoint job set to 8 --file %s", file)
	}
	if err == nil {
		a.wrote(name, round, file, key, value)
	}
	return err
}

// otherWay is how an entry is changed that is not a single value, "" for one that
// does not.
func otherWay(key string) string {
	path := strings.Split(key, ".")
	switch last := path[len(path)-1]; last {
	case "work":
		return "add a line with hisspoint job note \"...\""
	case "parts":
		return "add one with hisspoint job part REF --fitted \"...\""
	case "set":
		return "set what is below it, as hisspoint job set description \"...\""
	case "equipment":
		return "the shop's is kept with hisspoint job shop"
	case "meter_readings", "checks", "not_measured":
		return "use hisspoint job reading"
	case "recordings":
		return "use hisspoint job add, or hisspoint job set KEY VALUE --file FILE"
	case "tests":
		return "name one, as tests.distortion.limit, or add one with hisspoint job add FILE --test KIND"
	case "rounds", "as_found", "as_left", "conditions":
		return "set what is below it, as hisspoint job set tested 2026-11-02"
	}
	return ""
}

// keysOf are the keys that may be given without what they stand below.
var keysOf = map[string][]string{
	"set":        {"description", "maker", "model", "serial", "mode"},
	"conditions": {"rf_mhz", "channel", "supply_volts", "temperature_c", "level_kind", "rf_pad_db", "rf_pad_uncertainty_db", "audio_pad_db", "input_gain", "source", "load", "load_ohms", "load_uncertainty_percent", "reconnect_uncertainty_db", "mains_hz", "controls", "s9"},
}

// complaintsIn are complaints as they are typed: "it hums = hum_and_noise, squelch".
func complaintsIn(texts []string) (all []job.Complaint) {
	for _, text := range texts {
		reported, tests, _ := strings.Cut(text, "=")
		c := job.Complaint{Reported: strings.TrimSpace(reported)}
		for _, t := range strings.Split(tests, ",") {
			if t = strings.TrimSpace(t); t != "" {
				c.Tests = append(c.Tests, t)
			}
		}
		if c.Reported != "" {
			all = append(all, c)
		}
	}
	return all
}

// homeOf is where a key below a test belongs instead, "" if that is not known.
func homeOf(key string) string {
	path := strings.Split(key, ".")
	if !slices.Contains(path, "tests") {
		return ""
	}
	for parent, text := range map[string]string{"set": "the set", "conditions": "the conditions of a round"} {
		if slices.Contains(keysOf[parent], path[len(path)-1]) {
			return text
		}
	}
	return ""
}

// quoted is a value as it is typed on a command line.
func quoted(value string) string {
	if value == "" || strings.ContainsAny(value, " \"'*?$;&|<>()") {
		return fmt.Sprintf("%q", value)
	}
	return value
}

// wroteKey says what was set, a key of a round without what leads to it.
func (a *app) wroteKey(jobName, key, value string) {
	round := ""
	if rest, of := strings.CutPrefix(key, "rounds."); of {
		if r, below, deeper := strings.Cut(rest, "."); deeper && (r == job.AsFound || r == job.AsLeft) {
			round, key = r, below
		}
	}
	a.wrote(jobName, round, key, value, "")
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

// movePlanned moves the levels that a round has planned, so that they stay what they
// are at the set behind another pad.
func movePlanned(l *jobfile.Lines, name, key, pad string) error {
	dB, err := unit.ParseNumber(pad)
	if err != nil {
		return nil // what is wrong with it is said when it is set
	}
	j, err := jobfile.Load(name)
	if err != nil {
		return err
	}
	roundName := strings.Split(key, ".")[1]
	r := j.Round(roundName)
	if r == nil {
		return nil
	}
	return l.MoveLevels(roundName, r, func(text string) string { return unit.Moved(text, dB-r.Conditions.RFPadDB) })
}
