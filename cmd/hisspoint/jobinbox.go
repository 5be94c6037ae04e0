package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"golang.org/x/term"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/plan"
)

// sortIn puts all recordings in their places whose names tell, and lists the others
// with its best guess: on a terminal as a list that can be corrected, else as commands.
func (a *app) sortIn(files []string, f jobAddFlags) error {
	j, err := jobfile.Load(f.job)
	if err != nil {
		return err
	}
	byRound := map[string][]string{}
	for _, file := range files {
		round := f.round
		if round == "" {
			round = plan.RoundInName(file)
		}
		if round, err = roundIn(round, j); err != nil {
			return err
		}
		byRound[round] = append(byRound[round], file)
	}
	left, added := false, false
	for _, round := range []string{job.AsFound, job.AsLeft} {
		if len(byRound[round]) == 0 {
			continue
		}
		f.round = round
		guesses, some, err := a.sortInto(byRound[round], f)
		if err != nil {
			return err
		}
		if len(files) == 1 && len(guesses) == 1 && guesses[0].Test == "" { // one error is said as one
			return fmt.Errorf("%s: %s", files[0], guesses[0].Why)
		}
		guesses, err = a.sortOut(guesses, f)
		if err != nil {
			return err
		}
		left, added = left || len(guesses) > 0, added || some
	}
	switch {
	case left && !added:
		return outcome(exitTrouble)
	case left:
		return outcome(exitUndecided)
	}
	return nil
}

// sortInto adds to one round what can be added, and guesses where the rest belongs.
func (a *app) sortInto(files []string, f jobAddFlags) (guesses []plan.Guess, added bool, err error) {
	j, err := jobfile.Load(f.job)
	if err != nil {
		return nil, false, err
	}
	round, made, err := roundToFill(j, f.round)
	if err != nil {
		return nil, false, err
	}
	placed, rest := plan.Sort(a.runner(), j, round, files)
	wrong := map[string]string{}
	if len(placed) > 0 {
		wrong, err = a.addSorted(j, round, placed, f, made)
		if err != nil {
			return nil, false, err
		}
		added = len(wrong) < len(placed)
	}
	var open []string
	for _, file := range files {
		if _, is := rest[file]; is {
			open = append(open, file)
		}
	}
	if j, err = jobfile.Load(f.job); err != nil {
		return nil, false, err
	}
	if round, _, err = roundToFill(j, f.round); err != nil {
		return nil, false, err
	}
	guesses = plan.Guesses(a.runner(), j, round, open)
	for i, g := range guesses {
		if g.Test == "" && g.Why == "" {
			g.Why = rest[g.File].Error()
		}
		guesses[i].Why = strings.TrimPrefix(g.Why, g.File+": ")
	}
	for _, p := range placed {
		if why := wrong[p.File]; why != "" {
			guesses = append(guesses, plan.Guess{File: p.File, Why: strings.TrimPrefix(why, p.File+": ") + "; nothing was added (--anyway adds it)"})
		}
	}
	return guesses, added, nil
}

// addSorted adds recordings whose places are known, but for those that cannot be what
// they were put in the place of; those it says.
func (a *app) addSorted(j *job.Job, round *job.Round, placed []plan.Placed, f jobAddFlags, made bool) (map[string]string, error) {
	readings, err := plan.Added(a.runner(), j, round, placed)
	if err != nil {
		return nil, err
	}
	wrong, mixed := map[string]string{}, map[int]string{}
	for _, r := range readings {
		if f.anyway {
			break
		}
		if r.Wrong != "" {
			wrong[r.File] = r.Wrong
		}
		if r.Falls != "" {
			mixed[r.Test] = r.Falls
		}
	}
	for _, p := range placed { // which of the test's recordings is mixed up nobody knows
		if why := mixed[p.Test]; why != "" && wrong[p.File] == "" {
			wrong[p.File] = why
		}
	}
	if err := a.showAdded(slices.DeleteFunc(readings, func(r plan.AddedReading) bool { return wrong[r.File] != "" }), f.anyway); err != nil {
		return nil, err
	}
	good := slices.DeleteFunc(slices.Clone(placed), func(p plan.Placed) bool { return wrong[p.File] != "" })
	if len(good) == 0 {
		return wrong, nil
	}
	return wrong, jobfile.Edit(f.job, a.command, func(l *jobfile.Lines) error {
		if made {
			if err := l.AddRound(f.round, round); err != nil {
				return err
			}
		}
		if err := putRecordings(l, f.round, round, good); err != nil {
			return err
		}
		for _, p := range good {
			if err := keepIdentity(l, j.Dir, p.File); err != nil {
				return err
			}
		}
		return levelsChecked(l, f, readings)
	})
}

// sortOut deals with what is left: on a terminal the list is asked about once, else the
// commands are printed. What nobody placed is given back.
func (a *app) sortOut(guesses []plan.Guess, f jobAddFlags) ([]plan.Guess, error) {
	if len(guesses) == 0 {
		return nil, nil
	}
	in, terminal := a.stdin.(*os.File)
	if !terminal || !term.IsTerminal(int(in.Fd())) {
		a.sayLeft(guesses, f)
		return guesses, nil
	}
	if err := a.paint.Flush(); err != nil {
		return nil, err
	}
	chosen := corrected(guesses, bufio.NewReader(a.stdin), a.stderr)
	var left []plan.Guess
	for _, g := range chosen {
		if g.Test == "" || g.Needs != "" && g.Place == "" {
			left = append(left, g)
			continue
		}
		one := f
		one.test, one.places = g.Test, g.Place
		if err := a.jobAddTo([]string{g.File}, one); err != nil {
			a.complain(err)
			left = append(left, g)
		}
	}
	return left, nil
}

// sayLeft lists recordings that nothing places for sure, with the commands that do.
func (a *app) sayLeft(guesses []plan.Guess, f jobAddFlags) {
	for _, g := range guesses {
		lead := "  not added: " + g.File + ": "
		fmt.Fprintln(a.stdout, folded(lead[:2], strings.TrimSpace(lead)+" "+g.Why))
		job := ""
		if f.job != "." {
			job = " --job" + elsewhere(f.job)
		}
		word := "then: "
		if g.Test != "" {
			word = "best guess: "
		}
		fmt.Fprintln(a.stdout, folded("    "+word, g.Command(f.round)+job))
	}
}

// corrected asks about a list of guesses until it is taken as it stands.
func corrected(guesses []plan.Guess, in *bufio.Reader, out io.Writer) []plan.Guess {
	for {
		for i, g := range guesses {
			where := g.Label
			switch {
			case g.Test == "":
				where = "left out"
			case g.Place != "":
				where += ", " + g.Place
			case g.Needs != "":
				where += ", " + g.Needs + "?"
			}
			fmt.Fprintln(out, folded(fmt.Sprintf("%3d  ", i+1), fmt.Sprintf("%s: %s (%s)", g.File, where, g.Why)))
		}
		fmt.Fprint(out, "Enter adds them so. To correct one: its number, test and place, as 2 sensitivity 0.5 uV; 2 - leaves it out; q adds none: ")
		line, err := in.ReadString('\n')
		line = strings.TrimSpace(line)
		switch {
		case line == "" && err == nil:
			return guesses
		case line == "q" || err != nil:
			for i := range guesses {
				guesses[i].Test = ""
			}
			return guesses
		}
		if err := correct(guesses, line); err != nil {
			fmt.Fprintln(out, folded("  ", err.Error()))
		}
	}
}

// correct takes one line of correction: a number, a test and a place.
func correct(guesses []plan.Guess, line string) error {
	number, rest, _ := strings.Cut(line, " ")
	n, err := strconv.Atoi(number)
	if err != nil || n < 1 || n > len(guesses) {
		return fmt.Errorf("%q is not a number from 1 to %d", number, len(guesses))
	}
	g := &guesses[n-1]
	rest = strings.TrimSpace(rest)
	if rest == "-" {
		g.Test, g.Why = "", "left out"
		return nil
	}
	words := strings.Fields(rest)
	for take := len(words); take > 0; take-- {
		which := strings.Join(words[:take], " ")
		k, ok := job.KindCalled(which)
		if !ok {
			continue
		}
		g.Test, g.Label, g.Place, g.Why, g.Needs = k.Name, k.Title, strings.Join(words[take:], " "), "as you said", ""
		return nil
	}
	var names []string
	for _, k := range job.Kinds() {
		names = append(names, k.Title)
	}
	if guess := nearest(rest, names); guess != "" {
		return fmt.Errorf("%q is no kind of test; did you mean %q?", rest, guess)
	}
	if g.Test != "" && rest != "" { // its place alone
		g.Place = rest
		return nil
	}
	return errors.New("say the test, as " + number + " sensitivity 0.5 uV; there are " + strings.Join(names, ", "))
}

// whatLies are the recordings in a job's folder that the job does not have yet.
func whatLies(j *job.Job) []string {
	used := map[string]bool{}
	for _, r := range j.Rounds() {
		for _, t := range r.Tests {
			for _, f := range t.Files() {
				used[f] = true
			}
		}
	}
	var out []string
	_ = fs.WalkDir(os.DirFS(j.Dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			if d != nil && d.IsDir() && name != "." {
				return fs.SkipDir
			}
			return nil
		}
		sound, _ := plan.Recordings([]string{name})
		if len(sound) == 1 && filepath.Ext(name) != "" && !used[name] && name != "card.wav" {
			out = append(out, name)
		}
		return nil
	})
	return out
}
