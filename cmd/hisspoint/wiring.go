package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/reports/doc/bench"
)

func (a *app) wiringCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "wiring [CASE]",
		Short: "Shows how to connect set, load and sound card safely",
		Long: `Prints a connection sheet with its cautions. Without a case it lists the cases.

The sheets advise. Local codes, the set's manual and licensed practice come first.`,
		Example: "  hisspoint wiring\n  hisspoint wiring bridged",
		Args:    atMostOne("case"),
		RunE:    func(_ *cobra.Command, args []string) error { return a.wiring(args) },
	}
	return c
}

func (a *app) wiring(args []string) error {
	if len(args) == 0 {
		for _, s := range bench.Wirings {
			fmt.Fprintf(a.stdout, "  %-11s %s\n", s.Case, s.Title)
		}
		return nil
	}
	s, ok := bench.WiringCase(args[0])
	if !ok {
		var cases []string
		for _, s := range bench.Wirings {
			cases = append(cases, s.Case)
		}
		return fmt.Errorf("wiring: no case is called %q; there is %s", args[0], strings.Join(cases, ", "))
	}
	for _, l := range s.Page() {
		fmt.Fprintln(a.stdout, l)
	}
	return nil
}
