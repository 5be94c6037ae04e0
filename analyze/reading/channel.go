package reading

import (
	"fmt"
	"iter"
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// When the channels of one file hold the same sound, and when one of them but leaks.
const (
	heldSeconds  = 10    // of the middle of a channel that are measured
	heldPieces   = 6     // of a second each, in which a tone that does not last is looked for
	clearDB      = 0.1   // by which a channel has to be better, or louder, to be taken before an earlier one
	crosstalkDB  = 50.0  // a tone so far under that of another channel leaked from it
	quietDB      = 30.0  // sound so far under that of another channel is none, where no tone tells
	alikeNoise   = 0.023 // share of noise and distortion by which channels may differ: 0.1 dB
	alikeShare   = 1e-5  // or of the whole: what two inputs of one card add, if
	alikeSINAD   = 0.5   // dB are all by which SINAD differs then
	alikeOverall = 1e-4  // share of the whole, where no tone tells: 0.1 dB of a level
	alikeSlope   = 0.01  // share that the slope adds at most: 0.1 rad; more of it undoes a de-emphasis
	alikeFloor   = -85.0 // dBFS of a difference that inputs of a card make by themselves
)

// Held is what one channel of a file holds: its readings, and whether a tone is in it,
// at least for a second.
type Held struct {
	analyze.Measured
	Tone  bool
	alike []bool // with which of the channels before it is one and the same
}

// Channels measures each channel of a file, no more than 10 s of its middle.
func Channels(channels []capture.Recording, how job.Reading) ([]Held, error) {
	all := make([]Held, len(channels))
	for i, r := range channels {
		middle, err := middleOf(r, heldSeconds)
		if err != nil {
			return nil, err
		}
		if all[i].Measured, err = Measure(middle, how); err != nil {
			return nil, err
		}
		if all[i].Tone, err = holdsTone(r, all[i].Measured, how); err != nil {
			return nil, err
		}
	}
	return all, compare(all, channels)
}

func middleOf(r capture.Recording, seconds int64) (capture.Recording, error) {
	n := seconds * int64(r.Rate)
	if r.Count <= n {
		return r, nil
	}
	return r.Cut((r.Count-n)/2, n)
}

// holdsTone tells whether a tone stands in a recording, or in a second of it.
func holdsTone(r capture.Recording, m analyze.Measured, how job.Reading) (bool, error) {
	n := int64(r.Rate)
	if s := m.Get(analyze.SINAD); s.OK() || s.Why == analyze.WhyUnsteady || r.Count < 2*n {
		return s.OK() || s.Why == analyze.WhyUnsteady, nil
	}
	for i := range int64(heldPieces) {
		piece, err := r.Cut((r.Count-n)*i/(heldPieces-1), n)
		if err != nil {
			return false, err
		}
		m, err := Measure(piece, how)
		if err != nil || m.Get(analyze.SINAD).OK() {
			return err == nil, err
		}
	}
	return false, nil
}

// compare finds which channels hold one and the same sound.
func compare(all []Held, channels []capture.Recording) error {
	for i := range all {
		all[i].alike = make([]bool, i)
		for k := range i {
			if !all[k].Get(analyze.Level).OK() || !all[i].Get(analyze.Level).OK() {
				continue
			}
			var err error
			if all[i].alike[k], err = alike(all[k].Measured, all[i].Measured, channels[k], channels[i]); err != nil {
				return err
			}
		}
	}
	return nil
}

// alike tells whether b is a at another gain, the other way up perhaps and a little
// late: whether what is left of b when a and its slope are fitted to it makes no
// figure differ by more than some 0.1 dB. It reads both side by side, twice, rather than
// keep them.
func alike(a, b analyze.Measured, ra, rb capture.Recording) (bool, error) {
	n, mx, my := 0, 0.0, 0.0
	if err := inStep(ra, rb, func(u, v float64) { n, mx, my = n+1, mx+u, my+v }); err != nil || n < 2 {
		return false, err
	}
	mx, my = mx/float64(n), my/float64(n)
	var xx, xd, dd, xy, dy, yy, last float64
	first := true
	err := inStep(ra, rb, func(x, y float64) {
		u, d, v := x-mx, x-last, y-my
		if last = x; first {
			first = false
			return
		}
		xx += u * u
		xd += u * d
		dd += d * d
		xy += u * v
		dy += d * v
		yy += v * v
	})
	if err != nil {
		return false, err
	}
	det := xx*dd - xd*xd
	if !(det > 0) || !(yy > 0) {
		return false, nil
	}
	g, h := (xy*dd-dy*xd)/det, (dy*xx-xy*xd)/det
	if h*h*dd > alikeSlope*g*g*xx {
		return false, nil
	}
	left := math.Max(0, yy-g*xy-h*dy) / yy
	if analyze.DBFS(left*yy/float64(n-1)) <= alikeFloor {
		return true, nil
	}
	s, r := a.Get(analyze.SINAD), b.Get(analyze.SINAD)
	if !s.OK() || !r.OK() {
		return left <= alikeOverall, nil
	}
	noise := math.Pow(10, -r.Value/10) // of the whole; SINAD is (S+N+D)/(N+D)
	return left <= alikeNoise*noise || left <= alikeShare && math.Abs(s.Value-r.Value) <= alikeSINAD, nil
}

// inStep hands out the samples of two recordings side by side, no more than 10 s of
// their middle and as long as both last.
func inStep(a, b capture.Recording, do func(x, y float64)) error {
	a, err := middleOf(a, heldSeconds)
	if err != nil {
		return err
	}
	if b, err = middleOf(b, heldSeconds); err != nil {
		return err
	}
	next, stop := iter.Pull2(b.Blocks())
	defer stop()
	var y []float64
	for x, err := range a.Blocks() {
		if err != nil {
			return err
		}
		for len(x) > 0 {
			if len(y) == 0 {
				var more bool
				if y, err, more = next(); err != nil || !more {
					return err
				}
			}
			n := min(len(x), len(y))
			for i := range n {
				do(x[i], y[i])
			}
			x, y = x[n:], y[n:]
		}
	}
	return nil
}

// Pick chooses one channel for all files of a test: the one that holds a tone, in any
// of them; if none does, the loudest. Where two hold a tone and are not one and the
// same in every file, why says so and what they hold: no figure may come from the
// better one. Of a response, whose sound is no steady tone, bySound takes sound less
// than 30 dB under the loudest for it. The first of equal ones wins. All files need
// the same number of channels.
func Pick(files [][]Held, bySound bool) (channel int, why string) {
	if len(files) == 0 {
		return 0, ""
	}
	count := len(files[0])
	for _, f := range files {
		count = min(count, len(f))
	}
	holders := holdersIn(files, count, bySound)
	if len(holders) == 0 {
		return loudest(files, count), ""
	}
	for i, a := range holders {
		for _, b := range holders[i+1:] {
			if f := differing(files, a, b, bySound); f != nil {
				return bestOf(files, holders), Says(f)
			}
		}
	}
	return bestOf(files, holders), ""
}

// Beside is the other channel of a file in which sound without a tone is about as loud as
// in the one chosen, though no file of the test has a tone in it: it may be that of a set
// that gives none, and the tone the generator's own. Its number from 0, its level in dBFS.
func Beside(files [][]Held, f, chosen int) (channel int, level float64, ok bool) {
	if !files[f][chosen].Tone {
		return 0, 0, false
	}
	own := files[f][chosen].level(analyze.Level)
	for c := range files[f] {
		toned := slices.ContainsFunc(files, func(f []Held) bool { return c < len(f) && f[c].Tone })
		if l := files[f][c].level(analyze.Level); c != chosen && !toned && l > own-quietDB {
			return c, l, true
		}
	}
	return 0, 0, false
}

// differing is a file that shows that two channels, which hold what is measured in some
// file each, are not one and the same; nil if they are in all files in which both do.
func differing(files [][]Held, a, b int, bySound bool) []Held {
	together := false
	for _, f := range files {
		if !holds(f, a, bySound) || !holds(f, b, bySound) {
			continue
		}
		if !f[b].alike[a] {
			return f
		}
		together = true
	}
	if together {
		return nil
	}
	return files[0]
}

// holdersIn are the channels that hold what is measured.
func holdersIn(files [][]Held, count int, bySound bool) []int {
	var out []int
	for c := range count {
		if slices.ContainsFunc(files, func(f []Held) bool { return holds(f, c, bySound) }) {
			out = append(out, c)
		}
	}
	return out
}

func holds(f []Held, c int, bySound bool) bool {
	what, far := analyze.ToneLevel, crosstalkDB
	if bySound {
		what, far = analyze.Level, quietDB
	} else if !f[c].Tone {
		return false
	}
	own := f[c].level(what)
	for i := range f {
		if f[i].level(what) > own+far {
			return false
		}
	}
	return !math.IsInf(own, -1)
}

// level is a level in dBFS: that of all sound where a tone does not last, and minus
// infinity where there is none.
func (h Held) level(what string) float64 {
	for _, name := range []string{what, analyze.Level} {
		if r := h.Get(name); r.OK() {
			return r.Value
		}
	}
	return math.Inf(-1)
}

// bestOf is the holder in whose best file the tone stands clearest.
func bestOf(files [][]Held, holders []int) int {
	best, top := holders[0], math.Inf(-1)
	for _, c := range holders {
		s := math.Inf(-1)
		for _, f := range files {
			if r := f[c].Get(analyze.SINAD); r.OK() {
				s = math.Max(s, r.Value)
			}
		}
		if s > top+clearDB {
			best, top = c, s
		}
	}
	return best
}

func loudest(files [][]Held, count int) int {
	best, top := 0, math.Inf(-1)
	for c := range count {
		l := math.Inf(-1)
		for _, f := range files {
			l = math.Max(l, f[c].level(analyze.Level))
		}
		if l > top+clearDB {
			best, top = c, l
		}
	}
	return best
}

// Says is what each channel of a file holds, behind its name.
func Says(f []Held) string {
	var says []string
	for _, h := range f {
		holds := "no sound"
		if l := h.Get(analyze.Level); l.OK() {
			holds = fmt.Sprintf("sound at %.1f dBFS without a steady tone", l.Value)
		}
		if s := h.Get(analyze.SINAD); s.OK() {
			holds = fmt.Sprintf("%.1f Hz at %.1f dBFS, SINAD %.1f dB", h.Get(analyze.ToneFrequency).Value, h.Get(analyze.ToneLevel).Value, s.Value)
		}
		says = append(says, fmt.Sprintf("channel %d holds %s", h.Origin.Channel, holds))
	}
	return f[0].Origin.File + ": " + strings.Join(says, ", ")
}
