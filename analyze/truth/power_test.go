package truth_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/reports/sentence"
)

// clippedSine is what a sine of peak a becomes when it is cut at plus and minus 1:
// its mean square and its distortion, the root-sum-square of harmonics 3, 5, 7 and 9.
// From the Fourier integrals of a clipped sine, with g = asin(1/a):
//
//	b1 = 2/pi (a g + sqrt(1 - 1/a^2)),  mean square = (2 g (a^2/2) - a^2/2 sin 2g)/pi + 1 - 2g/pi
//	bn = 2 a/pi (sin((n-1)g)/(n-1) - sin((n+1)g)/(n+1)) + 4/(pi n) cos(n g)
func clippedSine(a float64) (meanSquare, thd float64) {
	if a <= 1 {
		return a * a / 2, 0
	}
	g := math.Asin(1 / a)
	b1 := 2 / math.Pi * (a*g + math.Sqrt(1-1/(a*a)))
	sum := 0.0
	for n := 3.0; n <= 9; n += 2 {
		bn := 2*a/math.Pi*(math.Sin((n-1)*g)/(n-1)-math.Sin((n+1)*g)/(n+1)) + 4/(math.Pi*n)*math.Cos(n*g)
		sum += bn * bn
	}
	return a*a/math.Pi*(g-math.Sin(2*g)/2) + 1 - 2*g/math.Pi, 100 * math.Sqrt(sum) / b1
}

// atTen is the mean square of a clipped sine at 10 % distortion.
func atTen() float64 {
	low, high := 1.0, 3.0
	for range 60 {
		mid := (low + high) / 2
		if _, d := clippedSine(mid); d < 10 {
			low = mid
		} else {
			high = mid
		}
	}
	p, _ := clippedSine(low)
	return p
}

// volume is a take at one volume.
func (b *trial) volume(typed string, s signal) *trial {
	at, _ := job.ParseAt(job.AxisVolume, typed)
	return b.with(job.Take{AtTyped: typed, At: at}, s)
}

// overdriven is a sine of peak a cut at plus and minus 1, built of its harmonics so
// that none folds, at a scale, with a little noise.
func overdriven(r *rand.Rand, a, scale float64) signal {
	const rate, seconds = 24000, 1.2
	s := silence(rate, seconds)
	g := math.Asin(math.Min(1, 1/a))
	for n := 1.0; n*1000 < rate/2; n += 2 {
		b := a
		switch {
		case a > 1 && n == 1:
			b = 2 / math.Pi * (a*g + math.Sqrt(1-1/(a*a)))
		case a > 1:
			b = 2*a/math.Pi*(math.Sin((n-1)*g)/(n-1)-math.Sin((n+1)*g)/(n+1)) + 4/(math.Pi*n)*math.Cos(n*g)
		case n > 1:
			continue
		}
		s.tone(scale*b, 1000*n, 0)
	}
	return s.each(func(_ int, x float64) float64 { return x + 1e-4*r.NormFloat64() })
}

func TestAudioPowerOfAClippedSine(t *testing.T) {
	require.InDelta(t, 48.3426/100, 0.483426, 1e-9)
	_, square := clippedSine(1e6) // a square wave: harmonics 1/3, 1/5, 1/7, 1/9
	require.InDelta(t, 100*math.Sqrt(1.0/9+1.0/25+1.0/49+1.0/81), square, 1e-3)
	const scale, fullScale, load = 0.2, 10.0, 8.0
	truth := 2 * atTen() * scale * scale * fullScale * fullScale / load
	for _, step := range []float64{2, 4} { // dB of drive
		r := seeded(uint64(step))
		b := testOf(job.KindAudioPower, job.FM)
		b.setup.Reading.FullScaleVolts, b.setup.Reading.LoadOhms = fullScale, load
		for i := range 5 {
			b.volume(fmt.Sprintf("%d/5", i+1), overdriven(r, math.Pow(10, (-2.5+step*(float64(i)-1.5))/20)*1.4, scale))
		}
		res := b.run(t, kind.AudioPower)
		p := res.Get(job.QuantityAudioPower)
		require.True(t, p.HasInterval(), "%+v", p)
		assert.InEpsilon(t, truth, p.Value, 0.003*step*step, "%g dB", step)
		assert.True(t, p.Low < truth && truth < p.High, "%g dB: %g in %+v", step, truth, p)
		assert.Less(t, p.High/p.Low, 1+0.03*step*step)
		assert.InDelta(t, math.Sqrt(p.Value*load), got(t, res, job.FigureOutputAtTen), 1e-9)
		on := res.Get(job.FigureClippingOnset)
		begins := scale * scale * fullScale * fullScale / load
		assert.True(t, on.Low < begins*1.02 && begins < on.High*1.3, "onset %g in %+v", begins, on)
		assert.Contains(t, sentence.Of(res.Says[len(res.Says)-1]), "both halves of the wave are clipped alike")
		assert.Len(t, res.Lines[0].Points, 5)
	}
}

func TestAudioPowerWithoutCalibration(t *testing.T) {
	r := seeded(4)
	b := testOf(job.KindAudioPower, job.FM).volume("min", overdriven(r, 0.5, 0.2)).volume("1/2", overdriven(r, 1.2, 0.2)).volume("max", overdriven(r, 1.6, 0.2))
	res := b.run(t, kind.AudioPower)
	assert.Contains(t, res.Get(job.QuantityAudioPower).Why, "full_scale_volts")
	at := res.Get(job.FigureOutputAtTen)
	assert.Equal(t, "dBFS", at.Unit)
	assert.InDelta(t, db(2*atTen()*0.04), at.Value, 0.05)

	b = testOf(job.KindAudioPower, job.FM).volume("1/2", overdriven(r, 0.5, 0.2)).volume("max", overdriven(r, 0.9, 0.2))
	res = b.run(t, kind.AudioPower)
	least := res.Get(job.FigureOutputAtTen)
	assert.True(t, least.Unreached && !least.OK(), "10 % was not reached: no figure, but a lower bound")
	assert.InDelta(t, db(0.81*0.04), least.Low, 0.02)
	assert.Contains(t, sentence.Of(res.Says[0]), "the output is that at full volume")
	b.setup.Takes[1].AtTyped = "3/4"
	assert.Contains(t, b.run(t, kind.AudioPower).Get(job.FigureOutputAtTen).Why, "10 % distortion is not reached")
}

// A smooth bend distorts long before anything clips: second harmonic in proportion
// to the output, third to its square, up to 4 and 2 % where clipping begins.
func TestSmoothDistortionIsNoClipping(t *testing.T) {
	r := seeded(6)
	b := testOf(job.KindAudioPower, job.FM)
	for i, a := range []float64{0.1, 0.25, 0.5, 0.9, 1.5, 2} {
		s := overdriven(r, a, 0.2)
		if a < 1 {
			s.tone(0.2*a*a*0.04, 2000, 1).tone(0.2*a*a*a*0.02, 3000, 2)
		}
		b.volume(fmt.Sprint(i), s)
	}
	on := b.run(t, kind.AudioPower).Get(job.FigureClippingOnset)
	assert.InDelta(t, db(0.81*0.04), on.Low, 0.02)
	assert.Greater(t, on.High, db(0.04))
	b.setup.Takes, b.rs = b.setup.Takes[:4], b.rs[:4]
	assert.Contains(t, b.run(t, kind.AudioPower).Get(job.FigureClippingOnset).Why, "no volume clips")
}

// One recording with the volume turned up in steps.
func TestAudioPowerOfOneTake(t *testing.T) {
	r := seeded(9)
	var x []float64
	b := testOf(job.KindAudioPower, job.FM)
	for i, a := range []float64{0.3, 0.6, 1.2, 2} {
		s := overdriven(r, a, 0.2)
		x = append(x, append(s.x, s.x...)...)
		b.setup.Takes = append(b.setup.Takes, job.Take{AtTyped: fmt.Sprint(i), At: float64(i), File: "v.wav"})
	}
	b.setup.OneFile, b.rs = true, []capture.Recording{capture.FromSamples("v.wav", 24000, x)}
	res := b.run(t, kind.AudioPower)
	assert.InDelta(t, db(2*atTen()*0.04), got(t, res, job.FigureOutputAtTen), 0.15)
	assert.Len(t, res.Rows, 4)
	assert.InDelta(t, 2.4, res.Rows[1].Measured.From, 0.3)
}

func TestAudioPowerRefuses(t *testing.T) {
	r := seeded(5)
	tone, quiet := overdriven(r, 0.5, 0.2), speechNoise(1, 1, -60)
	full := silence(24000, 1).tone(1.4, 1000, 0).each(func(_ int, x float64) float64 { return math.Max(-1, math.Min(1, x)) })
	new := func() *trial { return testOf(job.KindAudioPower, job.FM) }
	for why, b := range map[string]*trial{
		"no recording has a tone":     new().volume("1", quiet).volume("2", quiet),
		"at two volumes at least":     new().volume("1", quiet).volume("2", tone),
		"there is no tone in b.wav":   new().volume("1", tone).volume("2", speechNoise(1, 1, -3)),
		"b.wav reaches full scale":    new().volume("1", tone).volume("2", full),
		"a series needs one tone":     new().volume("1", tone).volume("2", silence(12000, 1).tone(0.2, 1050, 0).add(times(1, quiet.x))),
		"every volume is distorted b": nil,
	} {
		if b == nil {
			over := new().volume("1", overdriven(r, 2, 0.1)).volume("2", overdriven(r, 3, 0.2)).run(t, kind.AudioPower)
			assert.Contains(t, over.Get(job.FigureOutputAtTen).Why, why)
			continue
		}
		res := b.run(t, kind.AudioPower)
		assert.Contains(t, res.Why, why)
		assert.Empty(t, res.Figures)
	}
}
