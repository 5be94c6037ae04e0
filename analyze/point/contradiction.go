package point

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/curve"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Contradiction is a level whose readings do not fit those at the other levels of its
// series.
type Contradiction struct {
	LevelDB float64
	OffDB   float64 // by how much its reading lies above what the others let expect there
	S       float64 // standard error of that
	Fits    bool    // such a reading lies on the curve of the others,
	FitsDB  float64 // at that level
}

// How far a reading has to lie off to be told, beyond what chance does to one level in
// several hundred: standard errors of the readings, those of the set's own course, which
// is bounded (two of them hold 99 in 100 of simulated FM receivers), and dB.
const (
	offSigmas = 3.5
	offStrays = 2
	offDB     = 0.4
)

// doubt is how far a residual lies beyond what is allowed for: above 1 it is told.
func doubt(r curve.Residual) float64 {
	return math.Abs(r.Off) / math.Max(offDB, offSigmas*r.S+offStrays*r.Strays)
}

// Contradictions are the levels of a series whose readings contradict the others: each is
// left out in turn, the curve of a set of that mode is drawn through the others, and its
// reading is held against it with the joint uncertainty of both. Of one wrong level its
// neighbours look wrong as well, so only the worst is named, then the worst of those that
// are left. The first and the last level are held against none.
func Contradictions(rows []analyze.Used, c job.Criterion, mode string) []Contradiction {
	var samples []curve.Sample
	for _, r := range rows {
		if w := r.Get(c.Quantity); r.Level.Scale != unit.Off && w.HasInterval() {
			samples = append(samples, curve.Sample{X: r.Level.DB, Y: w.Value, S: analyze.StandardError(w)})
		}
	}
	return contradictions(samples, mode)
}

func contradictions(samples []curve.Sample, mode string) (all []Contradiction) {
	for range len(samples) / 3 { // where more than a third is wrong, nothing tells which
		var worst *curve.Residual
		for _, r := range courseOf(mode).Residuals(samples) {
			if d := doubt(r); d > 1 && (worst == nil || d > doubt(*worst)) {
				worst = &r
			}
		}
		if worst == nil {
			return all
		}
		all = append(all, Contradiction{LevelDB: worst.X, OffDB: worst.Off, S: math.Hypot(worst.S, worst.Strays), Fits: !math.IsNaN(worst.Fits), FitsDB: worst.Fits})
		var rest []curve.Sample
		for _, s := range samples {
			if math.Abs(s.X-worst.X) > 1e-6 {
				rest = append(rest, s)
			}
		}
		samples = rest
	}
	return all
}

// doubted are all places whose residual is told: of one wrong level its neighbours look
// wrong as well, and any of them may be the one.
func doubted(samples []curve.Sample, mode string) (places []float64) {
	for _, r := range courseOf(mode).Residuals(samples) {
		if doubt(r) > 1 {
			places = append(places, r.X)
		}
	}
	return places
}
