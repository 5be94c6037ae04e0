package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/plan"
	"hisspoint/cmd/internal/run"
)

func (a *app) jobUndoCommand() *cobra.Command {
	var name string
	var anyway, list bool
	c := &cobra.Command{
		Use: "undo", Short: "Takes back the last command that changed the job",
		Long: `Takes back the last command that changed the job's file, one with each call, and says
which that was. Recordings are files, and stay. Behind it stands a journal beside the
job, ` + jobfile.JournalName + `. What was changed with an editor since is not lost: --anyway says that it may be.`,
		Example: "  hisspoint job undo\n  hisspoint job undo --list",
		Args:    noArguments,
		RunE: func(*cobra.Command, []string) error {
			if list {
				return a.listChanges(name)
			}
			taken, err := jobfile.Undo(name, anyway)
			if err == nil {
				fmt.Fprintln(a.stdout, folded("  taken back: ", taken.Command))
			}
			return err
		},
	}
	c.Flags().BoolVar(&anyway, "anyway", false, "take it back though the file was changed by other means since")
	c.Flags().BoolVar(&list, "list", false, "list what can be taken back, the last first")
	jobFlag(c, &name)
	return c
}

func (a *app) listChanges(name string) error {
	j, err := jobfile.Load(name)
	if err != nil {
		return err
	}
	changes, err := jobfile.Journal(filepath.Join(j.Dir, jobfile.Name))
	slices.Reverse(changes)
	for _, c := range changes {
		fmt.Fprintln(a.stdout, folded("  "+c.At.Format("2006-01-02 15:04")+"  ", c.Command))
	}
	return err
}

// thing is an entry of a job that can be taken out.
type thing struct {
	kind, name, round string // what it is, as job remove is told
	path              []string
}

// thingKinds are the words for what can be taken out.
var thingKinds = []string{"recording", "test", "reading", "check", "not-measured", "part", "note", "complaint", "equipment", "round"}

// things are all entries of a job that can be taken out.
func things(j *job.Job) []thing {
	var out []thing
	add := func(kind, name, round string, path ...string) { out = append(out, thing{kind, name, round, path}) }
	for i, p := range j.Parts {
		add("part", p.Ref, "", "parts", strconv.Itoa(i))
	}
	for i, text := range j.Work {
		add("note", text, "", "work", strconv.Itoa(i))
	}
	for i, c := range j.Complaints {
		add("complaint", c.Reported, "", "complaints", strconv.Itoa(i))
	}
	for i, e := range j.Equipment {
		add("equipment", e.What, "", "equipment", strconv.Itoa(i))
	}
	for name, r := range j.Rounds() {
		add("round", name, name, "rounds", name)
		for i, t := range r.Tests {
			add("test", plan.TypedTest(t), name, "rounds", name, "tests", strconv.Itoa(i))
			for _, file := range t.Files() {
				add("recording", file, name)
			}
		}
		for i, m := range r.MeterReadings {
			add("reading", m.What, name, "rounds", name, "meter_readings", strconv.Itoa(i))
		}
		for i, k := range r.Checks {
			add("check", k.What, name, "rounds", name, "checks", strconv.Itoa(i))
		}
		for i, n := range r.NotMeasured {
			add("not-measured", n.What, name, "rounds", name, "not_measured", strconv.Itoa(i))
		}
	}
	return out
}

// called tells whether a person's word means an entry.
func (t thing) called(what string) bool {
	if t.kind == "recording" {
		return t.name == filepath.ToSlash(what)
	}
	same := func(s string) string {
		return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == '_' || r == '-' }), " ")
	}
	if same(t.name) == same(what) {
		return true
	}
	k, ok := job.KindOf(t.name)
	return t.kind == "test" && ok && same(k.Title) == same(what)
}

func (a *app) jobRemoveCommand() *cobra.Command {
	var name, round string
	c := &cobra.Command{
		Use: "remove [KIND] WHAT", Short: "Takes an entry out of the job",
		Long: `Takes an entry out: a recording by its file (which stays in the folder), a test, a meter
reading, a check, a part, a note, a complaint, an instrument or a round. KIND is needed where
two entries have one name: ` + strings.Join(thingKinds, ", ") + `. hisspoint job undo puts it back.`,
		Example: "  hisspoint job remove 1uV.wav\n  hisspoint job remove \"carrier power\"\n  hisspoint job remove part C31\n  hisspoint job remove test distortion --round as_found",
		Args:    cobra.RangeArgs(1, 2),
		RunE: func(_ *cobra.Command, args []string) error {
			kind, what := "", args[len(args)-1]
			if len(args) == 2 {
				kind = args[0]
				if !slices.Contains(thingKinds, kind) {
					return fmt.Errorf("%s: is none of %s", kind, strings.Join(thingKinds, ", "))
				}
			}
			return a.jobRemove(name, round, kind, what)
		},
	}
	jobFlag(c, &name)
	roundFlag(c, &round)
	a.writtenFlag(c)
	return c
}

func (a *app) jobRemove(name, round, kind, what string) error {
	one, err := a.find(name, round, kind, what)
	if err != nil {
		return err
	}
	if err := jobfile.Edit(name, a.command, func(l *jobfile.Lines) error {
		if one.kind == "recording" {
			if err := l.RemoveFile(one.round, one.name); err != nil {
				return err
			}
			return l.Forget(one.name)
		}
		return l.Remove(one.path...)
	}); err != nil {
		return err
	}
	a.wrote(name, one.round, "taken out", one.kind, one.name)
	return nil
}

// find is the one entry that a person means. In two rounds it is that of the newest.
func (a *app) find(name, round, kind, what string) (thing, error) {
	j, err := jobfile.Load(name)
	if err != nil {
		return thing{}, err
	}
	if round != "" {
		if round, err = roundIn(round, j); err != nil {
			return thing{}, err
		}
	}
	var fits []thing
	var names []string
	for _, t := range things(j) {
		if round != "" && t.round != "" && t.round != round || kind != "" && t.kind != kind {
			continue
		}
		if t.called(what) {
			fits = append(fits, t)
		}
		names = append(names, t.name)
	}
	switch {
	case len(fits) == 0:
		if guess := nearest(what, names); guess != "" {
			return thing{}, fmt.Errorf("%s: is not in the job; did you mean %q?", what, guess)
		}
		return thing{}, fmt.Errorf("%s: is not in the job; hisspoint job check names what is", what)
	case len(fits) > 1 && fits[0].kind != fits[len(fits)-1].kind:
		return thing{}, fmt.Errorf("%s: is a %s and a %s; say which, as hisspoint job remove %s %s", what, fits[0].kind, fits[len(fits)-1].kind, fits[0].kind, quoted(what))
	case len(fits) > 1 && fits[0].round != fits[len(fits)-1].round:
		return thing{}, fmt.Errorf("%s: is in both rounds; say which with --round", what)
	}
	return fits[len(fits)-1], nil
}

func (a *app) jobReplaceCommand() *cobra.Command {
	var name string
	c := &cobra.Command{
		Use: "replace OLD NEW", Short: "Puts another recording in the place of one",
		Long:    "Puts another recording in the place of a spoiled one, wherever the job has it. The old\nfile stays in the folder. With one name twice it says that the file as it is now, or that is\nthe same sound as another, was meant.",
		Example: "  hisspoint job replace 1uV.wav \"1uV again.wav\"",
		Args:    wantWords(2, "the recording that the job has, and the one that takes its place"),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.jobReplace(name, args[0], args[1])
		},
	}
	jobFlag(c, &name)
	a.writtenFlag(c)
	return c
}

func (a *app) jobReplace(name, old, fresh string) error {
	j, err := jobfile.Load(name)
	if err != nil {
		return err
	}
	files, err := inFolder([]string{fresh}, j.Dir)
	if err != nil {
		return err
	}
	if len(files) != 1 {
		return errors.New(fresh + ": is more than one file; name the one that takes the place of " + old)
	}
	record := a.runner()
	record.Dir = j.Dir
	if r := record.MeasureFile(files[0], job.Reading{}, run.Use{})[0]; r.Error != "" {
		return fmt.Errorf("%s: %s", files[0], r.Error)
	}
	old = filepath.ToSlash(old)
	if err := jobfile.Edit(name, a.command, func(l *jobfile.Lines) error {
		k, err := jobfile.Identity(j.Dir, files[0])
		if err != nil {
			return err
		}
		k.Meant = old == files[0] // it stays, and somebody has looked at it
		if err := l.Keep(k); err != nil {
			return err
		}
		if err := l.ReplaceFile(old, files[0]); err != nil {
			return err
		}
		return l.Forget(old)
	}); err != nil {
		return err
	}
	a.wrote(name, "", old+" gave way to", files[0], "")
	return nil
}

type jobMoveFlags struct{ job, round, to, test, place string }

func (a *app) jobMoveCommand() *cobra.Command {
	var f jobMoveFlags
	c := &cobra.Command{
		Use: "move FILE", Short: "Puts a recording in another place",
		Long:    "Puts a recording that the job has in another place: another level (tone, offset, volume,\ninput, part), another test, another round. What is not said stays.",
		Example: "  hisspoint job move 1uV.wav --place \"2 uV\"\n  hisspoint job move hum.wav --test distortion\n  hisspoint job move 1uV.wav --to as_left",
		Args:    wantWords(1, "the recording, as the job names it"),
		RunE:    func(_ *cobra.Command, args []string) error { return a.jobMove(filepath.ToSlash(args[0]), f) },
	}
	c.Flags().StringVar(&f.place, "place", "", "`level`, tone, offset, volume, input or part that it is of")
	c.Flags().StringVar(&f.test, "test", "", "`kind` of the test it belongs to, or kind:name")
	c.Flags().StringVar(&f.to, "to", "", "`round` it belongs to")
	jobFlag(c, &f.job)
	roundFlag(c, &f.round)
	a.writtenFlag(c)
	return c
}

func (a *app) jobMove(file string, f jobMoveFlags) error {
	one, err := a.find(f.job, f.round, "recording", file)
	if err != nil {
		return err
	}
	j, err := jobfile.Load(f.job)
	if err != nil {
		return err
	}
	from, to := j.Round(one.round), one.round
	if f.to != "" {
		if to, err = roundIn(f.to, j); err != nil {
			return err
		}
	}
	if f.test == "" {
		i := slices.IndexFunc(from.Tests, func(t job.Test) bool { return slices.Contains(t.Files(), file) })
		f.test = plan.TypedTest(from.Tests[i])
		for _, k := range from.Tests[i].AllTakes() {
			if kind, _ := job.KindOf(from.Tests[i].Kind); f.place == "" && k.File == file && !from.Tests[i].OneFile() {
				f.place = kind.Place(k)
			}
		}
	}
	asked := plan.Asked{Test: f.test}
	if f.place != "" {
		asked.Places = []string{f.place}
	}
	if err := jobfile.Edit(f.job, a.command, func(l *jobfile.Lines) error {
		if err := l.RemoveFile(one.round, file); err != nil {
			return err
		}
		return a.placeAnew(l, j, to, file, asked)
	}); err != nil {
		return err
	}
	a.wrote(f.job, to, f.test, file, f.place)
	return nil
}

// placeAnew puts a recording into a round of the job as its lines are now. A round or a
// test that is not there yet is made.
func (a *app) placeAnew(l *jobfile.Lines, j *job.Job, to, file string, asked plan.Asked) error {
	now, err := l.Job()
	if err != nil {
		return err
	}
	now.Dir, now.Shop, now.Profiles = j.Dir, j.Shop, j.Profiles
	round, made, err := roundToFill(now, to)
	if err != nil {
		return err
	}
	if made {
		if err := l.AddRound(to, round); err != nil {
			return err
		}
	}
	if plan.FindTest(round, asked.Test) < 0 {
		extra, err := newTest(asked.Test, round.Conditions.LevelKind)
		if err != nil {
			return err
		}
		round.Tests = append(round.Tests, *extra)
		if err := l.AddTest(to, *extra); err != nil {
			return err
		}
	}
	placed, err := plan.Place(round, []string{file}, asked)
	if err != nil {
		return err
	}
	return putRecordings(l, to, round, placed)
}
