// Package demo writes an invented bench job: recordings of a simulated radio
// set in two rounds, as found with a deaf front end and as left, with its job
// file. It measures nothing.
package demo

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"

	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
	"hisspoint/capture/wav"
	"hisspoint/reports"
)

// Marker is the file by which a demo's folder is known.
const Marker = "hisspoint-demo.txt"

const markerText = `This folder was written by "hisspoint demo". Everything in it is invented and
simulated: there is no such set, shop or job. The next "hisspoint demo" that is
told this folder writes its files anew.
`

// Simulated is what reports say of the job.
const Simulated = "Invented and simulated: no radio set was on a bench for these figures."

// Round is one round of the demo's job.
type Round struct {
	Name string // reports.AsFound or reports.AsLeft
	Test job.Sensitivity
	set  simulate.FM
	seed uint64
}

// Facts is what the demo's job says of itself.
func Facts() reports.Facts {
	return reports.Facts{Job: "DEMO-1", Set: "invented 27 MHz FM transceiver", Fault: "hears near stations only", Simulated: Simulated}
}

// The recordings: a step of 3 dB or less where the answer is expected, wider
// steps where it is not.
const (
	seconds = 5
	padDB   = 10
	half    = 1.0 // the generator's stated tolerance, dB
)

// levels on the generator's dial, µV PD: pad and set come behind it.
var levels = map[string][]string{
	reports.AsFound: {"1", "1.4", "2", "2.8", "4", "5.6", "8", "16", "100", "3000"},
	reports.AsLeft:  {"0.4", "0.56", "0.7", "0.8", "1", "1.4", "2", "4", "30", "3000"},
}

// Rounds are the two rounds; names of recordings start from the demo's folder.
func Rounds() ([]Round, error) {
	l, err := job.ParseLimit("0.5 uV PD, invented service manual", job.QuantitySensitivity, unit.PD)
	if err != nil {
		return nil, err
	}
	rounds := []Round{{Name: reports.AsFound, set: simulate.Deaf27MHzFM(), seed: 1000}, {Name: reports.AsLeft, set: simulate.Healthy27MHzFM(), seed: 2000}}
	for i := range rounds {
		r := &rounds[i]
		uncertainty := half
		r.Test = job.Sensitivity{
			Reading: job.Reading{Filter: job.Filter{Name: job.SpeechBand}}, Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"},
			Mode: "fm", Deviation: 1200, Path: job.RFPath{PadDB: padDB, LevelUncertainty: &uncertainty}, Kind: unit.PD, Limit: &l, Decide: job.Guarded,
		}
		for _, uv := range levels[r.Name] {
			level, err := unit.ParseLevel(uv+" uV", unit.PD)
			if err != nil {
				return nil, err
			}
			r.Test.Takes = append(r.Test.Takes, job.Take{Level: level, Typed: uv + " uV", File: folder(r.Name) + "/" + uv + "uV.wav"})
		}
	}
	return rounds, nil
}

func folder(round string) string { return strings.ReplaceAll(round, "_", "-") }

// Prepare makes the folder, or takes one that an earlier demo made. It refuses
// any other that exists.
func Prepare(dir string) error {
	name := filepath.ToSlash(dir)
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return fmt.Errorf("%s: cannot be used: %w", name, bare(err))
	case !info.IsDir():
		return fmt.Errorf("%s: is a file; name another folder with --dir", name)
	default:
		text, err := os.ReadFile(filepath.Join(dir, Marker))
		if err != nil || string(text) != markerText {
			return fmt.Errorf("%s: exists and is not a demo's folder; nothing was written; name another with --dir", name)
		}
	}
	for _, sub := range []string{"", folder(reports.AsFound), folder(reports.AsLeft)} {
		if err := os.MkdirAll(filepath.Join(dir, sub), 0o777); err != nil {
			return fmt.Errorf("%s: cannot be made: %w", filepath.ToSlash(filepath.Join(dir, sub)), bare(err))
		}
	}
	return WriteFile(filepath.Join(dir, Marker), []byte(markerText))
}

// Record simulates and writes all recordings of the rounds into dir, on all cores.
func Record(dir string, rounds []Round, progress func(done, total int)) error {
	type take struct {
		round Round
		i     int
	}
	var all []take
	for _, r := range rounds {
		for i := range r.Test.Takes {
			all = append(all, take{r, i})
		}
	}
	work := make(chan take)
	var group sync.WaitGroup
	var mutex sync.Mutex
	var failed error
	done := 0
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for t := range work {
				err := t.round.record(dir, t.i)
				mutex.Lock()
				done++
				if failed == nil {
					failed = err
				}
				if progress != nil {
					progress(done, len(all))
				}
				mutex.Unlock()
			}
		})
	}
	for _, t := range all {
		work <- t
	}
	close(work)
	group.Wait()
	return failed
}

// bench is the simulated bench of a round.
func (r Round) bench() simulate.Bench {
	g := simulate.StandardGenerator()
	g.PadDB = r.Test.Path.PadDB
	return simulate.Bench{Generator: g, Set: r.set, Card: simulate.PlainCard(), Seed: r.seed}
}

func (r Round) record(dir string, i int) error {
	t := r.Test.Takes[i]
	b := r.bench().WithSeed(r.seed + uint64(i))
	return wav.WriteFile(filepath.Join(dir, filepath.FromSlash(t.File)), wav.Format{Rate: b.Card.Rate, Bits: b.Card.Bits}, b.Take(t.Level.DB, seconds))
}

// WriteFile writes beside the file and renames, so that nothing half-written
// is ever seen under its name.
func WriteFile(path string, data []byte) error {
	failed := func(err error) error {
		return fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(path), bare(err))
	}
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*.part")
	if err != nil {
		return failed(err)
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
		return failed(err)
	}
	return nil
}

// bare drops the name that package os puts into its errors.
func bare(err error) error {
	var pe *fs.PathError
	var le *os.LinkError
	switch {
	case errors.As(err, &pe):
		return pe.Err
	case errors.As(err, &le):
		return le.Err
	}
	return err
}
