package response

import (
	"fmt"
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/audio"
	"hisspoint/capture"
	"hisspoint/capture/note"
	"hisspoint/capture/signal"
)

// What stepped tones have to show.
const (
	leastTones  = 3     // different frequencies
	equalTone   = 0.005 // ratio within which two plateaus hold the same tone
	repeatMoved = 0.2   // dB by which repeats of a tone may differ besides their scatter
	humBelow    = 20    // dB under the tones' median at which a line on a mains multiple counts as hum
)

// heardTone is a plateau that holds a tone.
type heardTone struct {
	toneLevel
	at     float64 // seconds, of its start
	bin    float64 // Hz of what it was read with
	whole  float64 // seconds without a break
	broken bool    // and whether there was one
}

// leastWhole is how many seconds without a break tell a tone's level.
const leastWhole = 0.15

// atEnds is how many seconds of a tone may be left out without a word, as it swells and
// dies away.
const atEnds = 0.15

// unbroken leaves out tones that break too often, and warns of all that break.
func (r *listener) unbroken(heard []heardTone) []heardTone {
	out := heard[:0:0]
	var kept, left []heardTone
	for _, h := range heard {
		switch {
		case !h.broken:
		case h.whole < leastWhole:
			left = append(left, h)
			continue
		default:
			kept = append(kept, h)
		}
		out = append(out, h)
	}
	r.brokenAt("tone-broken", kept)
	r.brokenAt("tone-broken-left-out", left)
	return out
}

func (r *listener) brokenAt(says string, of []heardTone) {
	if len(of) > 0 {
		r.warn(capture.Unsteady, note.Of(says, note.Tones(frequencies(of))), starts(of)...)
	}
}

func frequencies(of []heardTone) (hz []float64) {
	for _, h := range of {
		hz = append(hz, h.hz)
	}
	return hz
}

func starts(of []heardTone) (at []float64) {
	for _, h := range of {
		at = append(at, h.at)
	}
	return at
}

// stepped reads tones that come one after the other.
func (r *listener) stepped(rs []capture.Recording) error {
	var heard []heardTone
	hum := besideTones{}
	for _, rec := range rs {
		h, err := steppedTones(rec, hum)
		if err != nil {
			return err
		}
		heard = append(heard, h...)
	}
	heard = r.unbroken(r.withoutHum(heard))
	for i, h := range heard {
		heard[i].sd = math.Hypot(h.sd, hum.onto(h))
	}
	tones := r.join(heard)
	if len(tones) < leastTones {
		r.Why = fmt.Sprintf("%d different tones were found, one after the other; a response takes %d or more, 0.5 s each", len(tones), leastTones)
		return nil
	}
	r.Kind = analyze.ResponseStepped
	r.missing(tones)
	r.complete(tones)
	return nil
}

// complete makes the response of tones.
func (r *listener) complete(tones []toneLevel) {
	r.shape(r.deviations(tones))
	if r.OK() {
		r.mask(analyze.LandMobileMask)
	}
}

// steppedTones finds the tones of one recording in the order of time. A tone
// counts if it stands 15 dB above what noise alone would read and keeps still. What hum
// there is beside the tones goes into hum.
func steppedTones(rec capture.Recording, hum besideTones) ([]heardTone, error) {
	f := audio.NewFinder(float64(rec.Rate))
	for b, err := range rec.Blocks() {
		if err != nil {
			return nil, err
		}
		f.Add(b)
	}
	var out []heardTone
	for _, p := range f.Plateaus() {
		part, err := rec.Cut(int64(p.From), int64(p.To-p.From))
		if err != nil {
			return nil, err
		}
		if most := int64(longestResponse * rec.Rate); part.Count > most {
			part.Count = most
		}
		x, err := SamplesOf(part)
		if err != nil {
			return nil, err
		}
		s := audio.NewStretch(x, float64(rec.Rate))
		l := s.Near(p.Hz, math.Max(6, 0.01*p.Hz))
		if !l.Counts() || l.Power < leastSpoken*s.Band(200, math.Min(4000, 0.45*float64(rec.Rate))) {
			continue
		}
		h := heardTone{at: part.FromSeconds(), whole: part.Seconds()}
		from, to, broken := audio.Whole(x, l.Hz, float64(rec.Rate))
		if broken {
			h.whole = float64(to-from) / float64(rec.Rate)
			h.broken = part.Seconds()-h.whole > atEnds
			if h.whole >= leastWhole {
				s = audio.NewStretch(x[from:to], float64(rec.Rate))
				l = s.Near(p.Hz, math.Max(6, 0.01*p.Hz))
			}
		}
		h.toneLevel, h.bin = toneLevel{l.Hz, l.DB(), l.SD()}, s.Bin()
		hum.listen(s, h)
		out = append(out, h)
	}
	return out, nil
}

// leastSpoken is the share of the power in the audio band that a tone has to have,
// so that a held vowel does not count.
const leastSpoken = 0.05

// withoutHum leaves out lines on multiples of the mains that are far weaker than
// the tones: what is heard between them.
func (r *listener) withoutHum(heard []heardTone) []heardTone {
	if len(heard) < leastTones {
		return heard
	}
	var all []float64
	for _, h := range heard {
		all = append(all, h.dB)
	}
	slices.Sort(all)
	middle := all[len(all)/2]
	out := heard[:0:0]
	for _, h := range heard {
		onMains := h.hz < 620 && (math.Abs(math.Remainder(h.hz, 50)) < 1 || math.Abs(math.Remainder(h.hz, 60)) < 1)
		other := slices.ContainsFunc(heard, func(o heardTone) bool { return math.Abs(o.hz/h.hz-1) < equalTone && o.dB > h.dB+humBelow/2 })
		if onMains && (h.dB < middle-humBelow || other) && (other || repeated(heard, h)) {
			continue
		}
		out = append(out, h)
	}
	return out
}

// repeated tells whether a tone is heard more than once.
func repeated(heard []heardTone, h heardTone) bool {
	n := 0
	for _, o := range heard {
		if math.Abs(o.hz/h.hz-1) < equalTone {
			n++
		}
	}
	return n > 1
}

// join puts repeats of a tone together, weighted by their scatter, and warns of
// those that differ. The tones rise.
func (r *listener) join(heard []heardTone) []toneLevel {
	slices.SortStableFunc(heard, func(a, b heardTone) int {
		switch {
		case a.hz < b.hz:
			return -1
		case a.hz > b.hz:
			return 1
		}
		return 0
	})
	var out []toneLevel
	for i := 0; i < len(heard); {
		j := i + 1
		for j < len(heard) && heard[j].hz/heard[i].hz-1 < equalTone {
			j++
		}
		out = append(out, r.one(heard[i:j]))
		i = j
	}
	return out
}

func (r *listener) one(same []heardTone) toneLevel {
	var weight, hz, dB float64
	low, high := same[0], same[0]
	for _, s := range same {
		w := 1 / (s.sd*s.sd + 1e-6)
		weight, hz, dB = weight+w, hz+w*s.hz, dB+w*s.dB
		if s.dB < low.dB {
			low = s
		}
		if s.dB > high.dB {
			high = s
		}
	}
	if d := high.dB - low.dB; d > repeatMoved+2*math.Hypot(high.sd, low.sd) {
		r.warn(capture.GainChanged, note.Of("tone-heard-again", note.Hz(same[0].hz), len(same), note.DB(d)), low.at, high.at)
	}
	t := toneLevel{hz / weight, dB / weight, 1 / math.Sqrt(weight)}
	if len(same) == 1 {
		t = same[0].toneLevel
	}
	return t
}

// missing warns of tones that belong to the list, as far as it is known, and are
// not there; and where all of them stand as a wrong sample rate would put the list.
func (r *listener) missing(tones []toneLevel) {
	list := r.How.TonesHz
	lists := [][]float64{list}
	if len(list) == 0 {
		lists = nil
		for _, fraction := range []int{3, 6, 12} {
			lists = append(lists, signal.StandardSteps(fraction))
		}
	}
	for _, l := range lists {
		if fits(tones, l, 1) {
			r.leftOut(notHeard(l, tones))
			return
		}
	}
	for _, l := range lists {
		for _, at := range wrongRates {
			if fits(tones, l, at) {
				label := float64(r.Files[0].Rate)
				r.warn(capture.RateSuspect, note.Of("ladder-rate-suspect", len(tones), note.Percent(100*at), note.Hz(label), note.Hz(label/at)))
				return
			}
		}
	}
	r.leftOut(notHeard(list, tones))
}

// wrongRates are by how much tones are heard too high where a file says another sample
// rate than the sound was taken with: 44.1 and 48 kHz and their halves and doubles, and
// twice or half the rate.
var wrongRates = []float64{44100. / 48000, 48000. / 44100, 0.5, 2}

// notHeard are the tones of a list that are not among those heard.
func notHeard(list []float64, tones []toneLevel) (gone []float64) {
	for _, hz := range list {
		if !slices.ContainsFunc(tones, func(t toneLevel) bool { return math.Abs(t.hz/hz-1) < equalTone }) {
			gone = append(gone, hz)
		}
	}
	return gone
}

// leftOut warns of tones that were too weak.
func (r *listener) leftOut(hz []float64) {
	if len(hz) > 0 {
		r.warn(capture.ToneMissing, note.Of("tones-too-weak", note.Tones(hz)))
	}
}

// fits tells whether all tones belong to a list, each so many times too high, and most
// of the list is there.
func fits(tones []toneLevel, list []float64, high float64) bool {
	for _, t := range tones {
		if !slices.ContainsFunc(list, func(hz float64) bool { return math.Abs(t.hz/(high*hz)-1) < equalTone }) {
			return false
		}
	}
	return 10*len(tones) >= 6*len(list)
}
