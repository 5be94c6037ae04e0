package hint

import (
	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// floorMargin is by how much a noise has to stand above the bench's own, in dB, to
// be the set's: with 10 dB the bench adds 0.4 dB to it.
const floorMargin = 10

// OfBench adds to the tests of a round what the bench's own tests say of
// them: a leak makes low levels untrustworthy, and noise near the bench floor is
// not the set's own.
func OfBench(tests []Tested) {
	f := findings{tests}
	leak, leaks := f.figure(job.KindLeakage, job.FigureLeak)
	floor, has := f.figure(job.KindBenchFloor, analyze.NoiseLevel)
	hum, hums := f.figure(job.KindBenchFloor, analyze.HumLevel)
	for _, t := range tests {
		if r := t.Result; r != nil && hums && t.Kind == job.KindHumNoise {
			for _, u := range r.Rows {
				if own := u.Measured.Get(analyze.HumLevel); u.Take.State == job.StateCarrier && own.OK() && hum.Value > own.Value-6 {
					r.Warnings = append(r.Warnings, capture.Warning{Code: capture.BenchFloor, Says: note.Of("hum-stays", note.DBFS(hum.Value), note.DBFS(own.Value))})
				}
			}
		}
		if r := t.Result; r != nil && r.Point != nil && leaks {
			r.Warnings = append(r.Warnings, capture.Warning{Code: capture.Leakage, Says: note.Of("generator-heard", note.DB(leak.Value))})
		}
		kind, _ := job.KindOf(t.Kind)
		if r := t.Result; r != nil && !kind.OfBench && !kind.Transmit {
			for _, u := range r.Series() {
				if has && !analyze.MutedIn(u) && near(floor, u.Measured.Get(analyze.NoiseLevel)) {
					r.Warnings = append(r.Warnings, nearFloor(floor))
					break
				}
			}
		}
	}
}

func near(floor, noise analyze.Reading) bool {
	return noise.OK() && noise.Value < floor.Value+floorMargin
}

func nearFloor(floor analyze.Reading) capture.Warning {
	return capture.Warning{Code: capture.BenchFloor, Says: note.Of("noise-near-floor", note.DBFS(floor.Value))}
}
