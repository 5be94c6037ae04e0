package signal

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Band is a third-octave band of long-term speech: its number (band 0 is that of
// 1 kHz) and its level in dB.
type Band struct {
	N  int
	DB float64
}

// Byrne1994 is the universal long-term average speech spectrum of Byrne et al.,
// J. Acoust. Soc. Am. 96, 2108 (1994), talkers of both sexes: third-octave band
// levels in dB SPL for 70 dB in all.
var Byrne1994 = []Band{
	{-12, 38.6}, {-11, 43.5}, {-10, 54.4}, {-9, 57.7}, {-8, 56.8}, {-7, 60.2}, {-6, 60.3}, {-5, 59.0}, {-4, 62.1}, {-3, 62.1},
	{-2, 60.5}, {-1, 56.8}, {0, 53.7}, {1, 53.0}, {2, 52.0}, {3, 48.7}, {4, 48.1}, {5, 46.8}, {6, 45.6}, {7, 44.5},
	{8, 44.3}, {9, 43.7}, {10, 43.4}, {11, 41.3}, {12, 40.7},
}

// ANSIS35 is the standard speech spectrum of ANSI S3.5-1997 for normal effort,
// table 3, as third-octave band levels in dB SPL.
var ANSIS35 = []Band{
	{-8, 48.04}, {-7, 51.11}, {-6, 52.38}, {-5, 52.61}, {-4, 54.22}, {-3, 54.9}, {-2, 53.69}, {-1, 50.93}, {0, 48.64},
	{1, 47.63}, {2, 45.78}, {3, 43.95}, {4, 40.81}, {5, 40.18}, {6, 38.96}, {7, 35.94}, {8, 34.22}, {9, 33.76},
}

// SpeechDensityDB is the power density of long-term speech after Byrne1994, in dB
// a Hz: band levels less the bands' widths, in a straight line over log frequency
// between the middles of bands. Outside of them it is -Inf.
func SpeechDensityDB(hz float64) float64 {
	at := 10 * math.Log10(hz/1000)
	density := func(b Band) float64 {
		low, _, high := ThirdOctave(b.N)
		return b.DB - 10*math.Log10(high-low)
	}
	for i := 1; i < len(Byrne1994); i++ {
		a, b := Byrne1994[i-1], Byrne1994[i]
		if at >= float64(a.N) && at <= float64(b.N) {
			t := at - float64(a.N)
			return density(a) + t*(density(b)-density(a))
		}
	}
	return math.Inf(-1)
}

const noiseSeed = 1994

// NoiseSeconds is how long the noise of a set of test signals takes before it repeats.
const NoiseSeconds = 30

// SpeechNoise is Gaussian noise with the long-term spectrum of speech from 80 Hz
// to the lower of 8 kHz and 0.45 of the rate. It repeats without a seam.
func SpeechNoise(rate int, level, seconds float64) Signal {
	s := Signal{Name: "speech-noise", Kind: KindNoise, Rate: rate,
		About: "noise with the long-term spectrum of speech: tone balance without a talker"}
	n := samplesIn(seconds, rate)
	f, r := fourier.NewFFT(n), rand.New(rand.NewPCG(noiseSeed, 1))
	coef := make([]complex128, n/2+1)
	top := math.Min(8000, 0.45*float64(rate))
	for k := 1; k < n/2; k++ {
		re, im := r.NormFloat64(), r.NormFloat64()
		hz := float64(k) * float64(rate) / float64(n)
		if hz < 80 || hz > top {
			continue
		}
		a := math.Pow(10, SpeechDensityDB(hz)/20)
		coef[k] = complex(a*re, a*im)
	}
	return s.finish(f.Sequence(nil, coef), level)
}
