package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Off tune by e on S(x) = x/(1+x^2/P^2), a small deviation D gives the tone
// D S'(-e) and the second harmonic D^2 S2(-e)/4 (Taylor's series, S2 the second derivative).
func TestDiscriminatorOffTune(t *testing.T) {
	const p, dev = 4000.0, 150.0
	for _, depth := range []Depth{DepthCarrier, DepthAudio} {
		for _, e := range []float64{0, 500, 1500} {
			set := ideal(12000, 0, dev, depth)
			set.Discriminator = Discriminator{PeakHz: p, ErrorHz: e}
			got := lines(bareBench(set, dev), Segment{Seconds: 1, LevelDBm: -30})
			u := -e / p
			first := (1 - u*u) / math.Pow(1+u*u, 2)
			second := 2 * u * (u*u - 3) / (p * math.Pow(1+u*u, 3))
			assert.InDelta(t, first, math.Sqrt(got[1000]), 0.005, "recovered audio, depth %d, %g Hz off", depth, e)
			assert.InDelta(t, math.Abs(second)*dev/4/first, math.Sqrt(got[2000]/got[1000]), 3e-4, "second harmonic, depth %d, %g Hz off", depth, e)
		}
	}
	// A generator off frequency and a detector off tune are one to a straight IF.
	set := ideal(14000, 0, 1200, DepthAudio)
	set.Discriminator = Discriminator{PeakHz: p, ErrorHz: 800}
	b := bareBench(set, 1200)
	b.Generator.OffsetHz = 800
	onTune := lines(b, Segment{Seconds: 1, LevelDBm: -30})
	assert.Less(t, dB(onTune[2000]/onTune[1000]), -60.0)
	b.Generator.OffsetHz = 0
	off := lines(b, Segment{Seconds: 1, LevelDBm: -30})
	assert.Greater(t, dB(off[2000]/off[1000]), -32.0)
	assert.Less(t, dB(off[1000]/onTune[1000]), -0.5)
}

// Both depths of the model off tune in noise, near 12 dB and 20 dB.
func TestDepthsAgreeOffTune(t *testing.T) {
	for _, cnr := range pick([]float64{12}, []float64{8, 12}) {
		var got [2]float64
		for depth := range got {
			set := ideal(7500, 5, 1200, Depth(depth))
			set.Discriminator = Discriminator{PeakHz: 5000, ErrorHz: 600}
			set.IFErrorHz, set.TuningErrorHz = -300, 150
			got[depth] = sinads(t, bareBench(set, 1200), set.LevelForCNR(cnr), pick(2, 40), slope)[0]
		}
		assert.InDelta(t, got[1], got[0], 0.3, "CNR %g dB", cnr)
	}
}

// A tone at D deviation over residual FM of r Hz RMS is 20 log10(D/(sqrt 2 r))
// above it in 300 to 3000 Hz, flat; and hum and noise cannot be better.
func TestResidualFM(t *testing.T) {
	for _, depth := range []Depth{DepthCarrier, DepthAudio} {
		set := ideal(14000, 0, 3000, depth)
		b := bareBench(set, 3000)
		b.Generator.ResidualFMHz = 10
		set.OscillatorFMHz = 10
		other := b
		other.Set, other.Generator.ResidualFMHz = set, 0
		for _, bench := range []Bench{b, other} {
			got := sinads(t, bench, -20, 1, flat)[0]
			assert.InDelta(t, 20*math.Log10(3000/math.Sqrt2/10), got, 0.1, "depth %d", depth)
		}
	}
}

// The knee of a weak limiter: 3.01 dB down at its level.
func TestLimitingKnee(t *testing.T) {
	set := ideal(12000, 0, 1200, DepthAudio)
	set.LimiterDBm = -100
	b := bareBench(set, 1200)
	at := func(dBm float64) float64 { return dB(lines(b, Segment{Seconds: 1, LevelDBm: dBm})[1000]) }
	assert.InDelta(t, 0, at(-47), 0.01)
	assert.InDelta(t, -3.01, at(-100), 0.05)
	assert.InDelta(t, -10.41, at(-110), 0.15)
	assert.InDelta(t, -10.41, set.LimitingDB(-110), 0.02)
}

// The missing and the doubled slope, from their closed forms at 400 Hz:
// 2 x 7.959 and 2 x 7.073 dB.
func TestDeemphasisTwice(t *testing.T) {
	for d, want := range map[Deemphasis]float64{DeemphasisSlopeTwice: 15.918, Deemphasis750usTwice: 14.146, DeemphasisNone: 0} {
		set := Healthy27MHzFM()
		set.Audio = AudioStage{OutputVolts: 1}
		set.Deemphasis = d
		assert.InDelta(t, want, set.ResponseDB(400), 0.005, d.String())
	}
}

// The interferer that takes 12 dB SINAD, the wanted 3 dB up, down to the
// SINAD of a carrier-to-noise ratio 3 dB worse than at 12 dB. With J
// the interferer over the noise: 2/(1 + J) = 1/2, J = 3.
func TestInterferers(t *testing.T) {
	set := Healthy27MHzFM()
	set.Audio.Hum = Hum{}
	set.Immunity = Immunity{RejectionDB: 60, BlockingDBm: -35, InterceptDBm: -20}
	floor, over := set.NoiseFloorDBm(), 10*math.Log10(3)
	at12 := set.LevelForCNR(9.1)
	skirt := 10 * math.Log10(set.ifPower(12500)+1e-6)
	for _, c := range []struct {
		kind Interference
		dBm  float64
	}{
		{AdjacentChannel, floor + over - skirt},
		{Blocking, -35 + over},
		{Intermodulation, (floor + over - 40) / 3},
		{CoChannel, floor + over},
	} {
		b := Bench{Generator: StandardGenerator(), Interferer: Interferer{Kind: c.kind, OffsetHz: 12500}, Set: set, Card: PlainCard()}
		r := set
		line := b.timeline([]Segment{{Seconds: 1, LevelDBm: at12 + 3, InterfererDBm: c.dBm}, {Seconds: 1, LevelDBm: at12 + 3}})
		rho, _ := r.received(&line[0])
		clean, _ := r.received(&line[1])
		assert.InDelta(t, set.CNRdB(at12)+3-6.0206, 10*math.Log10(rho), 0.001, c.kind.String())
		assert.InDelta(t, set.CNRdB(at12)+3, 10*math.Log10(clean), 1e-9)
	}
	// AM and SSB: the noise rises by 10 log10(1 + J).
	ssb := idealSSB()
	ssb.Immunity.BlockingDBm = -40
	b := bare(ssb, Generator{})
	b.Interferer.Kind = Blocking
	noise := func(s Segment) (sum float64) {
		s.Off, s.Seconds = true, 4
		for _, p := range lines(b, s) {
			sum += p
		}
		return dB(sum)
	}
	assert.InDelta(t, 10*math.Log10(4), noise(Segment{InterfererDBm: -40 + over})-noise(Segment{}), 0.1)
}

// Two FM carriers on one channel: the stronger is heard.
func TestCaptureOfTheStronger(t *testing.T) {
	set := ideal(12000, 0, 3000, DepthCarrier)
	b := bareBench(set, 3000)
	b.Interferer = Interferer{Kind: CoChannel, DeviationHz: 3000}
	for _, c := range []struct {
		dBm         float64
		loud, quiet int
	}{{-72, 1000, 400}, {-48, 400, 1000}} {
		p := lines(b, Segment{Seconds: 1, LevelDBm: -60, InterfererDBm: c.dBm})
		assert.Greater(t, dB(p[c.loud]/p[c.quiet]), 12.0, "interferer at %g dBm", c.dBm)
	}
}

// Only the leak is left with the dial down, and nothing with the carrier off.
func TestLeak(t *testing.T) {
	set := Healthy27MHzFM()
	b := bareBench(set, 1200)
	b.Generator.LeakDBm = -100
	line := b.timeline([]Segment{{Down: true}, {Off: true}, {LevelDBm: -100}, {LevelDBm: -130}})
	require.Len(t, line, 4)
	assert.InDelta(t, -100, line[0].dBm, 1e-9)
	assert.True(t, math.IsInf(line[1].dBm, -1))
	assert.InDelta(t, -96.99, line[2].dBm, 0.001)
	assert.InDelta(t, -99.996, line[3].dBm, 0.001)
	p := lines(b, Segment{Seconds: 1, Down: true})
	assert.Greater(t, dB(p[1000]/p[1300]), 20.0)
}

// Quieting of the simulation against the formulas, and these against the
// textbooks' density f^2 N0/C high above the threshold.
func TestQuietingTheory(t *testing.T) {
	set := ideal(12000, 0, 3000, DepthAudio)
	b := bareBench(set, 3000)
	flatBand := Band(300, 3000)
	hiss := b.power(Segment{Seconds: 4, Off: true}, flatBand)
	for _, cnr := range []float64{6, 12, 25} {
		level := set.LevelForCNR(cnr)
		got := dB(hiss / b.WithSeed(2).power(Segment{Seconds: 4, LevelDBm: level, Unmodulated: true}, flatBand))
		assert.InDelta(t, set.TheoryQuieting(b.Generator, level, flatBand), got, 0.35, "CNR %g dB", cnr)
	}
	// Integral of f^2 N0/C = f^2/(rho B) from 300 to 3000 Hz, in Hz^2, at 25 dB.
	want := (27e9 - 27e6) / 3 / 12000 / math.Pow(10, 2.5)
	unit := math.Pow(set.audioGain(), 2)
	g := Generator{ToneHz: 1000}
	assert.InDelta(t, 0, dB(set.TheoryNoise(g, set.LevelForCNR(25), flatBand)/unit/want), 0.05)
}
