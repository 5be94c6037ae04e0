package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc/bench"
)

func (a *app) limitsCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "limits [NAME]",
		Short: "Lists the limit profiles; shows one with its sources",
		Long: `Lists the built-in limit profiles, or shows one: every figure with what it holds
for, the source it comes from, and how sure that is. A figure from memory is not
the standard's own: check it before relying on it.`,
		Example: "  hisspoint limits\n  hisspoint limits fm-27mhz",
		Args: func(c *cobra.Command, args []string) error {
			if len(args) > 1 {
				return fmt.Errorf("%s: %q is one too many; name one profile, or none", c.CommandPath(), args[1])
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.limits(args) },
	}
	a.outputFlags(c)
	return c
}

func (a *app) limits(args []string) error {
	profiles := limit.Profiles()
	if len(args) == 1 {
		p, err := limit.Lookup(args[0])
		if err != nil {
			return err
		}
		profiles = []job.Profile{p}
	}
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, reports.Limits{Version: version(), Profiles: profiles})
	case len(args) == 1:
		return a.show(bench.LimitProfile(profiles[0]))
	case a.quiet:
		for _, p := range profiles {
			fmt.Fprintln(a.stdout, p.Name)
		}
		return nil
	}
	return a.show(bench.LimitList(profiles))
}
