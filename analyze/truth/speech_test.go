package truth_test

import (
	"math"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/response"
	"hisspoint/capture"
	testsignal "hisspoint/capture/signal"
)

// spoken is the speech that Debian's alsa-utils ships, cut to lengths that are
// quickly transformed.
func spoken(t *testing.T) []capture.Recording {
	t.Helper()
	files, _ := filepath.Glob("/usr/share/sounds/alsa/*_*.wav")
	if len(files) == 0 {
		lacking(t, "speech in /usr/share/sounds/alsa (Debian's alsa-utils)")
	}
	var out []capture.Recording
	for _, name := range files {
		f, err := capture.Open(name)
		require.NoError(t, err)
		defer f.Close()
		var x []float64
		for b, err := range f.Channels[0].Blocks() {
			require.NoError(t, err)
			x = append(x, b...)
		}
		out = append(out, capture.FromSamples(filepath.Base(name), f.Channels[0].Rate, x[:len(x)/6000*6000]))
	}
	return out
}

func samplesOf(t *testing.T, r capture.Recording) []float64 {
	t.Helper()
	var x []float64
	for b, err := range r.Blocks() {
		require.NoError(t, err)
		x = append(x, b...)
	}
	return x
}

// slope is a straight line of so many dB an octave.
func slope(a float64) func(hz float64) float64 {
	return func(hz float64) float64 { return a * math.Log2(hz/1000) }
}

// Real speech, and the same through a tilt of 3 dB an octave: the comparison finds
// it within 0.3 dB an octave, though each by itself is known to +-2.6 only. Also
// through noise 20 dB below the talk, and the other way round. No tone, sweep or
// multitone is found in it.
func TestTiltOfRealSpeech(t *testing.T) {
	before := spoken(t)
	speech := analyze.ResponseHow{Kind: analyze.ResponseSpeech}
	was, err := response.Measure(before, speech)
	require.NoError(t, err)
	require.Empty(t, was.Why)
	assert.False(t, was.Speech.Noise)
	assert.Greater(t, was.Speech.Voiced, 0.3)
	t.Logf("%.0f %% voiced; %.1f s of talk; tilt %.2f [%.2f %.2f], against ANSI %.2f, %s", 100*was.Speech.Voiced, was.Speech.ActiveS, was.Tilt.Value, was.Tilt.Low, was.Tilt.High, was.Speech.OtherTilt, was.Lean)
	assert.Greater(t, was.Tilt.High-was.Tilt.Low, 4.0)
	for _, a := range []float64{-3, 3} {
		for _, noisy := range []bool{false, true} {
			if noisy != (a > 0) && !long() {
				continue
			}
			var after []capture.Recording
			for i, r := range before {
				x := through(samplesOf(t, r), r.Rate, slope(a), 0)
				if noisy {
					x = within(x, r.Rate, power(x), 20, uint64(40+i))
				}
				after = append(after, capture.FromSamples(r.Origin.File, r.Rate, x))
			}
			is, err := response.Measure(after, speech)
			require.NoError(t, err)
			require.Empty(t, is.Why)
			d := response.Compare(is, was)
			require.Empty(t, d.Why)
			t.Logf("%+.0f dB/octave, noisy %v: %.3f [%.3f %.3f] %s; alone %.2f", a, noisy, d.Tilt.Value, d.Tilt.Low, d.Tilt.High, d.Lean, is.Tilt.Value)
			assert.InDelta(t, a, d.Tilt.Value, 0.3, "noisy %v", noisy)
			if lean := map[bool]string{true: analyze.ChangeBassier, false: analyze.ChangeThinner}[a < 0]; noisy && d.Lean == analyze.ChangeOpen {
				assert.Greater(t, d.Tilt.High-d.Tilt.Low, 4.0, "five seconds of talk, half of its bands under the noise")
			} else {
				assert.Equal(t, lean, d.Lean)
			}
			if high := d.Bands[2].Level; !noisy || high.OK() {
				assert.InDelta(t, a*math.Log2(math.Sqrt(1200*2400)/1000), high.Value, 0.6)
			}
		}
	}
	for _, r := range before[:runsOf(2, len(before))] {
		for _, kind := range []string{analyze.ResponseStepped, analyze.ResponseSweep, analyze.ResponseMultitone} {
			got, err := response.Measure([]capture.Recording{r}, analyze.ResponseHow{Kind: kind})
			require.NoError(t, err)
			assert.NotEmpty(t, got.Why, "%s as %s", r.Origin.File, kind)
		}
	}
	got, err := response.Measure(before, analyze.ResponseHow{})
	require.NoError(t, err)
	assert.Equal(t, analyze.ResponseSpeech, got.Kind, got.Why)
}

// Noise shaped as Byrne et al. 1994 is level by itself, and shows the tilt and the
// bands of a response it goes through: there is no talker, so the interval is
// that of the noise.
func TestShapedNoiseShowsTheResponse(t *testing.T) {
	s := testsignal.SpeechNoise(24000, -20, testsignal.NoiseSeconds)
	s.Samples = s.Samples[:12*24000]
	for _, a := range []float64{0, -2} {
		r := responseOf(t, 24000, through(s.Samples, 24000, slope(a), 0), analyze.ResponseHow{Kind: analyze.ResponseSpeech})
		require.Empty(t, r.Why)
		assert.True(t, r.Speech.Noise)
		t.Logf("%g: tilt %.3f [%.3f %.3f]", a, r.Tilt.Value, r.Tilt.Low, r.Tilt.High)
		assert.InDelta(t, a, r.Tilt.Value, 1.5*(r.Tilt.High-r.Tilt.Low)/2+0.02)
		assert.Less(t, r.Tilt.High-r.Tilt.Low, 0.6)
		for _, p := range r.Points {
			assert.InDelta(t, slope(a)(p.Hz), p.DB, (p.High-p.Low)+0.1, "%g Hz", p.Hz)
		}
	}
}

// talk is an invented talker: pulses of a voice, its pitch another in each syllable, and
// noise, by turns, shaped as speech, each third octave off by 3 dB and all by a slope of 1
// dB an octave (standard deviations), whose syllables come four a second, of levels that
// scatter by 5 dB.
func talk(seed uint64, seconds float64, heard func(hz float64) float64) []float64 {
	const rate = 12000
	r := seeded(seed)
	tilt := analyze.TalkerTilt * r.NormFloat64()
	off := map[int]float64{}
	for n := -10; n < 9; n++ {
		off[n] = analyze.TalkerBand * r.NormFloat64()
	}
	x := make([]float64, int(seconds*rate))
	for i, next, period := 0, 0, 0; i < len(x); i++ {
		if i%(rate/4) == 0 {
			next, period = i, rate/(90+r.IntN(150))
		}
		switch {
		case i/(rate/4)%2 == 0: // power 1 a sample, as of the noise
			x[i] = r.NormFloat64()
		case i == next:
			x[i], next = math.Sqrt(float64(period)), i+period
		}
	}
	x = through(x, rate, func(hz float64) float64 {
		if hz < 90 || hz > 5500 {
			return -200
		}
		n := int(math.Floor(10*math.Log10(hz/1000) + 0.5))
		return testsignal.SpeechDensityDB(hz) - 60 + tilt*math.Log2(hz/1000) + off[n] + heard(hz)
	}, 0)
	syllable := 0.0
	for i := range x {
		if i%(rate/4) == 0 {
			syllable = 0.05 * gain(5*r.NormFloat64())
		}
		x[i] *= syllable * math.Pow(math.Abs(math.Sin(4*math.Pi*float64(i)/rate)), 1.5)
	}
	return x
}

// Talkers through a healthy set are called bassy or thin in at most 2.5 % each, and
// through one without pre-emphasis bassy nine times of ten: its -6.0 dB an octave
// lie 2.2 dB below what 1.96 times the talkers' 1.3 leave open.
func TestTalkersAreToldFromFaults(t *testing.T) {
	how := analyze.ResponseHow{Kind: analyze.ResponseSpeech, Against: analyze.AgainstPreEmphasis}
	pre := slope(20 * math.Log10(2))
	n := runsOf(12, 500)
	bassy, thin, told, held := 0, 0, 0, 0
	for i := range n {
		healthy := responseOf(t, 12000, talk(uint64(100+i), 4, pre), how)
		require.Empty(t, healthy.Why)
		require.False(t, healthy.Speech.Noise)
		switch healthy.Lean {
		case analyze.LeanBassy:
			bassy++
		case analyze.LeanThin:
			thin++
		}
		if healthy.Tilt.Low <= 0 && healthy.Tilt.High >= 0 {
			held++
		}
		if i%3 == 0 && responseOf(t, 12000, talk(uint64(9100+i), 4, slope(0)), how).Lean == analyze.LeanBassy {
			told++
		}
	}
	t.Logf("%d talkers: %d bassy, %d thin, tilt held by %d; %d of %d without pre-emphasis told", n, bassy, thin, held, told, (n+2)/3)
	assert.LessOrEqual(t, float64(bassy), 0.025*float64(n))
	assert.LessOrEqual(t, float64(thin), 0.025*float64(n))
	assert.GreaterOrEqual(t, float64(held), 0.93*float64(n)-1)
	assert.GreaterOrEqual(t, float64(told), 0.85*float64((n+2)/3)-1)
}

// Noise that is not that of the test signals, and data, have no tilt, also when speech is
// asked for: white noise and noise with the spectrum of speech of another seed, a modem's
// two tones at 1200 baud, and bursts of noise that rise and fall as talk does.
func TestNoiseAndDataHaveNoTilt(t *testing.T) {
	const rate, n = 12000, 12000 * 5
	r := seeded(44)
	white := noise(r, rate, n, func(float64) float64 { return 1e-6 })
	speech := through(white, rate, func(hz float64) float64 { return testsignal.SpeechDensityDB(math.Max(81, math.Min(hz, 5900))) }, 0)
	data, bursts, phase, hz := make([]float64, n), slices.Clone(speech), 0.0, 1200.0
	for i := range data {
		if i%10 == 0 { // 1200 baud
			hz = []float64{1200, 1800}[r.IntN(2)]
		}
		phase += 2 * math.Pi * hz / rate
		data[i] = 0.1 * math.Sin(phase)
		bursts[i] *= 0.02 + math.Pow(math.Abs(math.Sin(4*math.Pi*float64(i)/rate)), 2)
	}
	for name, x := range map[string][]float64{"white": white, "speech": speech, "data": data, "bursts": bursts} {
		for _, kind := range []string{analyze.ResponseSpeech, analyze.ResponseAuto} {
			got := responseOf(t, rate, x, analyze.ResponseHow{Kind: kind})
			assert.NotEmpty(t, got.Why, name)
			assert.Empty(t, got.Points, name)
			if kind == analyze.ResponseSpeech && name != "data" {
				assert.Contains(t, got.Why, "noise or data", name)
			}
		}
	}
}
