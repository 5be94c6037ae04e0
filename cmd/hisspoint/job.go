package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/check"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports"
	"hisspoint/reports/doc/say"
)

func (a *app) jobCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "job",
		Short: "Creates a job and fills it in, without an editor",
		Long: `Creates a job file and fills it in. What a person typed into it stays
as it is, comments too: each command edits its own lines only. All take the job
of the folder they are run in; --job names another, and so does its folder as the first
word behind the command: hisspoint job check 0417.`,
		Example: "  hisspoint job new\n  hisspoint job add *.wav\n  hisspoint job check",
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return c.Help()
			}
			var names []string
			for _, sub := range c.Commands() {
				names = append(names, sub.Name())
			}
			if guess := nearest(args[0], names); guess != "" {
				return fmt.Errorf("unknown command %q; did you mean %q?", "job "+args[0], "job "+guess)
			}
			return fmt.Errorf("unknown command %q; see hisspoint job --help", "job "+args[0])
		},
	}
	c.AddCommand(a.jobNewCommand(), a.jobAddCommand(), a.jobSetCommand(), a.jobPartCommand(), a.jobNoteCommand(), a.jobShopCommand(), a.jobReadingCommand(), a.jobCheckCommand(), a.jobRemoveCommand(), a.jobMoveCommand(), a.jobReplaceCommand(), a.jobUndoCommand(), a.jobSchemaCommand())
	return c
}

// jobFlag is the flag by which the job commands are told which job.
func jobFlag(c *cobra.Command, into *string) {
	c.Flags().StringVar(into, "job", ".", "`folder` of the job, or its file")
}

// roundFlag is the flag by which they are told which round.
func roundFlag(c *cobra.Command, into *string) {
	c.Flags().StringVar(into, "round", "", "`round`: as_found or as_left (default: the newest that there is)")
}

// roundIn checks a round's name; without one it is the job's newest.
func roundIn(name string, j *job.Job) (string, error) {
	switch n := strings.ReplaceAll(strings.ToLower(name), "-", "_"); n {
	case reports.AsFound, reports.AsLeft:
		return n, nil
	case "":
		if j.AsLeft != nil {
			return reports.AsLeft, nil
		}
		return reports.AsFound, nil
	}
	return "", fmt.Errorf("--round: %q is neither as_found nor as_left", name)
}

// roundNamed is roundIn of a job that is not loaded yet.
func roundNamed(name, jobName string) (string, error) {
	j, err := jobfile.Load(jobName)
	if err != nil {
		return "", err
	}
	return roundIn(name, j)
}

func wantWords(n int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		if len(args) != n {
			return fmt.Errorf("%s: takes %s; see %s --help", c.CommandPath(), what, c.CommandPath())
		}
		return nil
	}
}

// writtenFlag keeps wrote from saying anything.
func (a *app) writtenFlag(c *cobra.Command) {
	c.Flags().BoolVar(&a.quiet, "quiet", false, "do not say what was written")
}

// wrote says what was written, and where: the list or key, the round if it is of
// one, and the job if it is not that of the folder.
func (a *app) wrote(jobName, round, where, what, value string) {
	if a.quiet {
		return
	}
	if round != "" {
		where = strings.ToLower(say.Round(round)) + ", " + where
	}
	if jobName != "." {
		where = filepath.ToSlash(jobName) + ", " + where
	}
	for _, more := range []string{what, value} {
		if more != "" {
			where += ": " + more
		}
	}
	fmt.Fprintln(a.stdout, folded("  written: ", where))
}

func (a *app) jobPartCommand() *cobra.Command {
	var name, fitted, removed string
	c := &cobra.Command{
		Use: "part REF...", Short: "Adds parts that were replaced",
		Long:    "Adds parts that were replaced; several, or a range, share what was fitted and removed.",
		Example: "  hisspoint job part C31 --fitted \"47 µF 25 V, new\" --removed \"47 µF 16 V, open circuit\"\n  hisspoint job part C76 C102-C105 --fitted \"220 µF 16 V\" --removed \"220 µF 10 V\"",
		RunE: func(c *cobra.Command, args []string) error {
			refs, err := ranged(args)
			switch {
			case err != nil:
				return err
			case len(refs) == 0:
				return wantWords(1, "the part's reference, as C31")(c, args)
			}
			if err := jobfile.Edit(name, a.command, func(l *jobfile.Lines) error {
				for _, ref := range refs {
					if err := l.Append([]string{"parts"}, jobfile.Flow("ref", ref, "fitted", fitted, "removed", removed)); err != nil {
						return err
					}
				}
				return nil
			}); err != nil {
				return err
			}
			a.wrote(name, "", "parts", strings.Join(refs, ", "), fitted)
			return nil
		},
	}
	c.Flags().StringVar(&fitted, "fitted", "", "`what` was fitted")
	c.Flags().StringVar(&removed, "removed", "", "`what` was taken out")
	jobFlag(c, &name)
	a.writtenFlag(c)
	return c
}

func (a *app) jobNoteCommand() *cobra.Command {
	var name string
	c := &cobra.Command{
		Use: "note TEXT", Short: "Adds a line to the work that was done",
		Example: "  hisspoint job note \"receiver realigned\"",
		Args:    wantWords(1, "one text; put it in quotes"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := jobfile.Edit(name, a.command, func(l *jobfile.Lines) error { return l.Append([]string{"work"}, jobfile.Text(args[0])) }); err != nil {
				return err
			}
			a.wrote(name, "", "work", args[0], "")
			return nil
		},
	}
	jobFlag(c, &name)
	a.writtenFlag(c)
	return c
}

func (a *app) jobCheckCommand() *cobra.Command {
	var name string
	c := &cobra.Command{
		Use: "check", Short: "Says what is still missing or contradictory",
		Long:    "Says what is still missing in a job or contradicts itself, and what to do. The exit\ncode is 2 if there is anything.",
		Example: "  hisspoint job check\n  hisspoint job check --job 0417",
		Args:    noArguments,
		RunE:    func(*cobra.Command, []string) error { return a.jobCheck(name) },
	}
	jobFlag(c, &name)
	return c
}

func (a *app) jobCheck(name string) error {
	j, err := jobfile.Load(name)
	if err != nil {
		return err
	}
	found := check.Job(run.Runner{Version: version()}, j)
	if len(found) == 0 {
		fmt.Fprintf(a.stdout, "Job %s: nothing is missing.\n  next: hisspoint report%s\n", j.ID, elsewhere(name))
		return nil
	}
	fmt.Fprintf(a.stdout, "Job %s:\n", j.ID)
	for _, f := range found {
		where := ""
		if f.Round != "" {
			where = say.Round(f.Round) + ": "
		}
		fmt.Fprintln(a.stdout, folded("  ", where+f.Text))
		next := f.Next
		if strings.Contains(next, "hisspoint job ") && name != "." {
			next += " --job" + elsewhere(name)
		}
		fmt.Fprintln(a.stdout, folded("    next: ", next))
	}
	return outcome(exitUndecided)
}

// folded is a text in lines that fit a terminal, the first behind a lead and the
// others below it.
func folded(lead, text string) string {
	const width = 80
	line, out := lead, ""
	for i, word := range strings.Fields(text) {
		if i > 0 && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			out += line + "\n"
			line = strings.Repeat(" ", utf8.RuneCountInString(lead)) + word
			continue
		}
		if i > 0 {
			line += " "
		}
		line += word
	}
	return out + line
}

// elsewhere names a job in a command that is suggested, if it has to be named.
func elsewhere(name string) string {
	if name == "." {
		return ""
	}
	return " " + filepath.ToSlash(name)
}

func (a *app) jobSchemaCommand() *cobra.Command {
	return &cobra.Command{
		Use: "schema [job|shop|limits|report]", Short: "Prints the JSON Schema of a kind of file",
		Example: "  hisspoint job schema > job.schema.json",
		Args:    atMostOne("kind of file"),
		RunE: func(_ *cobra.Command, args []string) error {
			kind := append(args, "job")[0]
			data, err := reports.JobSchema(), error(nil)
			if kind != "report" {
				data, err = jobfile.Schema(kind)
			}
			if err != nil {
				return err
			}
			_, err = a.stdout.Write(data)
			return err
		},
	}
}

// whatNext is what the bare command says: in a job's folder what the job still
// lacks, elsewhere the help.
func (a *app) whatNext(c *cobra.Command) error {
	if _, err := os.Stat(jobfile.Name); err != nil {
		return c.Help()
	}
	if j, err := jobfile.Load("."); err == nil && len(whatLies(j)) > 0 {
		fmt.Fprintln(a.stdout, folded("  ", fmt.Sprintf("%d recordings lie here that the job does not have yet: hisspoint job add *", len(whatLies(j)))))
	}
	return a.jobCheck(".")
}
