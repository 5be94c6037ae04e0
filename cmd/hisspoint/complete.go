package main

import (
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/soundcard"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/plan"
	"hisspoint/reports"
	"hisspoint/reports/doc/bench"
	"hisspoint/reports/pdf"
)

// offer lists what a shell may offer for a value: words, each with a tab and its
// meaning behind it where it does not speak for itself.
type offer func(c *cobra.Command) []string

func words(w ...string) offer { return func(*cobra.Command) []string { return w } }

// folders and recordings are values that the shell completes by itself.
var (
	folders    offer = func(*cobra.Command) []string { return nil }
	recordings       = words("wav", "flac")
)

// The values of flags, by the flag's name and, where one name has two meanings, by
// command and name. A flag that is in neither table holds free text: the test of the
// tables asks for one of the two.
func flagOffers() map[string]offer {
	rounds := words("as_found\tthe set as it came", "as_left\tthe set after the work")
	return map[string]offer{
		"against": words(analyze.ResponseAgainst...), "aim": words(analyze.Aims...), "bits": words("16", "24", "32", "float"),
		"signals --bits": words("16", "24", "32"), "criterion": words("sinad 12 dB", "sn_n 10 dB", "quieting 20 dB"),
		"decide": words(job.Guarded+"\tthe whole interval decides", job.ByValue+"\tthe value alone decides"),
		"device": cardDevices(soundcard.Card.Inputs), "output": cardDevices(soundcard.Card.Outputs), "beep-on": cardDevices(soundcard.Card.Outputs),
		"dir": folders, "file": filesOfJob, "filter": words(job.FilterNames...), "job": folders, "like": folders, "out": folders,
		"kind": words(analyze.ResponseKinds...), "language": words(job.Languages...), "level-kind": words("pd\tacross 50 Ω at the set", "emf\tof the generator, open"),
		"limits": profiles, "mains": words("50", "60"), "mains-hz": words("50", "60"), "move --to": rounds, "mask": words(maskLandFM, maskNone), "mode": words(job.Modes...),
		"monitor-curve": words(analyze.MonitorNames...), "paper": words(pdf.A4, pdf.Letter), "plan": words(plan.Short, plan.Full),
		"round": rounds, "source": words(job.Sources...), "steps-per-octave": words("6", "12"), "test": testsOfJob,
	}
}

// argumentOffers are the values of what stands behind a command.
func argumentOffers() map[string]offer {
	return map[string]offer{
		"hisspoint card": recordings, "hisspoint measure": recordings, "hisspoint response": recordings, "hisspoint sensitivity": recordings,
		"hisspoint squelch": recordings, "hisspoint job add": recordings, "hisspoint job move": recordings, "hisspoint job replace": recordings,
		"hisspoint compare": folders, "hisspoint record": folders, "hisspoint report": folders, "hisspoint signals": folders, "hisspoint job new": folders,
		"hisspoint job schema": words("job", "shop", "limits", "report"), "hisspoint job set": keysToSet, "hisspoint limits": profiles,
		"hisspoint schema": words(reports.Described()...),
		"hisspoint wiring": func(*cobra.Command) []string {
			return eachOf(bench.Wirings, func(w bench.Wiring) string { return w.Case + "\t" + w.Title })
		},
	}
}

// offerValues lets the shell complete what each command below c takes.
func offerValues(c *cobra.Command) {
	flags, arguments := flagOffers(), argumentOffers()
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		c.LocalFlags().VisitAll(func(f *pflag.Flag) {
			o, ok := flags[c.Name()+" --"+f.Name]
			if !ok {
				o, ok = flags[f.Name]
			}
			if ok && f.Value.Type() != "bool" {
				_ = c.RegisterFlagCompletionFunc(f.Name, complete(f.Name, o)) // fails for a flag that is not there or has one already
			}
		})
		if o, ok := arguments[c.CommandPath()]; ok {
			c.ValidArgsFunction = complete("", o)
		}
		for _, below := range c.Commands() {
			walk(below)
		}
	}
	walk(c)
}

// complete is an offer as cobra asks for it. The list of limits is completed
// from its last comma on.
func complete(flag string, o offer) cobra.CompletionFunc {
	return func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		list := o(c)
		switch {
		case list == nil:
			return nil, cobra.ShellCompDirectiveFilterDirs
		case len(list) == 2 && list[0] == "wav":
			return list, cobra.ShellCompDirectiveFilterFileExt
		case flag == "" && len(args) > 0:
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		if i := strings.LastIndexByte(typed, ','); flag == "limits" && i >= 0 {
			list = eachOf(list, func(w string) string { return typed[:i+1] + w })
		}
		return fitting(list, typed), cobra.ShellCompDirectiveNoFileComp
	}
}

// fitting are the words that begin as typed.
func fitting(list []string, typed string) (out []string) {
	for _, w := range list {
		if strings.HasPrefix(w, typed) {
			out = append(out, w)
		}
	}
	return out
}

func eachOf[T any](list []T, text func(T) string) []string {
	out := []string{}
	for _, v := range list {
		out = append(out, text(v))
	}
	return out
}

func profiles(*cobra.Command) []string {
	return eachOf(limit.Profiles(), func(p job.Profile) string { return p.Name + "\t" + unit.MicroSignInText(p.Title) })
}

// cardDevices are the names of the sound card's inputs or outputs, none where there is no
// sound.
func cardDevices(of func(soundcard.Card) ([]soundcard.Device, error)) offer {
	return func(*cobra.Command) []string {
		card, err := openCard()
		if err != nil {
			return []string{}
		}
		defer card.Close()
		all, _ := of(card)
		return eachOf(all, func(d soundcard.Device) string { return d.Name })
	}
}

// rounds are those of the job that a command is about, none if it cannot be read.
func rounds(c *cobra.Command) []*job.Round {
	name, _ := c.Flags().GetString("job")
	j, err := jobfile.Load(name)
	if err != nil {
		return nil
	}
	var out []*job.Round
	for _, r := range j.Rounds() {
		out = append(out, r)
	}
	return out
}

// testsOfJob are the tests that recordings may be added to.
func testsOfJob(c *cobra.Command) []string {
	out := eachOf(job.Kinds(), func(k job.Kind) string { return k.Name + "\t" + k.Title })
	for _, r := range rounds(c) {
		for _, t := range r.Tests {
			if named := t.Kind + ":" + t.Name; t.Name != "" && !slices.Contains(out, named) {
				out = append(out, named)
			}
		}
	}
	return out
}

// filesOfJob are the recordings that a job names.
func filesOfJob(c *cobra.Command) []string {
	out := []string{}
	for _, r := range rounds(c) {
		for _, t := range r.Tests {
			for _, f := range t.Files() {
				if f = filepath.ToSlash(f); !slices.Contains(out, f) {
					out = append(out, f)
				}
			}
		}
	}
	return out
}

// keysToSet are the keys that job set takes without what they stand below, or with
// --file those of a recording.
func keysToSet(c *cobra.Command) []string {
	if c.Flags().Changed("file") {
		return recordingKeys
	}
	out := slices.Concat(keysOf["set"], keysOf["conditions"], []string{"number", "customer", "contact", "complaints", "fault", "technician", "outcome", "reason", "language", "authorised", "limits", "tested"})
	slices.Sort(out)
	return slices.Compact(out)
}
