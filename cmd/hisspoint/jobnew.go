package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"hisspoint/analyze/limit"
	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/plan"
)

type jobNewFlags struct {
	complaints                                                                      []string
	number, set, serial, mode, customer, fault, plan, like, limits, deviation, shop string
}

// shopName is the shop's file that a new job takes without being asked, if it
// lies beside the job's folder.
const shopName = "../shop.yaml"

func (a *app) jobNewCommand() *cobra.Command {
	var f jobNewFlags
	c := &cobra.Command{
		Use: "new [DIR...]", Short: "Makes a job file, from questions or from flags",
		Long: `Makes job.yaml in a folder: that of the job's number, if none is named. What no
flag says is asked for on a terminal. The short plan is what a paid-for service
has time for: bench floor, sensitivity near its criterion, quieting and hum in one
take each, squelch, and what is read off the transmitter. The full plan has every
test that makes sense in the mode, receive before transmit. Both measure as the
limit profiles want it (criterion, filter, modulation), so that the figures can be
judged. --like takes plan, built-in limits and equipment of an earlier job. A
shop.yaml beside the job's folder is taken by itself.`,
		Example: "  hisspoint job new\n  hisspoint job new --number 0417 --set \"hand-held FM transceiver\" --mode fm\n  hisspoint job new 0418 --like 0417\n  hisspoint job new 0419-0423 --like 0417",
		RunE:    func(_ *cobra.Command, args []string) error { return a.jobsNew(args, f) },
	}
	fs := c.Flags()
	fs.StringVar(&f.number, "number", "", "`number` of the job")
	fs.StringVar(&f.set, "set", "", "`description` of the set")
	fs.StringVar(&f.serial, "serial", "", "its serial `number`")
	fs.StringVar(&f.mode, "mode", "", "its `mode`: fm, am or ssb")
	fs.StringVar(&f.customer, "customer", "", "`name` of the customer")
	fs.StringVar(&f.fault, "fault", "", "`fault` as reported")
	fs.StringArrayVar(&f.complaints, "complaint", nil, "one `complaint`, in the customer's words; may be given several times")
	fs.StringVar(&f.plan, "plan", "", "`plan`: short or full (default: short)")
	fs.StringVar(&f.like, "like", "", "earlier `job` whose plan is taken")
	fs.StringVar(&f.limits, "limits", "", "limit `profiles`, with commas (see hisspoint limits)")
	fs.StringVar(&f.deviation, "deviation", "", "standard `deviation`, as 1.5 kHz, where no profile states it")
	fs.StringVar(&f.shop, "shop", "", "shop `file`, named from the job's folder")
	return c
}

// jobsNew makes a job, or one for each set of a batch.
func (a *app) jobsNew(args []string, f jobNewFlags) error {
	dirs, err := ranged(args)
	if err != nil {
		return err
	}
	if len(dirs) < 2 {
		return a.jobNew(args, f)
	}
	if f.number != "" || f.serial != "" {
		return errors.New("--number, --serial: are of one set, and several folders are named; leave them out")
	}
	for _, dir := range dirs {
		if err := a.jobNew([]string{dir}, f); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) jobNew(args []string, f jobNewFlags) error {
	if f.number == "" && len(args) > 0 {
		f.number = filepath.Base(filepath.Clean(args[0]))
	}
	if in, ok := a.stdin.(*os.File); ok && term.IsTerminal(int(in.Fd())) {
		f.ask(bufio.NewReader(a.stdin), a.stderr)
	}
	f.mode, f.plan = strings.ToLower(f.mode), strings.ToLower(f.plan)
	switch {
	case f.number == "":
		return errors.New("--number: the job has no number; give one, as --number 0417")
	case f.mode != "" && !slices.Contains(job.Modes, f.mode):
		return fmt.Errorf("--mode: %q is none of %s", f.mode, strings.Join(job.Modes, ", "))
	case f.plan != "" && f.plan != plan.Short && f.plan != plan.Full:
		return fmt.Errorf("--plan: %q is neither short nor full", f.plan)
	case f.plan != "" && f.like != "":
		return errors.New("--plan, --like: give one of them; --like takes the plan of the earlier job")
	}
	dir := f.number
	if len(args) > 0 {
		dir = args[0]
	} else if strings.ContainsAny(dir, `/\:`) || strings.HasPrefix(dir, ".") {
		return fmt.Errorf("--number: %q is not a name for a folder; name one behind hisspoint job new", dir)
	}
	file := filepath.Join(dir, jobfile.Name)
	if _, err := os.Lstat(file); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: is there already; nothing was written", filepath.ToSlash(file))
	}
	if _, err := os.Stat(filepath.Join(dir, filepath.FromSlash(shopName))); err == nil && f.shop == "" {
		f.shop = shopName
	} else if _, err := os.Stat(filepath.Join(filepath.Dir(dir), filepath.Base(shopName))); err == nil && f.shop == "" {
		f.shop = shopName // the folder is yet to be made
	}
	j, err := f.job(dir)
	if err != nil {
		return err
	}
	if err := write.Folder(dir); err != nil {
		return fmt.Errorf("%s: the folder cannot be made; name another", filepath.ToSlash(dir))
	}
	if err := jobfile.WriteNew(file, j); err != nil {
		return err
	}
	return a.sayPlan(dir, j)
}

// sayPlan says what a new job holds and what to do next.
func (a *app) sayPlan(dir string, j *job.Job) error {
	var tests, readings, checks []string
	for _, t := range j.AsFound.Tests {
		tests = append(tests, t.Label())
	}
	for _, m := range j.AsFound.MeterReadings {
		readings = append(readings, m.What)
	}
	for _, k := range j.AsFound.Checks {
		checks = append(checks, k.What)
	}
	fmt.Fprintf(a.stdout, "Written: %s/%s\n", filepath.ToSlash(dir), jobfile.Name)
	if j.ShopFile != "" {
		fmt.Fprintf(a.stdout, "  shop: %s\n", j.ShopFile)
	}
	if len(tests) > 0 {
		fmt.Fprintln(a.stdout, folded("  to record: ", strings.Join(tests, "; ")))
	}
	if len(readings) > 0 {
		fmt.Fprintln(a.stdout, folded("  to read: ", strings.Join(readings, "; ")))
	}
	if len(checks) > 0 {
		fmt.Fprintln(a.stdout, folded("  to check: ", strings.Join(checks, "; ")))
	}
	fmt.Fprintln(a.stdout, folded("  next: ", "hisspoint record "+filepath.ToSlash(dir)+", or copy the recordings there and, in that folder: hisspoint job add *.wav"))
	_, err := fmt.Fprintln(a.stdout, folded("  ", "hisspoint alone, in that folder, says at any time what is missing."))
	return err
}

// job is the job that the flags describe, to be written into a folder.
func (f jobNewFlags) job(dir string) (*job.Job, error) {
	j := &job.Job{ID: f.number, Customer: f.customer, FaultReported: f.fault, Complaints: complaintsIn(f.complaints), ShopFile: f.shop}
	var like *job.Job
	if f.like != "" {
		var err error
		if like, err = jobfile.Load(f.like); err != nil {
			return nil, fmt.Errorf("--like: %w", err)
		}
		if like.Newest() == nil {
			return nil, fmt.Errorf("--like: %s has no round to take the plan from", f.like)
		}
		r := like.Newest().AsPlan()
		j.AsFound, j.Equipment, j.Decide, j.Set = &r, like.Equipment, like.Decide, like.Set
		j.Set.Serial = ""
		j.Limits = slices.DeleteFunc(slices.Clone(like.Limits), func(name string) bool { // files stay in their folder
			return slices.ContainsFunc(like.Profiles, func(p job.Profile) bool { return p.File == name })
		})
	}
	for _, s := range []struct {
		text string
		into *string
	}{{f.set, &j.Set.Description}, {f.serial, &j.Set.Serial}, {f.mode, &j.Set.Mode}} {
		if s.text != "" {
			*s.into = s.text
		}
	}
	if f.limits != "" {
		j.Limits = namesIn(f.limits)
		if wrong := ofOtherMode(j.Limits, j.Set.Mode); wrong != "" {
			return nil, fmt.Errorf("--limits: %s", wrong)
		}
	}
	for _, name := range j.Limits {
		if ext := filepath.Ext(name); ext != ".yaml" && ext != ".yml" {
			continue
		}
		if _, err := os.Stat(filepath.Join(dir, filepath.FromSlash(name))); err != nil {
			return nil, fmt.Errorf("--limits: %s does not lie in the job's folder; copy it there first, or name it in the shop's file", name)
		}
	}
	if err := jobfile.Resolve(j, dir); err != nil {
		return nil, err
	}
	profiles, err := j.ResolveProfiles(limit.Lookup)
	if err != nil {
		return nil, fmt.Errorf("--limits: %w", err)
	}
	if like == nil {
		named := f.plan
		if named == "" {
			named = plan.Short
		}
		round, err := plan.For(named, j.Set.Mode, profiles)
		if err != nil {
			return nil, err
		}
		j.AsFound = &round
		j.AsFound.BehindPad(j.Shop.Dial.PadDB)
	}
	deviation, err := quantity("deviation", f.deviation, unit.ParseFrequency)
	if f.deviation == "" && j.Set.Mode == job.FM {
		deviation = j.Shop.Deviation
	}
	if err == nil && deviation > 0 && j.Set.Mode != "" && j.Set.Mode != job.FM {
		err = fmt.Errorf("--deviation: %s has none; leave it out, or give --mode fm", j.Set.Mode)
	}
	if deviation > 0 {
		j.AsFound.Modulate(deviation, 0)
	}
	return j, err
}

// namesIn are names that stand in one text with commas or blanks between them.
func namesIn(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' })
}
