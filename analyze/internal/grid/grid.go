// Package grid tells sound that was coded by a transform coder and decoded again.
//
// Such a coder transforms frames of fixed length and rounds the coefficients, many
// of them to nothing. The same transform of the decoded sound shows these zeros, but
// only where its frames stand as the coder's did; at any other offset they are as
// full as their neighbours. So of all offsets o of the frames the mean
//
//	S(o) = mean log2(X^2 + e^2)
//
// over frames and coefficients X sinks at one. A steady tone makes S wave as well,
// with its phase in the frame; that wave is taken off, and in the end the offset is
// held against others a whole number of its periods away.
//
// The idea is common in audio forensics (detecting compression by its frame offsets),
// constants are from trials of our own. The transforms are from ISO/IEC 11172-3
// (MP3), ISO/IEC 14496-3 (AAC), Vorbis I and RFC 6716 (Opus, its CELT layer).
package grid

import (
	"cmp"
	"math"
	"slices"
)

// Found is a grid of frames.
type Found struct {
	Coder    string  // AACOrVorbis, MP3 or Opus
	Z        float64 // by how many standard errors S sinks there
	Contrast float64 // by how many bits
}

// Families of coders that share a transform.
const (
	AACOrVorbis = "AAC or Vorbis"
	MP3         = "MP3"
	Opus        = "Opus"
)

// Limits from trials: none of 790 looks at sound that was never coded passed 5.2.
const (
	leastZ        = 6.5
	leastContrast = 0.1
)

const (
	// LeastRate is the lowest sample rate at which a grid is looked for.
	LeastRate = 16000
	// LeastSeconds and MostSeconds are how much sound is looked at.
	LeastSeconds = 1.5
	MostSeconds  = 4.6

	celtRate = 48000 // the only rate Opus decodes its frames to without converting
	celtPre  = 0.85  // its pre-emphasis, first order (RFC 6716, 4.3.7.2)
)

// Find looks for a grid in x, samples at a rate in Hz with full scale +-1, of 16 bits
// or more; tone is the frequency of a steady tone in it in Hz, 0 if there is none. ok
// is false where nothing was found, which is no proof that the sound was never coded.
func Find(x []float64, rate, tone float64) (f Found, ok bool) {
	seconds := float64(len(x)) / rate
	if rate < LeastRate || seconds < LeastSeconds {
		return f, false
	}
	x = x[:min(len(x), int(MostSeconds*rate))]
	for _, s := range searches(x, rate, tone) {
		if f, ok = s.find(); ok {
			return f, true
		}
	}
	return Found{}, false
}

func searches(x []float64, rate, tone float64) []*search {
	all := []*search{
		{coder: AACOrVorbis, lapped: newMDCT(1024, 0, 1024), coarse: coarseMDCT(newMDCT(256, 0, 256)), x: x},
		{coder: MP3, lapped: newHybrid(bands), coarse: coarseHybrid(), x: x},
	}
	if rate == celtRate {
		e := slices.Clone(x)
		for i := len(e) - 1; i > 0; i-- {
			e[i] -= celtPre * e[i-1]
		}
		all = append(all, &search{coder: Opus, lapped: newMDCT(960, 420, 120), coarse: coarseMDCT(newMDCT(240, 105, 30)), x: e})
	}
	for _, s := range all {
		s.rate, s.tone = rate, tone
	}
	return all
}

// lapped is a transform of overlapping frames.
type lapped interface {
	hop() int                    // coefficients a frame, and samples between frames
	span() int                   // samples under one frame
	frame(x []float64) []float64 // coefficients of the span of samples at the start of x
}

// search looks for the grid of one transform.
type search struct {
	lapped
	coder      string
	coarse     func(s *search) curve
	x          []float64
	rate, tone float64
	m          meter
}

const (
	lowest     = 200   // Hz
	highest    = 0.475 // of the sample rate
	lsb        = 1.0 / (1 << 15)
	overNoise  = 10 // times the power of the steps of 16 bits
	leastUsed  = 20
	probed     = 24 // frames anywhere that say which coefficients are used
	firstLook  = 8  // frames at each offset of the first look
	places     = 16 // of its lowest that are looked at closer,
	secondLook = 3  // with so many frames,
	candidates = 3  // and of these
	near       = 3  // samples within which two offsets are one
	mostFrames = 150
	others     = 24 // offsets that one is held against
)

// trials hold an offset against others with more and more frames, as long as it
// stands out.
var trials = []struct {
	frames, others int
	least          float64
}{{12, 8, 2.5}, {40, 12, 4}, {mostFrames, others, leastZ}}

func (s *search) find() (Found, bool) {
	frames := (len(s.x)-s.span())/s.hop() - 1
	if frames < firstLook || !s.choose() {
		return Found{}, false
	}
	for _, o := range s.dips(s.coarse(s)) {
		z, contrast := 0.0, 0.0
		for _, t := range trials {
			if z, contrast = s.against(o, min(t.frames, frames), t.others); z < t.least {
				break
			}
		}
		if z >= leastZ && contrast >= leastContrast {
			return Found{s.coder, z, contrast}, true
		}
	}
	return Found{}, false
}

// dips are the offsets, near the lowest places of the first look, at which S lies
// furthest below its neighbours: a grid is one sample wide, a tone's wave is not.
func (s *search) dips(c curve) []int {
	if len(c.s) == 0 {
		return nil
	}
	const wide = 6
	type dip struct {
		at    int
		depth float64
	}
	var all []dip
	n := s.hop()
	starts := s.starts(secondLook)
	for _, at := range c.lowest(s.tone/s.rate, places) {
		first := int(math.Floor(at)) - wide/2 + 1 + n
		var v [wide]float64
		sum := 0.0
		for i := range v {
			for _, f := range starts {
				v[i] += s.m.sum(s.frame(s.x[(first+i)%n+f:]))
			}
			sum += v[i]
		}
		for i := 1; i < wide-1; i++ {
			all = append(all, dip{(first + i) % n, (sum-v[i])/(wide-1) - v[i]})
		}
	}
	slices.SortFunc(all, func(a, b dip) int { return cmp.Compare(b.depth, a.depth) })
	var out []int
	for _, d := range all {
		if len(out) < candidates && !slices.Contains(out, d.at) {
			out = append(out, d.at)
		}
	}
	return out
}

// choose picks the coefficients that hold more than the steps of 16 bits make.
func (s *search) choose() bool {
	n := s.hop()
	power := make([]float64, n)
	last := len(s.x) - s.span()
	step := max(1, last/probed)
	count := 0.0
	for o := 0; o <= last; o += step {
		for k, v := range s.frame(s.x[o:]) {
			power[k] += v * v
		}
		count++
	}
	s.m = meter{e2: lsb * lsb / 4}
	for k, p := range power {
		hz := (float64(k) + 0.5) * s.rate / 2 / float64(n)
		if hz > lowest && hz < highest*s.rate && p/count > overNoise*lsb*lsb/12 {
			s.m.use = append(s.m.use, k)
		}
	}
	return len(s.m.use) >= leastUsed
}

// at is S at an offset, over so many frames.
func (s *search) at(o, frames int) float64 {
	sum := 0.0
	for i := range frames {
		sum += s.m.sum(s.frame(s.x[o+i*s.hop():]))
	}
	return sum / float64(frames*len(s.m.use))
}

// against holds the offset o against others: by how many standard errors, and by how
// many bits, S is lower there.
func (s *search) against(o, frames, others int) (z, contrast float64) {
	var sum, square float64
	all := s.alike(o, others)
	for _, p := range all {
		v := s.at(p, frames)
		sum += v
		square += v * v
	}
	n := float64(len(all))
	mean := sum / n
	sd := math.Sqrt(math.Max(0, square-n*mean*mean) / (n - 1))
	contrast = mean - s.at(o, frames)
	return contrast / (sd*math.Sqrt(1+1/n) + 1e-9), contrast
}

// alike are so many offsets at which the tone has nearly the phase it has at o.
func (s *search) alike(o, most int) []int {
	n := s.hop()
	period := s.rate / s.tone
	if s.tone <= 0 {
		period = (math.Sqrt(5) - 1) / 2 * float64(n) // spreads them
	}
	type place struct {
		at  int
		off float64
	}
	var all []place
	for j := 1; j < 400; j++ {
		for _, d := range []float64{float64(j) * period, -float64(j) * period} {
			r := math.Round(d)
			p := ((o+int(r))%n + n) % n
			away := (p - o + n) % n
			if min(away, n-away) > near {
				all = append(all, place{p, math.Abs(d - r)})
			}
		}
	}
	if s.tone > 0 {
		slices.SortStableFunc(all, func(a, b place) int { return cmp.Compare(a.off, b.off) })
	}
	var out []int
	for _, p := range all {
		if !slices.Contains(out, p.at) && len(out) < most {
			out = append(out, p.at)
		}
	}
	return out
}

// meter sums log2(X^2 + e2) over the coefficients in use.
type meter struct {
	use []int
	e2  float64
}

// sum takes a logarithm of products of 16: of coefficients up to 30 and e2 down to
// 1e-11 none passes what a float64 holds.
func (m meter) sum(x []float64) float64 {
	total, product := 0.0, 1.0
	for i, k := range m.use {
		product *= x[k]*x[k] + m.e2
		if i&15 == 15 {
			total += math.Log2(product)
			product = 1
		}
	}
	return total + math.Log2(product)
}
