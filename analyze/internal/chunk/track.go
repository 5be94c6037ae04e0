package chunk

import (
	"math"
	"math/cmplx"

	"hisspoint/analyze/internal/track"
)

// followed is what a chunk shows over time.
type followed struct {
	Samples track.Samples
	hops    []track.Hop // times from the start of the chunk
	trackHz float64     // the frequency against which the tone's phase is counted
	nearHz  float64     // where a tone would be, though it is none that keeps still
}

// follow cuts what was filtered into hops and adds the fitted tone back, so that
// tone and noise are known over time whether or not a steady tone was found.
func (c *chunkWork) follow() {
	out, s := c.out, c.s
	hz := c.p.Expected
	var fitted complex128
	switch {
	case out.Found:
		hz = out.Tone.Hz
		fitted = 2 * out.Tone.C * complex(math.Sqrt(c.p.Curve.Line(hz)), 0)
	case out.nearHz > 0:
		hz = out.nearHz
	}
	out.trackHz = hz
	n := int(math.Round(out.Seconds / math.Max(track.HopSeconds, c.p.Hop)))
	if n < 1 || len(c.slow) == 0 || out.Nd == 0 && fitted == 0 {
		return
	}
	ratio := float64(len(c.slow)) / float64(s.M)
	used := min(len(c.slow), int(float64(s.N)*ratio))
	perSecond := c.p.Rate * ratio
	out.hops = make([]track.Hop, n)
	turn := cmplx.Rect(1, -2*math.Pi*hz/perSecond)
	w, sum0, sum2 := hopWindow(used / n)
	for i := range out.hops {
		lo, hi := i*used/n, (i+1)*used/n
		h := &out.hops[i]
		h.From, h.To = float64(lo)/perSecond, float64(hi)/perSecond
		_, cycles := math.Modf(hz / perSecond * float64(lo))
		osc := cmplx.Rect(1, -2*math.Pi*cycles)
		var re, im, sum, slopeRe, slopeIm float64
		mid := float64(len(w)-1) / 2
		for t, y := range c.slow[lo : lo+len(w)] {
			v := w[t] * y
			a, b := v*real(osc), v*imag(osc)
			re += a
			im += b
			slopeRe += a * (float64(t) - mid)
			slopeIm += b * (float64(t) - mid)
			sum += v * y
			osc *= turn
		}
		left := complex(2*re/sum0, 2*im/sum0)
		h.Tone = fitted + left
		// What is left of a tone that drifts against the fit changes within the hop, too:
		// least squares of a constant and a slope.
		moves := 2 * (slopeRe*slopeRe + slopeIm*slopeIm) / (sum0 * sum2)
		h.Noise = math.Max(0, (sum-2*(re*re+im*im)/sum0)/sum0-moves)
		h.Rest = c.plain(h.From, h.To) - power2(out.Tone.Amplitude(), fitted, h.Tone)
	}
	blind(out.hops)
}

// underStop is how far, as a power ratio, the filter rings below a tone that begins or ends
// within the chunk and was not taken out before: A/(2 pi 700 Hz t) some 10 ms away.
const underStop = 1e-3

// blind marks hops whose noise the ringing of a tone hides that is not there throughout.
func blind(hops []track.Hop) {
	weakest, strongest := math.Inf(1), 0.0
	for _, h := range hops {
		a := cmplx.Abs(h.Tone)
		weakest, strongest = math.Min(weakest, a), math.Max(strongest, a)
	}
	if weakest >= strongest/4 {
		return
	}
	for i, h := range hops {
		hops[i].Blind = cmplx.Abs(h.Tone) > strongest/4 && h.Noise < underStop*strongest*strongest/2
	}
}

// hopWindow is a Hann window, its sum, and its sum times the squared distance from
// the middle. Through it a tone's image, which no whole number of cycles
// cancels, does not show.
func hopWindow(n int) (w []float64, sum0, sum2 float64) {
	w = make([]float64, max(1, n))
	for t := range w {
		w[t] = (1 - math.Cos(2*math.Pi*(float64(t)+0.5)/float64(len(w)))) / 2
		d := float64(t) - float64(len(w)-1)/2
		sum0 += w[t]
		sum2 += w[t] * d * d
	}
	return w, sum0, math.Max(sum2, 1e-9)
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
	lo, hi := int(from*c.p.Rate), min(len(c.x), int(to*c.p.Rate))
	if hi <= lo {
		return 0
	}
	sum := 0.0
	for _, v := range c.x[lo:hi] {
		d := v - c.out.Offset
		sum += d * d
	}
	return sum / float64(hi-lo)
}

// Trail is the track of a whole recording.
type Trail struct {
	Hops   []track.Hop
	Curves track.Curves
	hz     float64
}

// TrailOf joins the tracks of chunks; the tone's phase is counted against one
// frequency from the start of the recording.
func TrailOf(parts []Sums) Trail {
	var t Trail
	at, all := 0.0, 0
	for _, p := range parts {
		all += len(p.hops)
	}
	t.Hops = make([]track.Hop, 0, all)
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
			t.Hops = append(t.Hops, h)
		}
		at += p.Seconds
	}
	t.Curves = track.CurvesOf(t.Hops)
	return t
}
