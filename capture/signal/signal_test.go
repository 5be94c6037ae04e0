package signal_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"

	"hisspoint/capture/signal"
)

// reference reads a table of values from outside the project.
func reference(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	require.NotEmpty(t, out)
	return out
}

func number(t *testing.T, row map[string]string, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[column], 64)
	require.NoError(t, err, column)
	return v
}

// The bands of IEC 61260-1 (base ten), to the five decimals of the table, and the
// nominal values of ISO 266.
func TestThirdOctaves(t *testing.T) {
	nominal := map[float64]bool{}
	for _, hz := range signal.Frequencies(10, 20000, 3) {
		nominal[hz] = true
	}
	for _, row := range reference(t, "third_octave_bands.csv") {
		n := int(number(t, row, "n"))
		low, middle, high := signal.ThirdOctave(n)
		assert.InEpsilon(t, number(t, row, "lower_edge_hz"), low, 1e-6)
		assert.InEpsilon(t, number(t, row, "exact_mid_hz"), middle, 1e-6)
		assert.InEpsilon(t, number(t, row, "upper_edge_hz"), high, 1e-6)
		assert.True(t, nominal[number(t, row, "nominal_hz")], row["nominal_hz"])
	}
}

func TestStandardFrequencies(t *testing.T) {
	assert.Equal(t, []float64{300, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3000, 3150, 3400}, signal.StandardSteps(3))
	assert.Len(t, signal.StandardSteps(6), 24)
	for _, fraction := range []int{3, 6, 12} {
		tones := signal.StandardSteps(fraction)
		for i := 1; i < len(tones); i++ {
			assert.Less(t, tones[i-1], tones[i])
			assert.Less(t, tones[i]/tones[i-1], math.Pow(2, 1.3/float64(fraction)))
		}
	}
	seen := map[float64]bool{}
	for _, hz := range signal.StandardMultitone() {
		assert.Equal(t, 5.0, math.Mod(hz, 10), "an odd multiple of 5 Hz: %g", hz)
		assert.False(t, seen[hz])
		seen[hz] = true
	}
}

// Byrne et al. 1994 and ANSI S3.5-1997, every row of the table.
func TestSpeechSpectra(t *testing.T) {
	byrne, ansi := map[int]float64{}, map[int]float64{}
	for _, b := range signal.Byrne1994 {
		byrne[b.N] = b.DB
	}
	for _, b := range signal.ANSIS35 {
		ansi[b.N] = b.DB
	}
	rows := reference(t, "speech_spectrum.csv")
	require.Len(t, byrne, len(rows))
	for _, row := range rows {
		n := int(math.Round(10 * math.Log10(number(t, row, "nominal_hz")/1000)))
		assert.Equal(t, number(t, row, "byrne1994_universal_band_db_spl_70dB_total"), byrne[n], row["nominal_hz"])
		if row["ansi_s3_5_normal_band_db"] == "" {
			assert.NotContains(t, ansi, n)
			continue
		}
		assert.Equal(t, number(t, row, "ansi_s3_5_normal_band_db"), ansi[n], row["nominal_hz"])
	}
}

func made(t *testing.T, level float64) map[string]signal.Signal {
	t.Helper()
	all, err := signal.Set(signal.Options{Rate: 22050, LevelDBFS: level})
	require.NoError(t, err)
	out := map[string]signal.Signal{}
	for _, s := range all {
		assert.NotContains(t, out, s.Name)
		out[s.Name] = s
	}
	return out
}

// rms is the level of samples, 0 dBFS being that of a full-scale sine (AES17).
func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return 10 * math.Log10(2*sum/float64(len(x)))
}

// What a signal says of itself is what is in it, and nothing touches full scale.
func TestSignalsKeepTheirWord(t *testing.T) {
	for name, s := range made(t, -10) {
		peak := 0.0
		for _, v := range s.Samples {
			peak = math.Max(peak, math.Abs(v))
		}
		assert.InDelta(t, s.PeakDBFS, 20*math.Log10(peak), 1e-9, name)
		assert.LessOrEqual(t, s.PeakDBFS, -0.05, name)
		assert.InDelta(t, -10-s.Lowered, s.LevelDBFS, 1e-9, name)
		assert.Equal(t, 0.0, s.Lowered*float64(len(s.Parts)), name)
		switch {
		case s.Sweep != nil:
			from := int((s.StartS + 0.2) * float64(s.Rate))
			assert.InDelta(t, s.LevelDBFS, rms(s.Samples[from:from+5*s.Rate]), 0.02, name)
		case len(s.Parts) == 0:
			assert.InDelta(t, s.LevelDBFS, rms(s.Samples), 1e-9, name)
		}
		for _, p := range s.Parts {
			from, to := int((p.From+0.05)*float64(s.Rate)), int((p.To-0.05)*float64(s.Rate))
			x := s.Samples[from:to]
			assert.InDelta(t, p.LevelDBFS, rms(x), 0.02, "%s at %g s", name, p.From)
			assert.InDelta(t, p.Hz, crossings(x)*float64(s.Rate)/float64(len(x)), 2/(p.To-p.From-0.1), "%s at %g s", name, p.From)
		}
		assert.NotEmpty(t, s.About)
	}
}

// crossings counts cycles by the zeros that are passed upwards.
func crossings(x []float64) float64 {
	n := 0.0
	for i := 1; i < len(x); i++ {
		if x[i-1] < 0 && x[i] >= 0 {
			n++
		}
	}
	return n
}

// Random phases give a peak of about sqrt(2 ln(samples)) times the RMS, 10 dB and
// more; one tone has 3 dB. The search gets below 7.5 dB.
func TestMultitoneHasALowCrest(t *testing.T) {
	s := signal.Multitone(48000, signal.StandardMultitone(), -10, 1)
	assert.Less(t, s.CrestDB(), 7.5)
	assert.InDelta(t, -10, rms(s.Samples), 1e-9)
	// All tones at one level, nothing between them.
	coef := fourier.NewFFT(48000).Coefficients(nil, s.Samples)
	each := math.Pow(10, -10/20.0) / math.Sqrt(float64(len(s.TonesHz)))
	sum := 0.0
	for _, hz := range s.TonesHz {
		a := real(coef[int(hz)])*real(coef[int(hz)]) + imag(coef[int(hz)])*imag(coef[int(hz)])
		assert.InDelta(t, each, 2*math.Sqrt(a)/48000, 1e-9)
		sum += a
	}
	all := 0.0
	for _, c := range coef {
		all += real(c)*real(c) + imag(c)*imag(c)
	}
	assert.InDelta(t, 1, sum/all, 1e-9)
}

// Third-octave levels of the noise against Byrne et al. 1994, each band relative
// to all of them: 10 s hold 10 times the band's width in degrees of freedom.
func TestNoiseIsShapedAsSpeech(t *testing.T) {
	s := signal.SpeechNoise(24000, -15, 10)
	coef := fourier.NewFFT(len(s.Samples)).Coefficients(nil, s.Samples)
	got, want := map[int]float64{}, map[int]float64{}
	var g, w float64
	for _, b := range signal.Byrne1994 {
		low, _, high := signal.ThirdOctave(b.N)
		if b.N < -9 || b.N > 8 {
			continue
		}
		for k := int(low * 10); k < int(high*10); k++ {
			got[b.N] += real(coef[k])*real(coef[k]) + imag(coef[k])*imag(coef[k])
		}
		want[b.N] = math.Pow(10, b.DB/10)
		g, w = g+got[b.N], w+want[b.N]
	}
	require.Len(t, got, 18)
	for n, v := range got {
		low, _, high := signal.ThirdOctave(n)
		chance := 4.34 / math.Sqrt(10*(high-low))
		// Straight lines of density against steps of band level: up to 0.5 dB where it bends.
		assert.InDelta(t, 10*math.Log10(want[n]/w), 10*math.Log10(v/g), 0.5+4*chance, "band %d", n)
	}
}

// The sweep's frequency at any time, from its definition, and its end.
func TestSweepRunsExponentially(t *testing.T) {
	s := signal.StandardSweep()
	assert.InDelta(t, 0, math.Mod(s.LowHz*s.L()+0.5, 1)-0.5, 1e-9, "f1 L is a whole number")
	assert.InDelta(t, 10, s.Seconds, 0.05)
	assert.Zero(t, s.Value(-1e-9))
	assert.Zero(t, s.Value(s.Seconds+1e-9))
	for _, hz := range []float64{300, 1000, 3000} {
		at := s.L() * math.Log(hz/s.LowHz)
		const rate, span = 1e6, 0.02
		var x []float64
		for i := -span * rate / 2; i < span*rate/2; i++ {
			x = append(x, s.Value(at+i/rate))
		}
		assert.InDelta(t, hz, crossings(x)/span, 1.5/span, "%g Hz", hz)
	}
}

func TestSignalsAreTheSameEveryTime(t *testing.T) {
	assert.Equal(t, signal.SpeechNoise(22050, -20, 1).Samples, signal.SpeechNoise(22050, -20, 1).Samples)
	tones := []float64{305, 505, 1005}
	assert.Equal(t, signal.Multitone(22050, tones, -20, 0.1).Samples, signal.Multitone(22050, tones, -20, 0.1).Samples)
}

func TestSetRefuses(t *testing.T) {
	for _, o := range []signal.Options{{LevelDBFS: 0}, {LevelDBFS: math.NaN()}, {LevelDBFS: -61}, {LevelDBFS: -10, Rate: 8000}, {LevelDBFS: -10, Fraction: 5},
		{LevelDBFS: -10, TonesHz: []float64{30000}}} {
		_, err := signal.Set(o)
		require.Error(t, err, o)
		assert.NotContains(t, err.Error(), "\n")
	}
}

// A tone of 0.8 steps of 16 bits, rounded: its third harmonic, 10 % of the tone and
// more without dither, drowns with it (noise of 1/4 step^2 in all: 1/12 for
// rounding, 1/6 for the dither).
func TestDither(t *testing.T) {
	const step = 1.0 / 32768
	s := signal.Tone(24000, 1000, 20*math.Log10(0.8*step), 1)
	third := func(x []float64) (harmonic, rest float64) {
		rounded := make([]float64, len(x))
		sum := 0.0
		for i, v := range x {
			rounded[i] = math.Round(v/step) * step
			d := rounded[i] - s.Samples[i]
			sum += d * d / float64(len(x))
		}
		c := fourier.NewFFT(len(x)).Coefficients(nil, rounded)
		return 2 * math.Hypot(real(c[3000]), imag(c[3000])) / float64(len(x)), sum / step / step
	}
	without, _ := third(s.Samples)
	with, rest := third(s.Dithered(16))
	assert.Greater(t, without, 0.1*0.8*step)
	assert.Less(t, with, 0.3*without)
	assert.InDelta(t, 0.25, rest, 0.01)
	assert.Equal(t, s.Dithered(16), s.Dithered(16))
}
