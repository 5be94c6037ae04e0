package analyze

import (
	"math"
	"math/cmplx"

	"hisspoint/analyze/internal/track"
)

// followed is what a chunk shows over time.
type followed struct {
	samples track.Samples
	hops    []track.Hop // times from the start of the chunk
	trackHz float64     // the frequency against which the tone's phase is counted
	nearHz  float64     // where a tone would be, though it is none that keeps still
}

// follow cuts what was filtered into hops and adds the fitted tone back, so that
// tone and noise are known over time whether or not a steady tone was found.
func (c *chunkWork) follow() {
	out, s := c.out, c.s
	hz := c.p.expected
	var fitted complex128
	switch {
	case out.found:
		hz = out.tone.hz
		fitted = 2 * out.tone.C * complex(math.Sqrt(c.p.curve.Line(hz)), 0)
	case out.nearHz > 0:
		hz = out.nearHz
	}
	out.trackHz = hz
	n := int(math.Round(out.seconds / math.Max(track.HopSeconds, c.p.hop)))
	if n < 1 || len(c.slow) == 0 || out.nd == 0 && fitted == 0 {
		return
	}
	ratio := float64(len(c.slow)) / float64(s.M)
	used := min(len(c.slow), int(float64(s.N)*ratio))
	perSecond := c.p.rate * ratio
	out.hops = make([]track.Hop, n)
	turn := cmplx.Rect(1, -2*math.Pi*hz/perSecond)
	for i := range out.hops {
		lo, hi := i*used/n, (i+1)*used/n
		h := &out.hops[i]
		h.From, h.To = float64(lo)/perSecond, float64(hi)/perSecond
		_, cycles := math.Modf(hz / perSecond * float64(lo))
		osc := cmplx.Rect(1, -2*math.Pi*cycles)
		var re, im, sum float64
		for _, y := range c.slow[lo:hi] {
			re += y * real(osc)
			im += y * imag(osc)
			sum += y * y
			osc *= turn
		}
		k := 2 / float64(max(1, hi-lo))
		left := complex(re*k, im*k)
		h.Tone = fitted + left
		h.Noise = math.Max(0, sum*k/2-(real(left)*real(left)+imag(left)*imag(left))/2)
		h.Rest = c.plain(h.From, h.To) - power2(out.tone.Amplitude(), fitted, h.Tone)
	}
}

// power2 is the mean square of the tone in a hop, unfiltered: the fitted
// amplitude, changed as the filtered tone is.
func power2(amplitude float64, fitted, tone complex128) float64 {
	a := cmplx.Abs(tone)
	if f := cmplx.Abs(fitted); f > 0 {
		a *= amplitude / f
	}
	return a * a / 2
}

// plain is the mean square of the recording from one time in the chunk to
// another, without its offset.
func (c *chunkWork) plain(from, to float64) float64 {
	lo, hi := int(from*c.p.rate), min(len(c.x), int(to*c.p.rate))
	if hi <= lo {
		return 0
	}
	sum := 0.0
	for _, v := range c.x[lo:hi] {
		d := v - c.out.offset
		sum += d * d
	}
	return sum / float64(hi-lo)
}

// trail is the track of a whole recording.
type trail struct {
	hops   []track.Hop
	curves track.Curves
	hz     float64
}

// trailOf joins the tracks of chunks; the tone's phase is counted against one
// frequency from the start of the recording.
func trailOf(parts []sums) trail {
	var t trail
	at := 0.0
	for _, p := range parts {
		if t.hz == 0 {
			t.hz = p.trackHz
		}
		for _, h := range p.hops {
			mid := at + (h.From+h.To)/2
			_, cycles := math.Modf(p.trackHz*(mid-at) - t.hz*mid)
			h.Tone *= cmplx.Rect(1, 2*math.Pi*cycles)
			h.From += at
			h.To += at
			t.hops = append(t.hops, h)
		}
		at += p.seconds
	}
	t.curves = track.CurvesOf(t.hops)
	return t
}
