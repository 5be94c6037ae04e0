package main

import (
	"bufio"
	"io"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"github.com/stretchr/testify/assert"
)

// freeText are the flags whose values nobody can list.
var freeText = strings.Fields(`calibrated card channel channels clock-reference complaint customer depth deviation deviation-uncertainty-percent
	equipment fault fitted for from full-scale-volts heading input-gain key-channel keyed level level-uncertainty-db levels limit load-ohms log
	measured-volts nominal not-measured note nulls number output-volts page place places rate reflection-factor removed revision rf-pad-db rf-pad-uncertainty-db
	save serial set shop technician time-constant to tone tones volts volts-uncertainty within compare`)

// Whoever adds a flag says what its values are, or that they are free text; neither
// list keeps one that is gone.
func TestEveryFlagIsOfferedOrFreeText(t *testing.T) {
	offered, seen := flagOffers(), map[string]bool{}
	a := &app{stdout: bufio.NewWriter(io.Discard)}
	eachCommand(a.root(), func(c *cobra.Command) {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			if f.Value.Type() == "bool" || c.Name() == "help" || c.Name() == "completion" {
				return
			}
			for _, name := range []string{f.Name, c.Name() + " --" + f.Name} {
				seen[name] = true
			}
			_, known := offered[f.Name]
			assert.True(t, known != slices.Contains(freeText, f.Name), "%s --%s: put it into flagOffers, or into freeText here, and not into both", c.CommandPath(), f.Name)
		})
	})
	for name := range offered {
		assert.True(t, seen[name], "flagOffers: no command has --%s", name)
	}
	for _, name := range freeText {
		assert.True(t, seen[name], "freeText: no command has --%s", name)
	}
}

func eachCommand(c *cobra.Command, do func(*cobra.Command)) {
	do(c)
	for _, below := range c.Commands() {
		eachCommand(below, do)
	}
}
