package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// The averaged rate against the reference's column of Rice's rate with
// modulation, which was computed elsewhere.
func TestModulatedClickRateAgainstReference(t *testing.T) {
	for _, row := range reference(t) {
		rho := math.Pow(10, row["cnr_db"]/10)
		got := ModulatedClickRate(0, 3000, 12000/math.Sqrt(12), rho)
		assert.InDelta(t, row["clicks_theory"], got, 0.0006+1e-4*got, "CNR %g dB", row["cnr_db"])
	}
}

// Clicks counted in the carrier-level model against Rice 1963,
// N = (B/(2 sqrt 3)) erfc(sqrt rho): a click is the carrier plus noise
// crossing the negative axis of a frame that stands with the carrier.
func TestClickRate(t *testing.T) {
	seconds := pick(20.0, 400)
	for _, bandwidth := range []float64{6000, 8000, 12000} {
		for _, cnr := range pick([]float64{3}, []float64{0, 2, 4, 6}) {
			set := ideal(bandwidth, 0, 3000, DepthCarrier)
			rho := math.Pow(10, cnr/10)
			want := bandwidth / (2 * math.Sqrt(3)) * math.Erfc(math.Sqrt(rho))
			got := countClicks(set, rho, seconds) / seconds
			t.Logf("B %g, CNR %g dB: %.2f clicks/s, Rice %.2f", bandwidth, cnr, got, want)
			sigma := math.Sqrt(want / seconds)
			// Crossings there and back within one step of 1/96000 s go unseen: under 2 %.
			assert.InDelta(t, want, got, 3.5*sigma+0.02*want, "B %g, CNR %g dB", bandwidth, cnr)
		}
	}
}

func countClicks(set FM, rho, seconds float64) float64 {
	line := Generator{}.timeline([]Segment{{Seconds: seconds, LevelDBm: set.LevelForCNR(10 * math.Log10(rho)), Unmodulated: true}})
	filter := set.ifResponse()
	power := 0.0
	for _, h := range filter {
		power += real(h) * real(h)
	}
	src := newCarrierSource(set, line, 5, math.Sqrt(blockLen/power/2), 0)
	src.base = 0
	stage := newIFStage(filter, src)
	freq := make([]float64, hop*oversample)
	count, at := 0.0, tapSpan/2*oversample
	lastIm := 0.0
	for range int(seconds * workRate / hop) {
		stage.next(freq, tapSpan/2)
		for i := at; i < at+len(freq); i++ {
			re, im := real(stage.fine[i]), imag(stage.fine[i])
			if re < 0 && im*lastIm < 0 {
				count++
			}
			lastIm = im
		}
	}
	return count
}

// Noise of an unmodulated carrier well above threshold against the closed
// forms: density f^2 N0/C, and after 1/f de-emphasis
// S/N = dev^2 C/N0 / (2 f0^2 (f2-f1)) (textbook result; Rice 1963).
func TestNoiseShapeAboveThreshold(t *testing.T) {
	const cnr = 25
	for _, depth := range []Depth{DepthCarrier, DepthAudio} {
		for _, c := range []struct{ bandwidth, dev float64 }{{7000, 1200}, {8000, 1500}, {12000, 3000}} {
			set := ideal(c.bandwidth, 0, c.dev, depth)
			b := bareBench(set, c.dev)
			level := set.LevelForCNR(cnr)
			density := 1 / (c.bandwidth * math.Pow(10, cnr/10.0)) // N0/C
			scale := b.Card.FullScaleVolts * c.dev                // full scale to Hz
			var thirds [3]float64                                 // Hz^2 after 1/f about 1 kHz
			n := pick(2, 40)
			for i := range n {
				x := b.WithSeed(uint64(i)).Record(Segment{Seconds: 10, LevelDBm: level, Unmodulated: true})
				for k, p := range powers(x) {
					if hz := float64(k) / 10; hz >= 300 && hz < 3000 {
						thirds[int((hz-300)/900)] += p * scale * scale * 1e6 / (hz * hz) / float64(n)
					}
				}
			}
			sum := 0.0
			for i, got := range thirds {
				assert.InDelta(t, 0, 10*math.Log10(got/(density*1e6*900)), 0.15, "depth %d, B %g: third %d of the band is not f^2", depth, c.bandwidth, i)
				sum += got
			}
			snr := 10 * math.Log10(c.dev*c.dev/2/sum)
			want := 10 * math.Log10(c.dev*c.dev/density/(2*1e6*2700))
			t.Logf("depth %d, B %g, dev %g: S/N %.3f, closed form %.3f", depth, c.bandwidth, c.dev, snr, want)
			assert.InDelta(t, want, snr, 0.1, "depth %d, B %g", depth, c.bandwidth)
		}
	}
}

// No carrier: the spectrum against Rice 1948 (see bareSpectrum), here summed
// afresh for a rectangular filter, whose autocorrelation is a sinc.
func TestOpenHissSpectrum(t *testing.T) {
	const bandwidth = 8000.0
	for _, depth := range []Depth{DepthCarrier, DepthAudio} {
		b := bareBench(ideal(bandwidth, 0, 1500, depth), 1500)
		scale := b.Card.FullScaleVolts * 1500
		var got [3]float64
		n := pick(4, 40)
		for i := range n {
			for k, p := range powers(b.WithSeed(uint64(i)).Record(Segment{Seconds: 10, Off: true})) {
				if hz := float64(k) / 10; hz >= 300 && hz < 3000 {
					got[int((hz-300)/900)] += p * scale * scale / float64(n)
				}
			}
		}
		for i := range got {
			want := 0.0
			for hz := 300 + 900*float64(i) + 50; hz < 300+900*float64(i+1); hz += 100 {
				want += 100 * hissDensity(bandwidth, hz)
			}
			off := 10 * math.Log10(got[i]/want)
			t.Logf("depth %d, third %d: %.3f dB from Rice 1948", depth, i, off)
			assert.InDelta(t, 0, off, 0.15, "depth %d, third %d", depth, i)
		}
	}
}

func hissDensity(bandwidth, hz float64) float64 {
	const h = 1e-6
	k, sum := math.Pi*bandwidth, 0.0
	for t := h / 2; t < 6e-3; t += h {
		x := k * t
		sin, cos := math.Sincos(x)
		g := sin / x
		g1 := k * (cos/x - sin/(x*x))
		g2 := k * k * (-sin/x - 2*cos/(x*x) + 2*sin/(x*x*x))
		if math.Abs(g) < 1e-6 {
			continue
		}
		sum += (g2/g - g1*g1/(g*g)) * math.Log1p(-g*g) * math.Cos(2*math.Pi*hz*t) * h
	}
	return 4 * sum / (8 * math.Pi * math.Pi)
}
