package signal

import "math"

// Jumps is one tone at one level after the other, so many seconds each. It jumps
// from level to level at once, its phase running on, so that a limiter shows what
// it lets through before it holds; only the ends are soft.
func Jumps(rate int, hz float64, levels []float64, seconds float64) Signal {
	s := Signal{Name: "jumps-" + frequencyName(hz), Kind: KindLevels, Rate: rate, LevelDBFS: math.Inf(-1),
		About: "one tone that jumps from level to level: microphone gain, limiter and its overshoot"}
	o := oscillator{rate: float64(rate)}
	n, edge := samplesIn(seconds, rate), samplesIn(ramp, rate)
	for i, level := range levels {
		x := make([]float64, n)
		a := amplitude(level)
		o.add(x, hz, func(int) float64 { return a })
		if i == 0 {
			fade(x, edge, func(k int) int { return k })
		}
		if i == len(levels)-1 {
			fade(x, edge, func(k int) int { return len(x) - 1 - k })
		}
		from := float64(len(s.Samples)) / float64(rate)
		s.Samples = append(s.Samples, x...)
		s.Parts = append(s.Parts, Part{From: from, To: float64(len(s.Samples)) / float64(rate), Hz: hz, LevelDBFS: level})
		s.LevelDBFS = math.Max(s.LevelDBFS, level)
	}
	s.PeakDBFS = peakDBFS(s.Samples)
	return s
}

// fade softens n samples; at says where the k-th of them from the silent end is.
func fade(x []float64, n int, at func(k int) int) {
	up := keyed(1, 2*n, n)
	for k := range min(n, len(x)) {
		x[at(k)] *= up(k)
	}
}
