package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"slices"
	"strings"

	"hisspoint/capture/doors/print"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports"

	"github.com/spf13/cobra"
)

// Exit codes.
const (
	exitDone      = 0 // done, and nothing failed
	exitFailed    = 1 // a limit failed
	exitUndecided = 2 // undecided, or a point that was asked for could not be given
	exitTrouble   = 3 // usage error, unreadable input, or a file that could not be written
)

// outcome is an error that carries an exit code and has nothing left to say.
type outcome int

func (o outcome) Error() string { return fmt.Sprintf("exit code %d", int(o)) }

// app is what every command shares.
type app struct {
	stdin  io.Reader
	stdout io.Writer     // marks what is hidden in a text
	stderr io.Writer     // likewise
	paint  *bufio.Writer // standard output for what is harmless already
	errs   io.Writer     // standard error likewise
	screen screen        // of standard output
	json   bool
	quiet  bool

	line    *progressLine // nil: none is shown
	command string        // as it was typed, for a job's journal
}

// memorySlack is how many percent of what is in use may lie unused before it is
// collected, once recordings are measured. Buffers are kept and used again, so a low
// figure costs no time, and an hour of stereo stays under 100 MB. Before,
// the usual slack lets a short command end without any collection.
const memorySlack = 30

// program is the whole of it but for the process around it.
func program(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	a := &app{stdin: stdin, paint: bufio.NewWriterSize(stdout, 1<<16), stderr: print.Writer{W: stderr}, errs: stderr, screen: screenOf(stdout, os.Getenv)}
	a.stdout = print.Writer{W: a.paint}
	a.command = typed(args)
	out := &counter{W: stdout}
	a.paint.Reset(out)
	err := a.execute(numbersNotFlags(filesNotFlags(placeNotFlag(args))))
	if err != nil && !isOutcome(err) && a.paint.Buffered() == 0 && out.N == 0 {
		a.sayNothingCame(args, err)
	}
	if flush := a.paint.Flush(); flush != nil && (err == nil || isOutcome(err)) {
		err = fmt.Errorf("standard output cannot be written: %w", flush)
	}
	var code outcome
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &code):
		return int(code)
	}
	a.complain(err)
	return exitTrouble
}

// sayNothingCame keeps the word of --json, one object whatever happens: the one that says
// why there is no result.
func (a *app) sayNothingCame(args []string, err error) {
	if len(args) == 0 || !slices.Contains(args, "--json") || !slices.Contains(reports.Described(), args[0]) {
		return
	}
	data, marshalled := json.Marshal(reports.Failure{Version: version(), Command: args[0], Errors: []string{oneLine(err.Error())}})
	if marshalled == nil {
		fmt.Fprintln(a.stdout, string(data))
	}
}

// counter counts what goes through it.
type counter struct {
	W io.Writer
	N int
}

func (c *counter) Write(p []byte) (int, error) {
	n, err := c.W.Write(p)
	c.N += n
	return n, err
}

// typed is a command line as it was typed, on one line.
func typed(args []string) string {
	words := []string{"hisspoint"}
	for _, arg := range args {
		words = append(words, quoted(oneLine(arg)))
	}
	return strings.Join(words, " ")
}

func isOutcome(err error) bool {
	var code outcome
	return errors.As(err, &code)
}

func (a *app) execute(args []string) error {
	root := a.root()
	if len(args) > 0 && !strings.HasPrefix(args[0], "-") {
		if err := checkCommand(root, args[0]); err != nil {
			return err
		}
	}
	root.SetArgs(args)
	return root.Execute()
}

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "hisspoint",
		Short: "Measures the audio of two-way radios from sound-card recordings",
		Long: `Measures the audio of two-way radios from sound-card recordings: how sensitive
a receiver is, how clean and how loud its audio, with uncertainty, against
stated limits.`,
		Example:           "  hisspoint demo\n  hisspoint measure rx.wav",
		SilenceErrors:     true,
		SilenceUsage:      true,
		Args:              cobra.NoArgs,
		RunE:              func(c *cobra.Command, _ []string) error { return a.whatNext(c) },
		CompletionOptions: cobra.CompletionOptions{HiddenDefaultCmd: true},
		Version:           version(),
	}
	root.SetUsageTemplate(strings.ReplaceAll(root.UsageTemplate(), ".FlagUsages ", ".FlagUsagesWrapped 75 "))
	root.SetVersionTemplate("hisspoint {{.Version}}\n")
	root.SetOut(a.stdout)
	root.SetErr(a.stderr)
	root.SetIn(a.stdin)
	root.SetFlagErrorFunc(flagError)
	root.AddCommand(a.measureCommand(), a.sensitivityCommand(), a.squelchCommand(), a.reportCommand(), a.compareCommand(), a.jobCommand(), a.limitsCommand(), a.responseCommand(), a.signalsCommand(), a.carrierNullCommand(), a.demoCommand(), a.watchCommand(), a.recordCommand(), a.cardCommand(), a.wiringCommand(), a.versionCommand(), a.schemaCommand(), a.manualCommand())
	root.SetHelpCommand(a.helpCommand())
	root.AddGroup(commandGroups...)
	for _, c := range root.Commands() {
		c.GroupID = groupOf[c.Name()]
	}
	root.Long += "\n\nExit codes:"
	for _, e := range exitCodes {
		root.Long += "\n  " + e[0] + "  " + e[1]
	}
	refill(root)
	offerValues(root)
	return root
}

// outputFlags are those that every command has.
func (a *app) outputFlags(c *cobra.Command) {
	c.Flags().BoolVar(&a.json, "json", false, "write the exact results as JSON")
	c.Flags().BoolVar(&a.quiet, "quiet", false, "write the answer only, without tables and progress")
}

// complain writes one line on standard error, whatever an error holds.
func (a *app) complain(err error) {
	if a.line != nil {
		a.line.clear()
	}
	fmt.Fprintln(a.stderr, "hisspoint: "+oneLine(err.Error()))
}

func oneLine(s string) string { return print.Text(strings.TrimSpace(s)) }

// runner is the one that this run measures with.
func (a *app) runner() run.Runner {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(memorySlack)
	}
	return run.Runner{Version: version(), Stdin: a.stdin, Progress: a.progress()}
}
