package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/service"
)

type jobNewFlags struct {
	number, set, serial, mode, customer, fault, plan, like, limits, shop string
}

// shopName is the shop's file that a new job takes without being asked, if it
// lies beside the job's folder.
const shopName = "../shop.yaml"

func (a *app) jobNewCommand() *cobra.Command {
	var f jobNewFlags
	c := &cobra.Command{
		Use: "new [DIR]", Short: "Makes a job file, from questions or from flags",
		Long: `Makes job.yaml in a folder: that of the job's number, if none is named. What no
flag says is asked for on a terminal. The short plan is what a paid-for service
has time for: bench floor, sensitivity near its criterion, quieting and hum in one
take each, squelch, and what is read off the transmitter. The full plan has every
test that makes sense in the mode, receive before transmit. --like takes plan,
built-in limits and equipment of an earlier job. A shop.yaml beside the job's folder is
taken by itself.`,
		Example: "  hisspoint job new\n  hisspoint job new --number 0417 --set \"hand-held FM transceiver\" --mode fm\n  hisspoint job new --number 0418 --like 0417",
		Args:    cobra.MaximumNArgs(1),
		RunE:    func(_ *cobra.Command, args []string) error { return a.jobNew(args, f) },
	}
	fs := c.Flags()
	fs.StringVar(&f.number, "number", "", "`number` of the job")
	fs.StringVar(&f.set, "set", "", "`description` of the set")
	fs.StringVar(&f.serial, "serial", "", "its serial `number`")
	fs.StringVar(&f.mode, "mode", "", "its `mode`: fm, am or ssb")
	fs.StringVar(&f.customer, "customer", "", "`name` of the customer")
	fs.StringVar(&f.fault, "fault", "", "`fault` as reported")
	fs.StringVar(&f.plan, "plan", "", "`plan`: short or full (default: short)")
	fs.StringVar(&f.like, "like", "", "earlier `job` whose plan is taken")
	fs.StringVar(&f.limits, "limits", "", "limit `profile` (see hisspoint limits)")
	fs.StringVar(&f.shop, "shop", "", "shop `file`, named from the job's folder")
	return c
}

func (a *app) jobNew(args []string, f jobNewFlags) error {
	if in, ok := a.stdin.(*os.File); ok && term.IsTerminal(int(in.Fd())) {
		f.ask(a.stdin, a.stderr)
	}
	f.mode, f.plan = strings.ToLower(f.mode), strings.ToLower(f.plan)
	switch {
	case f.number == "":
		return errors.New("--number: the job has no number; give one, as --number 0417")
	case f.mode != "" && !slices.Contains(job.Modes, f.mode):
		return fmt.Errorf("--mode: %q is none of %s", f.mode, strings.Join(job.Modes, ", "))
	case f.plan != "" && f.plan != service.PlanShort && f.plan != service.PlanFull:
		return fmt.Errorf("--plan: %q is neither short nor full", f.plan)
	case f.plan != "" && f.like != "":
		return errors.New("--plan, --like: give one of them; --like takes the plan of the earlier job")
	}
	dir := f.number
	if len(args) > 0 {
		dir = args[0]
	} else if strings.ContainsAny(dir, `/\:`) || strings.HasPrefix(dir, ".") {
		return fmt.Errorf("--number: %q is no name for a folder; name one behind hisspoint job new", dir)
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
	j, err := f.job()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return fmt.Errorf("%s: the folder cannot be made; name another", filepath.ToSlash(dir))
	}
	if err := jobfile.Write(file, j); err != nil {
		return err
	}
	return a.sayPlan(dir, j)
}

// sayPlan says what a new job holds and what to do next.
func (a *app) sayPlan(dir string, j *job.Job) error {
	var tests, readings []string
	for _, t := range j.AsFound.Tests {
		tests = append(tests, t.Label())
	}
	for _, m := range j.AsFound.MeterReadings {
		readings = append(readings, m.What)
	}
	fmt.Fprintf(a.stdout, "Written: %s/%s\n", filepath.ToSlash(dir), jobfile.Name)
	if j.ShopFile != "" {
		fmt.Fprintf(a.stdout, "  shop: %s\n", j.ShopFile)
	}
	fmt.Fprintln(a.stdout, folded("  to record: ", strings.Join(tests, ", ")))
	if len(readings) > 0 {
		fmt.Fprintln(a.stdout, folded("  to read: ", strings.Join(readings, "; ")))
	}
	fmt.Fprintln(a.stdout, folded("  next: ", "hisspoint record "+filepath.ToSlash(dir)+", or copy the recordings there and, in that folder: hisspoint job add *.wav"))
	_, err := fmt.Fprintln(a.stdout, folded("  ", "hisspoint alone, in that folder, says at any time what is missing."))
	return err
}

// ask puts a question for everything that no flag has said. An answer that is
// none of those that fit is asked for once more.
func (f *jobNewFlags) ask(in io.Reader, out io.Writer) {
	r := bufio.NewReader(in)
	plan := &f.plan
	if f.like != "" {
		plan = nil // it is that of the earlier job
	}
	for _, q := range []struct {
		text  string
		words []string
		into  *string
	}{{"Number of the job", nil, &f.number}, {"Set", nil, &f.set}, {"Serial number", nil, &f.serial}, {"Mode", job.Modes, &f.mode},
		{"Customer", nil, &f.customer}, {"Fault reported", nil, &f.fault}, {"Plan", []string{service.PlanShort, service.PlanFull}, plan}} {
		if q.into == nil || *q.into != "" {
			continue
		}
		if q.words != nil {
			q.text += " (" + strings.Join(q.words, ", ") + ")"
		}
		for {
			fmt.Fprint(out, q.text+": ")
			line, err := r.ReadString('\n')
			*q.into = strings.TrimSpace(line)
			if err != nil {
				return
			}
			if q.words == nil || *q.into == "" || slices.Contains(q.words, strings.ToLower(*q.into)) {
				break
			}
		}
	}
}

// job is the job that the flags describe.
func (f jobNewFlags) job() (*job.Job, error) {
	j := &job.Job{}
	if f.like == "" {
		plan := service.PlanShort
		if f.plan != "" {
			plan = f.plan
		}
		round, err := service.Plan(plan, f.mode)
		if err != nil {
			return nil, err
		}
		j.AsFound = &round
	} else {
		like, err := jobfile.Load(f.like)
		if err != nil {
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
	j.ID, j.Customer, j.FaultReported, j.ShopFile = f.number, f.customer, f.fault, f.shop
	for _, s := range []struct {
		text string
		into *string
	}{{f.set, &j.Set.Description}, {f.serial, &j.Set.Serial}, {f.mode, &j.Set.Mode}} {
		if s.text != "" {
			*s.into = s.text
		}
	}
	if f.limits != "" {
		j.Limits = []string{f.limits}
	}
	return j, nil
}
