package kind

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/track"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

const (
	attackLevel   = 0.9   // of the audio's final level (TIA-603, from memory)
	attackEdge    = 2.0   // ms by which the time of an opening is known: two edges, each within a period of 1 kHz
	attackLonger  = 1.0   // s within which the final level is reached
	finalSeconds  = 0.02  // windows in which the final level is read
	stepSeconds   = 25e-5 // of the amplitude that is followed up to it
	levelKnown    = 0.03  // share by which the final level may be off
	leakMost      = 0.25  // amplitude of a mute's leak to that of the open audio, at most
	leakSeconds   = 0.005 // that it lasts at least
	leakKeeps     = 2.5   // ratio to which it keeps meanwhile: what rises more is the audio on its way up
	softSeconds   = 0.003 // for which a mute before the de-emphasis (750 us) rings
	softLeast     = 75e-5 // s by which low sound outlasts high sound then
	softThreshold = 0.05  // of the level before
)

// amplitudes are those of the tone, each over win samples around a place, from first
// to before last in steps.
func (s *squelch) amplitudes(first, last, win, step int, hz float64) ([]float64, error) {
	x, err := s.read(first-win/2, last+win/2)
	if err != nil {
		return nil, err
	}
	var amp []float64
	for i := 0; i+win <= len(x); i += step {
		amp = append(amp, amplitudeAt(x[i:i+win], hz/float64(s.r.Rate)))
	}
	return amp, nil
}

// pastLeak is the sample at which the audio opens, where an open stretch begins with
// the tone that a mute lets through: weak, and as weak until the mute goes.
func (s *squelch) pastLeak(w heard, first int) (int, bool, error) {
	rate := float64(s.r.Rate)
	hop := max(1, int(0.0025*rate))
	win := max(4*hop, int(2*rate/w.hz))
	end := min(w.gone, first+int(attackLonger*rate))
	amp, err := s.amplitudes(first+win/2, end-win/2, win, hop, w.hz)
	if err != nil || len(amp) < 8 {
		return first, false, err
	}
	limit := leakMost * track.Median(amp[len(amp)/2:])
	n := 0
	for n < len(amp) && amp[n] < limit {
		n++
	}
	if float64(n*hop) < leakSeconds*rate || n == len(amp) {
		return first, false, nil
	}
	low, high := math.Inf(1), 0.0
	for _, a := range amp[n/5 : max(n/5+1, n*4/5)] {
		low, high = math.Min(low, a), math.Max(high, a)
	}
	if high > leakKeeps*low {
		return first, false, nil
	}
	at, err := s.edge(first+n*hop+win/2, first, end)
	return at, err == nil, err
}

// reaches is the sample, and the samples by which it may be off, at which the tone
// reaches 90 % of its final level after an opening at first. The amplitude, over one
// period each, is made to rise only (isotonic least squares), so noise does not cross
// early.
func (s *squelch) reaches(w heard, first int) (at, off float64, ok bool, err error) {
	rate := float64(s.r.Rate)
	end := min(w.goneLow-int(0.01*rate), first+int(attackLonger*rate))
	long := int(finalSeconds * rate)
	if end-first < 2*long {
		return 0, 0, false, nil
	}
	settled, err := s.amplitudes(first+(end-first)/2, end-long/2, long, long/2, w.hz)
	if err != nil || len(settled) == 0 {
		return 0, 0, false, err
	}
	final := track.Median(settled)
	step, period := max(1, int(stepSeconds*rate)), int(math.Round(rate/w.hz))
	begin := max(period, first-4*period)
	amp, err := s.amplitudes(begin, end-period, period, step, w.hz)
	if err != nil || len(amp) == 0 {
		return 0, 0, false, err
	}
	rising := isotonic(amp)
	crosses := func(level float64) float64 {
		for i, a := range rising {
			if a >= level*final {
				return float64(begin + i*step)
			}
		}
		return float64(end)
	}
	if at = crosses(attackLevel); at <= float64(first+2*period) { // the amplitude of a period does not tell it from a switch
		return float64(first), 0, true, nil
	}
	off = (crosses(attackLevel+levelKnown) - crosses(attackLevel-levelKnown)) / 2
	return at, off, true, nil
}

// isotonic is the least-squares fit to x that never falls: neighbours that do are
// pooled (Ayer et al. 1955).
func isotonic(x []float64) []float64 {
	type pool struct {
		sum float64
		n   int
	}
	var pools []pool
	for _, v := range x {
		pools = append(pools, pool{v, 1})
		for k := len(pools) - 1; k > 0 && pools[k-1].sum*float64(pools[k].n) > pools[k].sum*float64(pools[k-1].n); k-- {
			pools[k-1].sum += pools[k].sum
			pools[k-1].n += pools[k].n
			pools = pools[:k]
		}
	}
	out := make([]float64, 0, len(x))
	for _, p := range pools {
		for range p.n {
			out = append(out, p.sum/float64(p.n))
		}
	}
	return out
}

// openingTime is from the coming of the signal to 90 % of the audio's final level; of
// audio without a tone, to the audio.
func (s *squelch) openingTime(w heard, first int, e analyze.Event) (analyze.Reading, error) {
	none := func(why analyze.Why) (analyze.Reading, error) { return analyze.None(job.FigureOpening, "ms", why), nil }
	if e.NoStart {
		return none("the recording begins open")
	}
	if len(s.keys) == 0 {
		return none("when the signal came is not known")
	}
	for i := len(s.keys) - 1; i >= 0; i-- {
		k := s.keys[i]
		if e.AtS < k.From-1e-3 || e.AtS >= k.To {
			continue
		}
		ms, half := 1000*(e.AtS-k.From), attackEdge
		if w.hz > 0 {
			at, off, ok, err := s.reaches(w, first)
			if err != nil {
				return analyze.Reading{}, err
			}
			if !ok {
				return none("it closed before its level was reached")
			}
			ms = 1000 * (s.seconds(int(at)) - k.From)
			half += 1000 * off / float64(s.r.Rate)
		}
		ms = math.Max(0, ms)
		return analyze.NewReading(job.FigureOpening, "ms", ms, math.Max(0, ms-half), ms+half), nil
	}
	return none("no signal was keyed then")
}

// soft tells whether the mute stands before the de-emphasis, which rings on: low sound
// outlasts the high sound at the mute.
func (s *squelch) soft(last int) (bool, error) {
	rate := float64(s.r.Rate)
	before, after := int(0.01*rate), int(2*softSeconds*rate)
	x, err := s.read(last-before, last+after)
	if err != nil || len(x) < before+after {
		return false, err
	}
	muted := stat.Mean(x[before+after/2:], nil)
	low := make([]float64, len(x))
	for i, v := range x {
		low[i] = v - muted
	}
	high := differences(differences(x))
	ends := func(y []float64) int {
		limit := softThreshold * math.Sqrt(stat.Mean(squares(y[2:before*2/3]), nil))
		for i := len(y) - 1; i > 0; i-- {
			if math.Abs(y[i]) >= limit {
				return i
			}
		}
		return 0
	}
	return float64(ends(low)-ends(high)) >= softLeast*rate, nil
}

func squares(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v * v
	}
	return out
}

// unread is a warning of openings that closed without a figure for it; nil: there are none.
func unread(events []analyze.Event) []capture.Warning {
	var at []float64
	var why analyze.Why
	for _, e := range events {
		for _, r := range e.Readings {
			if r.Name != job.FigureTail || r.OK() || e.NoEnd {
				continue
			}
			if why == "" {
				why = r.Why
			}
			at = append(at, math.Round(1000*e.AtS)/1000)
		}
	}
	if len(at) == 0 {
		return nil
	}
	says := "openings-unread"
	if len(at) == 1 {
		says = "opening-unread"
	}
	return []capture.Warning{{Code: capture.OpeningUnread, Says: note.Of(says, len(at), string(why)), AtS: at}}
}

// softSays is what is said of a mute before the de-emphasis.
var softSays = note.Of("audio-rings-on", note.MS(1000*softSeconds))
