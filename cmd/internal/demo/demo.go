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

// Job is the invented job, with recordings named from its folder.
func Job() (*job.Job, error) {
	uncertainty, rf, supply := half, 27.78125, 13.2
	j := &job.Job{
		ID: "DEMO-1", Set: job.Set{Description: "invented 27 MHz FM transceiver", Serial: "0012345", Mode: "fm"},
		Customer: "invented", Received: "2026-11-02", FaultReported: "hears near stations only",
		Work: []string{"input coil replaced", "receiver realigned"}, Outcome: job.Repaired, Simulated: Simulated,
		Equipment: []job.Equipment{{What: "signal generator", Serial: "SIM-1", LevelUncertaintyDB: &uncertainty}, {What: "sound card", InputGain: "simulated"}},
	}
	conditions := job.RoundConditions{RFMHz: &rf, SupplyVolts: &supply, LevelKind: unit.PD, RFPadDB: padDB, Load: "resistor", LoadOhms: 8}
	for _, r := range []struct {
		name, tested string
		into         **job.Round
	}{{reports.AsFound, "2026-11-02", &j.AsFound}, {reports.AsLeft, "2026-11-04", &j.AsLeft}} {
		t, err := test(r.name)
		if err != nil {
			return nil, err
		}
		*r.into = &job.Round{Tested: r.tested, Conditions: conditions, Tests: []job.Test{{Kind: job.KindSensitivity, Sensitivity: t}}}
	}
	return j, nil
}

// test is the sensitivity test of a round.
func test(round string) (*job.SensitivityTest, error) {
	const text = "0.5 uV PD, invented service manual"
	l, err := job.ParseLimit(text, job.QuantitySensitivity, unit.PD)
	if err != nil {
		return nil, err
	}
	t := &job.SensitivityTest{
		Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}, ToneHz: 1000, Deviation: 1200,
		Filter: job.Filter{Name: job.SpeechBand}, Limit: &l, LimitText: text,
	}
	for _, uv := range levels[round] {
		level, err := unit.ParseLevel(uv+" uV", unit.PD)
		if err != nil {
			return nil, err
		}
		t.Takes = append(t.Takes, job.Take{Level: level, Typed: uv + " uV", File: folder(round) + "/" + uv + "uV.wav"})
	}
	return t, nil
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

// Record simulates and writes all recordings of the job into dir, on all cores.
func Record(dir string, j *job.Job, progress func(done, total int)) error {
	var all []func() error
	for _, r := range []struct {
		round *job.Round
		bench simulate.Bench
	}{{j.AsFound, bench(simulate.Deaf27MHzFM(), 1000)}, {j.AsLeft, bench(simulate.Healthy27MHzFM(), 2000)}} {
		for i, t := range r.round.Tests[0].Sensitivity.Takes {
			all = append(all, func() error { return record(dir, r.bench.WithSeed(r.bench.Seed+uint64(i)), t) })
		}
	}
	work := make(chan func() error)
	var group sync.WaitGroup
	var mutex sync.Mutex
	var failed error
	done := 0
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() {
			for do := range work {
				err := do()
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
	for _, do := range all {
		work <- do
	}
	close(work)
	group.Wait()
	return failed
}

// bench is the simulated bench around a set.
func bench(set simulate.FM, seed uint64) simulate.Bench {
	g := simulate.StandardGenerator()
	g.PadDB = padDB
	return simulate.Bench{Generator: g, Set: set, Card: simulate.PlainCard(), Seed: seed}
}

func record(dir string, b simulate.Bench, t job.Take) error {
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
