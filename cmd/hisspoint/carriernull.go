package main

import (
	"errors"
	"fmt"
	"strings"
	"unicode"

	"github.com/spf13/cobra"

	"hisspoint/analyze"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc/bench"
)

func (a *app) carrierNullCommand() *cobra.Command {
	var tone, deviation string
	var count int
	c := &cobra.Command{
		Use:   "carrier-null",
		Short: "Tells where an FM carrier vanishes, to calibrate deviation",
		Long: `Lists the carrier nulls of FM: with a tone, the deviations at which the carrier
vanishes; with a deviation, the tones that make it vanish. The first null of a
1 kHz tone lies at 2.405 kHz deviation. It needs nothing but a true tone and a
receiver narrow enough to hear the carrier alone.`,
		Example: "  hisspoint carrier-null --tone \"1 kHz\"\n  hisspoint carrier-null --deviation \"3 kHz\"",
		Args:    noArguments,
		RunE:    func(*cobra.Command, []string) error { return a.carrierNull(tone, deviation, count) },
	}
	c.Flags().StringVar(&tone, "tone", "", "`frequency` of the modulating tone (default: 1 kHz)")
	c.Flags().StringVar(&deviation, "deviation", "", "peak `deviation` that is wanted")
	c.Flags().IntVar(&count, "nulls", 5, "how `many` nulls are listed")
	a.outputFlags(c)
	return c
}

func (a *app) carrierNull(tone, deviation string, count int) error {
	if tone != "" && deviation != "" {
		return errors.New("--tone, --deviation: give one of them; the other follows from it")
	}
	if count < 1 || count > 50 {
		return fmt.Errorf("--nulls: %d cannot be listed; give 1 to 50", count)
	}
	for _, f := range []struct{ flag, text string }{{"tone", tone}, {"deviation", deviation}} {
		if err := bareHertz(f.flag, f.text); err != nil {
			return err
		}
	}
	hz, err := quantity("deviation", deviation, unit.ParseFrequency)
	if err != nil {
		return err
	}
	of := analyze.CarrierNullOfDeviation
	if deviation == "" {
		of = analyze.CarrierNullOfTone
		if tone == "" {
			tone = "1 kHz"
		}
		if hz, err = quantity("tone", tone, unit.ParseFrequency); err != nil {
			return err
		}
	}
	record := reports.CarrierNulls{Version: version()}
	for n := 1; n <= count; n++ {
		record.Nulls = append(record.Nulls, of(n, hz))
	}
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, record)
	case a.quiet:
		for _, line := range bench.CarrierNullLines(record) {
			fmt.Fprintln(a.stdout, line)
		}
		return nil
	}
	return a.show(bench.CarrierNulls(record))
}

// leastBareHz is the least figure that is taken for Hz without a unit: no test tone
// and no deviation that is set by its nulls lies below, so kHz were meant.
const leastBareHz = 50

func bareHertz(flag, text string) error {
	hz, err := unit.ParseFrequency(text)
	if err != nil || hz >= leastBareHz || strings.ContainsFunc(text, unicode.IsLetter) {
		return nil
	}
	figure := strings.TrimSpace(text)
	return fmt.Errorf("--%s: %s without a unit is hertz; write \"%s kHz\", or \"%s Hz\" if so little is meant", flag, figure, figure, figure)
}
