package change

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/scatter"
)

// generatorShares are the contributions to a point that a generator brings: its
// level, and its deviation.
var generatorShares = map[string]bool{"generator": true, "deviation": true}

// Between is by how many dB less signal the point after does with than the
// point before, where the two come from different jobs; ok is false unless both
// were found on one scale. What each job brought along is independent of the
// other and adds as root-sum-square (GUM, 5.1.2), so a generator counts twice;
// with sameGenerator its level and deviation are off by the same in both, and
// cancel. Pads were put up anew and stay in. The expansion is k = 1.96.
func Between(before, after analyze.Point, sameGenerator bool) (change analyze.Reading, ok bool) {
	if before.Status != analyze.Found || after.Status != analyze.Found || before.Level.Scale != after.Level.Scale {
		return analyze.Reading{}, false
	}
	d := before.Level.DB - after.Level.DB
	sum := 0.0
	for _, p := range []analyze.Point{before, after} {
		if p.NoInterval != "" || p.OneSided != "" || len(p.Shares) == 0 {
			return analyze.Exact("sensitivity", "dB", d, "a point has no interval"), true
		}
		for _, s := range p.Shares {
			if !sameGenerator || !generatorShares[s.Name] {
				sum += s.DB * s.DB
			}
		}
	}
	h := scatter.Normal95 * math.Sqrt(sum)
	return analyze.NewReading("sensitivity", "dB", d, d-h-readsHigh(before), d+h+readsHigh(after)), true
}

// readsHigh is by how many dB a point reads too high at most.
func readsHigh(p analyze.Point) (dB float64) {
	for _, s := range p.ReadsHigh {
		dB += s.DB
	}
	return dB
}

// leastEarlier is how many earlier values tell a spread: of two, the interval is
// wider than anything it could find.
const leastEarlier = 3

// SpreadOf is the spread of earlier values and where this one lies in it: the
// interval is mean +- t s sqrt(1 + 1/n), Student's t with n - 1 degrees of freedom
// (prediction interval of one further normal observation, ISO 16269-8, clause on
// unknown mean and standard deviation; the clause's number from memory). The
// scatter of the readings is part of s already.
func SpreadOf(earlier []float64, this float64) analyze.Spread {
	s := analyze.Spread{Count: len(earlier)}
	if len(earlier) == 0 {
		s.Why = "no earlier set gave it"
		return s
	}
	s.Mean = stat.Mean(earlier, nil)
	if len(earlier) < leastEarlier {
		s.Why = "fewer than three earlier sets gave it"
		return s
	}
	n := float64(len(earlier))
	s.SD = stat.StdDev(earlier, nil)
	h := scatter.StudentT(n-1, 0.95) * s.SD * math.Sqrt(1+1/n)
	s.Low, s.High = s.Mean-h, s.Mean+h
	s.Outside = this < s.Low || this > s.High
	return s
}
