package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"hisspoint/capture/jobfile/yamlfile"
)

// checkCommand refuses a first word that is no command, with the nearest one.
func checkCommand(root *cobra.Command, word string) error {
	names := []string{"help", "completion", "manual", "__complete", "__completeNoDesc"}
	for _, c := range root.Commands() {
		if !c.Hidden {
			names = append(names, c.Name())
		}
	}
	if slices.Contains(names, word) {
		return nil
	}
	if info, err := os.Stat(word); err == nil && !info.IsDir() {
		return fmt.Errorf("%s: is a file, not a command; to measure it: hisspoint measure %s", filepath.ToSlash(word), filepath.ToSlash(word))
	}
	if guess := nearest(word, names); guess != "" {
		return fmt.Errorf("unknown command %q; did you mean %q?", word, guess)
	}
	return fmt.Errorf("unknown command %q; see hisspoint --help", word)
}

// flagError says what is wrong with a flag, with the nearest one there is.
func flagError(c *cobra.Command, err error) error {
	var unknown *pflag.NotExistError
	var value *pflag.InvalidValueError
	switch {
	case errors.As(err, &value):
		return fmt.Errorf("--%s: %q %s; see %s --help", value.GetFlag().Name, value.GetValue(), notOf(value.GetFlag().Value.Type()), c.CommandPath())
	case !errors.As(err, &unknown):
		return fmt.Errorf("%w; see %s --help", err, c.CommandPath())
	}
	name := unknown.GetSpecifiedName()
	if short := unknown.GetSpecifiedShortnames(); short != "" {
		return fmt.Errorf("unknown flag -%s; see %s --help (put ./ before a file whose name begins with -)", short, c.CommandPath())
	}
	var names []string
	c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	if guess := nearest(name, names); guess != "" {
		return fmt.Errorf("unknown flag --%s; did you mean --%s?", name, guess)
	}
	return fmt.Errorf("unknown flag --%s; see %s --help", name, c.CommandPath())
}

// notOf says what a value is not that a flag of a type does not take.
func notOf(kind string) string {
	switch kind {
	case "bool":
		return "is neither true nor false"
	case "int":
		return "is not a whole number in figures alone, without k or a unit"
	case "float64":
		return "is not a number in figures alone, without a unit"
	}
	return "is no value for it"
}

// nearest is the candidate that takes the fewest edits, if they are few enough
// to be a slip of the finger, or one that the word begins.
func nearest(word string, candidates []string) string {
	best, least := "", max(1, len(word)/3)+1
	for _, c := range candidates {
		d := yamlfile.Edits(strings.ToLower(word), c, least)
		if len(word) >= 3 && strings.HasPrefix(c, strings.ToLower(word)) {
			d = 1
		}
		if swapped(strings.ToLower(word), c) {
			d = 1
		}
		if d < least {
			best, least = c, d
		}
	}
	return best
}

// swapped tells whether two neighbouring letters changed places.
func swapped(a, b string) bool {
	for i := 0; i+1 < len(a) && len(a) == len(b); i++ {
		if a[i] != b[i] {
			return a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
		}
	}
	return false
}

// filesNotFlags puts ./ before words that begin with - and are names of files
// that exist: recordings named by level, as in -119dBm.wav, are common.
func filesNotFlags(args []string) []string {
	out := slices.Clone(args)
	for i, arg := range out {
		if arg == "--" {
			break
		}
		if len(arg) > 1 && arg[0] == '-' && arg[1] != '-' {
			if info, err := os.Lstat(arg); err == nil && !info.IsDir() {
				out[i] = "./" + arg
			}
		}
	}
	return out
}

// minus is U+2212. A figure below zero, as -62 dBc, is given it in the place of its
// hyphen while flags are read, since no flag begins with a digit.
const minus = "\u2212"

// numbersNotFlags lets figures below zero through behind job set and job reading.
func numbersNotFlags(args []string) []string {
	if len(args) < 2 || args[0] != "job" || args[1] != "set" && args[1] != "reading" {
		return args
	}
	out := slices.Clone(args)
	for i, arg := range out {
		if len(arg) > 1 && arg[0] == '-' && (arg[1] >= '0' && arg[1] <= '9' || arg[1] == '.') {
			out[i] = minus + arg[1:]
		}
	}
	return out
}

// plainMinus takes back what numbersNotFlags has done.
func plainMinus(text string) string {
	if rest, ok := strings.CutPrefix(text, minus); ok {
		return "-" + rest
	}
	return text
}

// expand turns wildcards into the files they stand for, where the shell has
// not. A file that is really named so is taken as it is.
func expand(args []string) ([]string, error) {
	var files []string
	for _, arg := range args {
		if arg == "" {
			return nil, errors.New("the name of a file is empty; check the quotes")
		}
		if !strings.ContainsAny(arg, "*?[") {
			files = append(files, arg)
			continue
		}
		if _, err := os.Lstat(arg); err == nil {
			files = append(files, arg)
			continue
		}
		found, err := filepath.Glob(arg)
		if err != nil {
			return nil, fmt.Errorf("%s: is no wildcard that can be read: a [ has no ]", filepath.ToSlash(arg))
		}
		if len(found) == 0 {
			return nil, fmt.Errorf("%s: no file fits; check the name and the folder", filepath.ToSlash(arg))
		}
		files = append(files, found...)
	}
	if n := slices.Index(files, "-"); n >= 0 && slices.Index(files[n+1:], "-") >= 0 {
		return nil, errors.New("-: standard input can be read only once; name it once")
	}
	return files, nil
}

// wantFiles refuses a command line without files.
func wantFiles(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return fmt.Errorf("%s: no recording is named; give one or more WAV or FLAC files", c.CommandPath())
	}
	return nil
}

// noArguments refuses words behind a command that takes none.
func noArguments(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return fmt.Errorf("%s: takes no %q; see %s --help", c.CommandPath(), args[0], c.CommandPath())
	}
	return nil
}

// atMostOne refuses a second word behind a command that takes one or none.
func atMostOne(what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) > 1 {
			return fmt.Errorf("%s: takes one %s, and %q is one word too many; put a name with blanks in quotes", c.CommandPath(), what, args[1])
		}
		return nil
	}
}

// refill sets the long texts of a command and of those below it in lines of 80
// characters. Lines that begin with a space stay as they are.
func refill(c *cobra.Command) {
	var out []string
	line := ""
	end := func() {
		if line != "" {
			out = append(out, line)
		}
		line = ""
	}
	for _, l := range strings.Split(c.Long, "\n") {
		if l == "" || l[0] == ' ' {
			end()
			out = append(out, l)
			continue
		}
		for _, word := range strings.Fields(l) {
			if line != "" && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > 80 {
				end()
			}
			line = strings.TrimPrefix(line+" "+word, " ")
		}
	}
	end()
	c.Long = strings.Join(out, "\n")
	for _, sub := range c.Commands() {
		refill(sub)
	}
}
