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

	"hisspoint/capture/doors/read"
	"hisspoint/capture/doors/write"
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

// Job is the invented job, with recordings named from its folder.
func Job(everything bool) (*job.Job, error) {
	equipment := instruments()
	rf, supply := 27.78125, 13.2
	j := &job.Job{
		ID: "DEMO-1", Set: job.Set{Description: "invented 27 MHz FM transceiver", Serial: "0012345", Mode: "fm"},
		Customer: "invented", Received: "2026-11-02", Complaints: []job.Complaint{
			{Reported: "hears near stations only", Tests: []string{job.KindSensitivity}, Work: "input coil replaced, receiver realigned"},
			{Reported: "it hums", Tests: []string{job.KindHumNoise}, Work: "reservoir capacitor C31 replaced, which had dried out"},
			{Reported: "others find its voice dull", Tests: []string{job.KindTransmitResponse}, Work: "pre-emphasis of the transmitter restored"},
		},
		Work:    []string{"input coil and reservoir capacitor replaced", "pre-emphasis restored", "receiver realigned"},
		Parts:   []job.Part{{Ref: "C31", Fitted: "1000 \u00b5F 25 V, new", Removed: "1000 \u00b5F 25 V, dried out"}},
		Outcome: job.Repaired, Simulated: Simulated,
		Equipment: equipment,
	}
	conditions := job.RoundConditions{RFMHz: &rf, SupplyVolts: &supply, LevelKind: unit.PD, RFPadDB: padDB, RFPadUncertaintyDB: 0.3, Load: "resistor", LoadOhms: 8}
	for _, r := range []struct {
		name, tested string
		into         **job.Round
	}{{reports.AsFound, "2026-11-02", &j.AsFound}, {reports.AsLeft, "2026-11-04", &j.AsLeft}} {
		round := &job.Round{Tested: r.tested, Conditions: conditions}
		for _, t := range rounds[r.name].tests(everything) {
			made, err := t.job(r.name)
			if err != nil {
				return nil, err
			}
			round.Tests = append(round.Tests, made)
		}
		*r.into = round
	}
	return j, nil
}

// instruments state what a careful shop knows of them; the rest is assumed.
func instruments() []job.Equipment {
	of := func(v float64) *float64 { return &v }
	fullScale := simulate.PlainCard().FullScaleVolts
	return []job.Equipment{
		{What: "signal generator", Serial: "SIM-1", LevelUncertaintyDB: of(half), DeviationPercent: of(5), DistortionPercent: of(0.5), ResponseDB: of(0.2)},
		{What: "sound card", InputGain: "simulated", FullScaleVolts: &fullScale, ResponseDB: of(0.1)},
		{What: "monitor receiver", Serial: "SIM-2", ResponseDB: of(0.3), DistortionPercent: of(0.5)},
	}
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
		return fmt.Errorf("%s: cannot be used: %w", name, read.Bare(err))
	case !info.IsDir():
		return fmt.Errorf("%s: is a file; name another folder with --dir", name)
	default:
		text, err := read.Whole(filepath.Join(dir, Marker), 1<<10)
		if err != nil || string(text) != markerText {
			return fmt.Errorf("%s: exists and is not a demo's folder; nothing was written; name another with --dir", name)
		}
	}
	for _, sub := range []string{"", folder(reports.AsFound), folder(reports.AsLeft)} {
		if err := write.Folder(filepath.Join(dir, sub)); err != nil {
			return fmt.Errorf("%s: cannot be made: %w", filepath.ToSlash(filepath.Join(dir, sub)), err)
		}
	}
	if err := write.Replace(filepath.Join(dir, Marker), write.Open, []byte(markerText)); err != nil {
		return fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(filepath.Join(dir, Marker)), err)
	}
	return nil
}

// Record simulates and writes all recordings of the job into dir, on all cores.
func Record(dir string, everything bool, progress func(done float64, total int, things string)) error {
	var all []func() error
	for _, name := range []string{reports.AsFound, reports.AsLeft} {
		r := rounds[name]
		for i, t := range r.tests(everything) {
			for k, f := range t.files(name) {
				all = append(all, func() error { return record(dir, f, r.seed+uint64(100*i+k)) })
			}
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
					progress(float64(done), len(all), "recordings")
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

// record simulates one recording.
func record(dir string, f file, seed uint64) error {
	rate, bits, x := f.record(seed)
	return wav.WriteFile(filepath.Join(dir, filepath.FromSlash(f.name)), wav.Format{Rate: rate, Bits: bits}, x)
}
