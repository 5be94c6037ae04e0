// Package soundness is whether a recording can be trusted: warnings of clipped, lost,
// swapped or processed sound, and the part that is steady enough to be used. It must
// not know readings, levels or tests: it sees samples and the sums of chunks.
package soundness

import (
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/track"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// Examine finds what is wrong with the sound of a recording, and which part of
// it is used: all of it if it is steady, else its longest steady part. A part
// that was cut out by hand is taken as it is. The warnings look at all of r, and
// Around at all of the file; their times count from the start of the file.
//
// again measures another part; nil if none is to be chosen.
func Examine(m *analyze.Measured, r capture.Recording, parts []chunk.Sums, t chunk.Totals, how job.Reading, again func(capture.Recording) (chunk.Totals, error)) (chunk.Totals, error) {
	s := sound{m: m, r: r, used: r, parts: parts, t: t, course: courseOf(chunk.TrailOf(parts)), how: how}
	t, err := s.examine(again)
	if err == nil && t.Refuse == "" {
		err = s.processing(t)
	}
	return t, err
}

func (s *sound) examine(again func(capture.Recording) (chunk.Totals, error)) (chunk.Totals, error) {
	t, c, r := s.t, &s.course, s.r
	s.samples()
	s.slipped(t, r.FromSeconds())
	byHand := r.First > 0 || r.Count < r.Total || again == nil
	if len(s.bad) > 0 {
		t.Why, t.Refuse = string(capture.NotFinite), string(capture.NotFinite)
		return t, nil
	}
	if c.steady() {
		return t, nil
	}
	s.changed()
	used := note.Of("used-as-asked")
	s.uneven = true
	var err error
	if !byHand {
		t, used, err = s.choose(again)
	}
	if len(s.t.Slips) == 0 {
		s.slipped(t, s.m.From)
	}
	says, at := c.changes()
	s.warn(capture.Unsteady, note.Run(says, "; ", used), s.fromFile(at))
	return t, err
}

// choose measures the longest steady part in place of the whole.
func (s *sound) choose(again func(capture.Recording) (chunk.Totals, error)) (chunk.Totals, note.Note, error) {
	t := s.t
	if t.WithTone > 0 && s.course.onlyHum(t.Loose) {
		return t, note.Of("used-with-hum"), nil
	}
	from, to, ok := s.course.longest(s.r.Seconds())
	if ok && (t.WithTone > 0 || s.course.steadyTone(from, to)) {
		rate := float64(s.r.Rate)
		first := int64(math.Ceil(from * rate))
		cut, err := s.r.Cut(first, min(s.r.Count, int64(to*rate))-first)
		if err != nil {
			return t, note.Note{}, err
		}
		if t, err = again(cut); err != nil {
			return t, note.Note{}, err
		}
		s.used, s.uneven = cut, false
		s.m.From, s.m.To = cut.FromSeconds(), cut.ToSeconds()
		return t, note.Of("used-part", note.Seconds(s.m.From), note.Seconds(s.m.To)), nil
	}
	if s.t.WithTone > 0 {
		t.Refuse = string(capture.Unsteady)
		return t, note.Of("used-none"), nil
	}
	return t, note.Of("used-all"), nil
}

// sound is a recording under examination.
type sound struct {
	m      *analyze.Measured
	r      capture.Recording
	used   capture.Recording // the part of it in use
	uneven bool              // that part is not steady
	parts  []chunk.Sums
	t      chunk.Totals
	course course
	how    job.Reading
	bad    []float64
}

// warn adds a warning; a code that is there already gets the new words.
func (s *sound) warn(code capture.Code, says note.Note, at []float64) {
	const most = 50
	w := capture.Warning{Code: code, Says: says, AtS: at[:min(len(at), most)]}
	if i := slices.IndexFunc(s.m.Warnings, func(o capture.Warning) bool { return o.Code == code }); i >= 0 {
		s.m.Warnings[i] = w
		return
	}
	s.m.Warnings = append(s.m.Warnings, w)
}

// fromFile turns times in the recording into times in the file, to the millisecond.
func (s *sound) fromFile(at []float64) []float64 {
	out := make([]float64, len(at))
	for i, v := range at {
		out[i] = math.Round(1000*(v+s.r.FromSeconds())) / 1000
	}
	return out
}

// Changes of the recording chain, not of the signal.
const (
	settleTone  = 1.0 // dB by which an automatic gain moves the tone at least
	settleNoise = 3.0 // dB by which a suppressor moves the noise at least
	sinkTone    = 6.0 // dB by which a tone sinks against the noise when a suppressor takes it for noise
	sinkSeconds = 2.0 // within which it does
)

// changed tells a gain that moves, which takes tone and noise along, and
// processing that settles, from a signal that changes.
func (s *sound) changed() {
	c := &s.course
	s.gain()
	if db := c.sinks(); db > 0 {
		s.warn(capture.ProcessedAudio, note.Of("tone-taken-for-noise", note.DB(db)), nil)
		return
	}
	if db := c.cancelled(); db > 0 {
		s.warn(capture.ProcessedAudio, note.Of("tone-taken-for-echo", note.DB(db)), nil)
		return
	}
	tone := settling(c.Curves.Tone)
	noise := settling(c.Curves.Noise)
	switch {
	case len(c.gaps) > 0:
	case math.Abs(noise) >= settleNoise && (!c.tone || math.Abs(tone) < math.Abs(noise)/2):
		s.warn(capture.ProcessedAudio, note.Of("noise-settles", note.DB(noise)), nil)
	case c.tone && math.Abs(tone) >= settleTone:
		s.warn(capture.ProcessedAudio, note.Of("tone-settles", note.DB(tone)), nil)
	}
}

// sinks is by how much the tone falls against the noise within the first seconds of a
// recording in which it then stays, weaker, to the end; 0 if it does not.
func (c *course) sinks() float64 {
	n := len(c.parts)
	if !c.tone || n < 2 || len(c.gaps) > 0 {
		return 0
	}
	first, last := c.parts[0], c.parts[n-1]
	if 2*(last.To-last.From) < len(c.Hops) || c.Hops[last.From].From > sinkSeconds {
		return 0
	}
	for _, p := range c.parts[:n-1] {
		if p.tone > first.tone {
			first = p
		}
	}
	if d := first.tone - last.tone; d-math.Max(0, first.noise-last.noise) >= sinkTone {
		return d
	}
	return 0
}

// gain warns of a level that changes for tone and noise alike.
func (s *sound) gain() {
	c := &s.course
	step := s.step()
	dt, hops := c.moved(10 * math.Log10(math.Max(1e-30, step*step/6)))
	if dt == 0 {
		return
	}
	var at []float64
	for _, k := range hops {
		at = append(at, c.Hops[k].From)
	}
	how := "gain-steps"
	if len(at) >= 3 {
		how = "gain-creeps"
	}
	s.warn(capture.GainChanged, note.Of(how, note.DB(dt)), s.fromFile(at))
}

// settling is by how much a curve moves, smoothly, from its beginning to an end
// at which it stays: 0 if it does neither.
func settling(x []float64) float64 {
	const start, window = 5, 5
	n := len(x)
	if n < 40 {
		return 0
	}
	smooth := make([]float64, n-window+1)
	for i := range smooth {
		smooth[i] = track.Median(x[i : i+window])
	}
	first, end := track.Median(x[:start]), track.Median(x[n*6/10:])
	d := end - first
	if math.Abs(d) < settleTone || math.Abs(track.Median(x[n*8/10:])-track.Median(x[n*6/10:n*8/10])) > math.Abs(d)/6 {
		return 0
	}
	middle, against, last := 0, 0, 0.0
	for _, v := range smooth[:n*6/10] {
		share := (v - first) / d
		if share > 0.2 && share < 0.8 {
			middle++
		}
		if share > 1.5 || share < -0.5 || share < last-0.3 {
			against++
		}
		last = math.Max(last, share)
	}
	if middle < 8 || against > middle/8 {
		return 0
	}
	return d
}

// Listen tells what single samples of a recording show; bad tells that some are no
// numbers.
func Listen(r capture.Recording) (heard []capture.Warning, bad bool, err error) {
	m := analyze.Measured{}
	s := sound{m: &m, r: r}
	piece := make([]float64, 0, 1<<18)
	scan := func() {
		var p chunk.Sums
		p.N, p.Samples = len(piece), track.Scan(piece, float64(r.Rate))
		s.parts = append(s.parts, p)
		piece = piece[:0]
	}
	for b, err := range r.Blocks() {
		if err != nil {
			return nil, false, err
		}
		for len(b) > 0 {
			k := min(len(b), cap(piece)-len(piece))
			piece = append(piece, b[:k]...)
			b = b[k:]
			if len(piece) == cap(piece) {
				scan()
			}
		}
	}
	if len(piece) > 0 {
		scan()
	}
	if len(s.parts) == 0 {
		return nil, false, nil
	}
	s.numbers()
	s.clipping()
	s.swapped()
	for _, p := range s.parts {
		if math.Max(p.Samples.Max, -p.Samples.Min) > farBeyond {
			return m.Warnings, true, nil
		}
	}
	return m.Warnings, len(s.bad) > 0, nil
}

// farBeyond is how far beyond full scale samples are no sound any more.
const farBeyond = 1e6
