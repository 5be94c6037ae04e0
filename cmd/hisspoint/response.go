package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/sheet"
)

type responseFlags struct {
	kind, against, monitor, mask, channel, from, to, tones, card string
	compare                                                      []string
}

// Words of --mask.
const (
	maskNone   = job.MaskNone
	maskLandFM = job.MaskLandMobile
)

func (a *app) responseCommand() *cobra.Command {
	var flags responseFlags
	c := &cobra.Command{
		Use:   "response FILE...",
		Short: "Reads the audio response from tones, a sweep or speech",
		Long: `Reads the audio response relative to 1 kHz, with its tilt, band levels and -3 dB
edges, from a recording of a test signal (see hisspoint signals) or of a voice
talking. Tones one after the other, or one a file; a sweep, which also tells the
distortion against frequency; a multitone; speech or noise shaped as speech, held
against its long-term spectrum. Hisspoint works out which it is.

A transmitter is heard through a monitor receiver, whose own curve is taken out:
--monitor-curve 750us or 6db-octave, or a file that response --json wrote of that
monitor fed by a generator of level deviation (or of two columns, Hz and dB).

One talker differs from the next, so speech alone tells a fault only if it is
plain. The same talker before and after, with --compare, tells it surely.

The mask is +1/-3 dB from 300 to 3000 Hz around the line of --against (TIA-603,
from memory). With --mask land-mobile it decides the exit code.`,
		Example: `  hisspoint response rx-tones.wav --against de-emphasis
  hisspoint response tx-sweep.wav --against pre-emphasis --monitor-curve 750us
  hisspoint response after.wav --kind speech --compare before.wav`,
		Args: wantFiles,
		RunE: func(_ *cobra.Command, args []string) error { return a.response(args, flags) },
	}
	fs := c.Flags()
	fs.StringVar(&flags.kind, "kind", analyze.ResponseAuto, "`kind` of recording: "+strings.Join(analyze.ResponseKinds, ", "))
	fs.StringVar(&flags.against, "against", analyze.AgainstFlat, "`line` to hold it against: "+strings.Join(analyze.ResponseAgainst, ", "))
	fs.StringVar(&flags.monitor, "monitor-curve", analyze.MonitorFlat, "`curve` of the monitor receiver: "+strings.Join(analyze.MonitorNames, ", ")+", or a file")
	fs.StringVar(&flags.mask, "mask", "", "`mask` that decides the exit code: land-mobile or none")
	fs.StringSliceVar(&flags.compare, "compare", nil, "`file` of the same set or talker before; several with commas")
	fs.StringVar(&flags.tones, "tones", "", "`frequencies` of the tones, if not those of hisspoint signals, as \"300 1000 3000\"")
	fs.StringVar(&flags.channel, "channel", "", "channel `N` of each file (default: the one that carries sound)")
	fs.StringVar(&flags.from, "from", "", "`time` from which each recording is used, as 1.5 s")
	fs.StringVar(&flags.to, "to", "", "`time` up to which each recording is used")
	cardFlag(c, &flags.card)
	a.outputFlags(c)
	return c
}

func (a *app) response(args []string, flags responseFlags) error {
	how, use, err := flags.parse()
	if err != nil {
		return err
	}
	if how.Monitor, err = a.runner().MonitorCurve(flags.monitor); err != nil {
		return fmt.Errorf("--monitor-curve: %w", err)
	}
	files, err := expand(args)
	if err != nil {
		return err
	}
	before, err := expand(flags.compare)
	if err != nil {
		return err
	}
	if slices.Contains(files, "-") && slices.Contains(before, "-") {
		return fmt.Errorf("-: standard input can be read only once; name it once")
	}
	s, err := a.runnerOn(flags.card)
	if err != nil {
		return err
	}
	record, err := s.Response(files, before, how, use)
	if err != nil {
		return err
	}
	record.MaskRule = flags.mask == maskLandFM
	if err := a.showResponse(record); err != nil {
		return err
	}
	return responseOutcome(record)
}

func (a *app) showResponse(record reports.Response) error {
	switch {
	case a.json:
		return reports.WriteJSON(a.stdout, record)
	case a.quiet:
		return a.show(doc.Document{Blocks: sheet.QuietResponse(record)})
	}
	return a.show(sheet.Response(record))
}

// responseOutcome is the exit code of a response, nil for 0.
func responseOutcome(r reports.Response) error {
	mask := r.Result.Mask
	switch {
	case !r.Result.OK():
		return outcome(exitUndecided)
	case r.MaskRule && mask != nil && mask.Outcome == analyze.MaskOutside:
		return outcome(exitFailed)
	case r.MaskRule && (mask == nil || mask.Outcome != analyze.MaskInside):
		return outcome(exitUndecided)
	case r.Change != nil && r.Change.Difference.Why != "":
		return outcome(exitUndecided)
	}
	return nil
}

func (f responseFlags) parse() (analyze.ResponseHow, run.Use, error) {
	how := analyze.ResponseHow{Kind: strings.ToLower(f.kind), Against: strings.ToLower(f.against)}
	var use run.Use
	var err error
	switch {
	case !slices.Contains(analyze.ResponseKinds, how.Kind):
		return how, use, fmt.Errorf("--kind: %q is none of %s", f.kind, strings.Join(analyze.ResponseKinds, ", "))
	case !slices.Contains(analyze.ResponseAgainst, how.Against):
		return how, use, fmt.Errorf("--against: %q is none of %s", f.against, strings.Join(analyze.ResponseAgainst, ", "))
	case f.mask != "" && f.mask != maskNone && f.mask != maskLandFM:
		return how, use, fmt.Errorf("--mask: %q is neither %s nor %s", f.mask, maskLandFM, maskNone)
	}
	if how.TonesHz, err = frequencies("tones", f.tones); err != nil {
		return how, use, err
	}
	if use.From, err = quantity("from", f.from, unit.ParseSeconds); err != nil {
		return how, use, err
	}
	if use.To, err = quantity("to", f.to, unit.ParseSeconds); err != nil {
		return how, use, err
	}
	if use.From < 0 || use.To < 0 || use.To > 0 && use.To <= use.From {
		return how, use, fmt.Errorf("--from, --to: %q to %q is no part of a recording; give times from its start, the later one as --to", f.from, f.to)
	}
	use.Channel, err = parseChannel(f.channel)
	return how, use, err
}

// frequencies reads several frequencies, "300 1000 2.5 kHz", in rising order. A
// word without a figure is the unit of the one before it.
func frequencies(flag, text string) ([]float64, error) {
	var words []string
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' || r == '\t' }) {
		if n := len(words); n > 0 && !strings.ContainsAny(w, "0123456789") {
			words[n-1] += w
			continue
		}
		words = append(words, w)
	}
	var all []float64
	for _, w := range words {
		hz, err := unit.ParseFrequency(w)
		if err != nil {
			return nil, fmt.Errorf("--%s: %w", flag, err)
		}
		all = append(all, hz)
	}
	slices.Sort(all)
	return slices.Compact(all), nil
}
