package simulate

import "math"

// workRate is the rate in Hz of the IF's complex baseband before it is
// interpolated, and of the audio. It holds an IF of up to about 20 kHz and
// the third harmonic of the highest speech tone.
const workRate = 24000

// stretch is one segment as the set's aerial socket sees it.
type stretch struct {
	end         int64   // first sample at workRate after it
	dBm         float64 // at the set; -Inf when off
	toneHz      float64
	deviationHz float64 // 0 when unmodulated
	depth       float64 // the same
	offsetHz    float64
	subHz       float64
	subHzPeak   float64
	residualHz  float64 // RMS frequency noise a sample at workRate
	volume      float64 // gain against the set's own setting
	jam         *Interferer
	jamDBm      float64   // of jam, where there is one
	wave        []float64 // modulation at workRate instead of a tone: deviation in Hz, or depth
	waveFrom    int64     // sample of the timeline at which it begins
}

// timeline is never empty. Before its start the first stretch rules, after
// its end the last.
type timeline []stretch

func (g Generator) timeline(segments []Segment) timeline {
	line := make(timeline, 0, len(segments)+1)
	at := 0.0
	for _, s := range segments {
		at += s.Seconds
		st := stretch{
			end:    int64(math.Round(at * workRate)),
			dBm:    s.LevelDBm + g.LevelErrorDB - g.PadDB,
			toneHz: first(s.ToneHz, g.ToneHz, 1000), deviationHz: first(s.DeviationHz, g.DeviationHz),
			offsetHz: g.OffsetHz + s.OffsetHz,
			subHz:    g.SubToneHz, subHzPeak: g.SubDeviationHz,
			depth: first(s.Depth, g.Depth), volume: math.Pow(10, s.VolumeDB/20),
			residualHz: residualPerSample(g.ResidualFMHz),
		}
		if s.Off || s.Down {
			st.dBm = math.Inf(-1)
		}
		if g.LeakDBm != 0 && !s.Off {
			st.dBm = 10 * math.Log10(math.Pow(10, st.dBm/10)+math.Pow(10, g.LeakDBm/10))
		}
		if s.Unmodulated {
			st.deviationHz, st.depth = 0, 0
		}
		line = append(line, st)
	}
	if len(line) == 0 {
		line = append(line, stretch{dBm: math.Inf(-1), toneHz: 1000, volume: 1})
	}
	return line
}

// residualBandHz is the band in which a generator's residual FM is stated.
const residualBandHz = 2700.0

// residualPerSample is the RMS of white noise at workRate that has a stated
// RMS in that band.
func residualPerSample(hz float64) float64 { return hz * math.Sqrt(workRate/2/residualBandHz) }

// timeline is that of the generator, with the second generator beside it.
func (b Bench) timeline(segments []Segment) timeline {
	line := b.Generator.timeline(segments)
	for i, s := range segments {
		if s.InterfererDBm != 0 {
			line[i].jam, line[i].jamDBm = &b.Interferer, s.InterfererDBm
		}
	}
	return line
}

// first is the first of its arguments that is not zero.
func first(vs ...float64) float64 {
	for _, v := range vs {
		if v != 0 {
			return v
		}
	}
	return 0
}

func (l timeline) samples() int64 { return l[len(l)-1].end }

// padded is the timeline with its first stretch begun earlier and its last
// made longer; time 0 is then at the new beginning.
func (l timeline) padded(before, after float64) timeline {
	lead := int64(math.Round(before * workRate))
	out := append(timeline(nil), l...)
	for i := range out {
		out[i].end += lead
		out[i].waveFrom += lead
	}
	out[len(out)-1].end += int64(math.Ceil(after * workRate))
	return out
}

// modulation is n samples of the stretch's wave from a sample on, silent
// where there is none.
func (s *stretch) modulation(from int64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		if k := from + int64(i) - s.waveFrom; k >= 0 && k < int64(len(s.wave)) {
			out[i] = s.wave[k]
		}
	}
	return out
}

// each calls do for every part of [from, to) that lies in one stretch.
func (l timeline) each(from, to int64, do func(s *stretch, from, to int64)) {
	for i := range l {
		end := l[i].end
		if i == len(l)-1 || end > to {
			end = to
		}
		if end > from {
			do(&l[i], from, end)
			from = end
		}
	}
}
