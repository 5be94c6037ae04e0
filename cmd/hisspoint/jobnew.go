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

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/cmd/internal/service"
)

type jobNewFlags struct {
	number, set, serial, mode, customer, fault, plan, like, limits, shop string
}

func (a *app) jobNewCommand() *cobra.Command {
	var f jobNewFlags
	c := &cobra.Command{
		Use: "new [DIR]", Short: "Makes a job file, from questions or from flags",
		Long: `Makes job.yaml in a folder: that of the job's number, if none is named. What no
flag says is asked for on a terminal. --like takes plan, limits and equipment of
an earlier job. So far the plans hold the sensitivity test; what cannot be
analysed yet goes in as meter readings, checks and not_measured.`,
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
	fs.StringVar(&f.plan, "plan", service.PlanShort, "`plan`: short or full")
	fs.StringVar(&f.like, "like", "", "earlier `job` whose plan is taken")
	fs.StringVar(&f.limits, "limits", "", "limit `profile` (see hisspoint limits)")
	fs.StringVar(&f.shop, "shop", "", "shop `file`, named from the job's folder")
	return c
}

func (a *app) jobNew(args []string, f jobNewFlags) error {
	if in, ok := a.stdin.(*os.File); ok && term.IsTerminal(int(in.Fd())) {
		a.ask(&f)
	}
	switch {
	case f.number == "":
		return errors.New("--number: the job has no number; give one, as --number 0417")
	case f.mode != "" && !slices.Contains(job.Modes, f.mode):
		return fmt.Errorf("--mode: %q is none of %s", f.mode, strings.Join(job.Modes, ", "))
	case f.plan != service.PlanShort && f.plan != service.PlanFull:
		return fmt.Errorf("--plan: %q is neither short nor full", f.plan)
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
	fmt.Fprintf(a.stdout, "Written: %s\n", filepath.ToSlash(file))
	fmt.Fprintf(a.stdout, "  not part of the plan yet: %s\n", strings.Join(service.Later(f.plan, f.mode), ", "))
	_, err = fmt.Fprintf(a.stdout, "  next: copy the recordings into %s, then there: hisspoint job add *.wav\n", filepath.ToSlash(dir))
	return err
}

// ask puts a question for everything that no flag has said.
func (a *app) ask(f *jobNewFlags) {
	in := bufio.NewReader(a.stdin)
	for _, q := range []struct {
		text string
		into *string
	}{{"Number of the job", &f.number}, {"Set", &f.set}, {"Serial number", &f.serial}, {"Mode (fm, am, ssb)", &f.mode}, {"Customer", &f.customer}, {"Fault reported", &f.fault}} {
		if *q.into != "" {
			continue
		}
		fmt.Fprint(a.stderr, q.text+": ")
		line, err := in.ReadString('\n')
		*q.into = strings.TrimSpace(line)
		if err != nil {
			return
		}
	}
}

// job is the job that the flags describe.
func (f jobNewFlags) job() (*job.Job, error) {
	plan := service.Plan(f.plan, f.mode)
	j := &job.Job{AsFound: &plan}
	if f.like != "" {
		like, err := jobfile.Load(f.like)
		if err != nil {
			return nil, fmt.Errorf("--like: %w", err)
		}
		if like.Newest() == nil {
			return nil, fmt.Errorf("--like: %s has no round to take the plan from", f.like)
		}
		r := like.Newest().AsPlan()
		j.AsFound, j.Equipment, j.Limits, j.Decide, j.Set = &r, like.Equipment, like.Limits, like.Decide, like.Set
		j.Set.Serial = ""
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
