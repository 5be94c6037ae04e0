package main

import (
	"fmt"
	"runtime"
	"runtime/debug"

	"github.com/spf13/cobra"

	"hisspoint/reports"
)

// What the linker stamps on programs that are given away, see the Makefile: version, commit
// and its date, year-month-day.
var stampedVersion, stampedCommit, stampedDate string

// version is what was stamped, else that of the module or, in a working copy, of its
// commit.
func version() string {
	if stampedVersion != "" {
		return stampedVersion
	}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "dev"
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return v
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return "dev-" + s.Value[:12]
		}
	}
	return "dev"
}

func (a *app) versionCommand() *cobra.Command {
	c := &cobra.Command{
		Use: "version", Short: "Shows which program this is",
		Long:    "Shows version, commit and date of the program, and what it was built for.",
		Example: "  hisspoint version\n  hisspoint version --json",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			b := reports.Build{Version: version(), Commit: stampedCommit, Date: stampedDate, Go: runtime.Version(), For: runtime.GOOS + "/" + runtime.GOARCH}
			if a.json {
				return reports.WriteJSON(a.stdout, b)
			}
			if a.quiet {
				fmt.Fprintln(a.stdout, b.Version)
				return nil
			}
			fmt.Fprintf(a.stdout, "hisspoint %s\n", b.Version)
			if b.Commit != "" {
				fmt.Fprintf(a.stdout, "  commit  %s of %s\n", b.Commit, b.Date)
			}
			fmt.Fprintf(a.stdout, "  built   with %s for %s\n", b.Go, b.For)
			return nil
		},
	}
	a.outputFlags(c)
	return c
}

func (a *app) schemaCommand() *cobra.Command {
	return &cobra.Command{
		Use: "schema COMMAND", Short: "Prints the JSON Schema of what a command writes",
		Long: `Prints the JSON Schema (2020-12) of what a command writes with --json: its
result, or the object that says why there is none. Keys may be added to what is
there; none changes its meaning while "schema" is 1.`,
		Example: "  hisspoint schema measure",
		Args:    atMostOne("command"),
		RunE: func(_ *cobra.Command, args []string) error {
			data, err := reports.CommandSchema(append(args, "")[0])
			if err != nil {
				return err
			}
			_, err = a.stdout.Write(data)
			return err
		},
	}
}
