package simulate

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/dft"
)

// long says whether the long proofs are asked for.
func long() bool { return os.Getenv("HISSPOINT_LONG") == "1" }

// pick is the short figure by default and the long one with HISSPOINT_LONG=1.
func pick[T any](short, lengthy T) T {
	if long() {
		return lengthy
	}
	return short
}

// ideal is a set that does nothing but receive: no de-emphasis, no audio
// filters, no distortion.
func ideal(bandwidth float64, poles int, dev float64, depth Depth) FM {
	return FM{
		Name: "ideal set", IFBandwidthHz: bandwidth, IFPoles: poles, StandardDeviationHz: dev,
		Deemphasis: DeemphasisNone, Audio: AudioStage{OutputVolts: 1}, Depth: depth,
	}
}

func bareBench(set FM, dev float64) Bench {
	return Bench{Generator: Generator{ToneHz: 1000, DeviationHz: dev}, Set: set, Card: SoundCard{Rate: 24000, FullScaleVolts: 20}}
}

// Weights over 300 to 3000 Hz.
func flat(hz float64) float64  { return Band(300, 3000)(hz) }
func slope(hz float64) float64 { return flat(hz) * 1000 / max(hz, 1) }
func tau750(hz float64) float64 {
	return flat(hz) / math.Hypot(1, 2*math.Pi*hz*750e-6)
}

// powers is the power of each bin of a recording, k/seconds Hz.
func powers(x []float64) []float64 {
	out := make([]float64, len(x)/2+1)
	for k, c := range dft.Forward(nil, x) {
		out[k] = 2 * (real(c)*real(c) + imag(c)*imag(c)) / float64(len(x)) / float64(len(x))
	}
	return out
}

// sinads takes n recordings of 10 s and gives their SINAD through each filter.
func sinads(t *testing.T, b Bench, level float64, n int, filters ...Filter) []float64 {
	t.Helper()
	tone, rest := make([]float64, len(filters)), make([]float64, len(filters))
	for i := range n {
		for k, p := range powers(b.WithSeed(b.Seed+uint64(i)).Take(level, 10)) {
			for j, f := range filters {
				w := f(float64(k) / 10)
				if k == 10000 {
					tone[j] += w * w * p
				} else {
					rest[j] += w * w * p
				}
			}
		}
	}
	for j := range tone {
		tone[j] = 10 * math.Log10((tone[j]+rest[j])/rest[j])
	}
	return tone
}

// reference reads testdata/simulate/fm_sinad_vs_cnr_wide.csv: an independent
// Monte Carlo of the limiter-discriminator, each row with its settings.
func reference(t *testing.T) []map[string]float64 {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "..", "testdata", "simulate", "fm_sinad_vs_cnr_wide.csv"))
	require.NoError(t, err)
	defer func() { assert.NoError(t, file.Close()) }()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	var out []map[string]float64
	for _, row := range rows[1:] {
		m := map[string]float64{}
		for i, name := range rows[0] {
			if v, err := strconv.ParseFloat(row[i], 64); err == nil {
				m[name] = v
			}
		}
		if !math.IsInf(m["cnr_db"], 0) {
			out = append(out, m)
		}
	}
	require.Equal(t, 21, len(out), "rows with a finite CNR")
	return out
}

// Both depths against the reference: 12 kHz rectangular IF, 3 kHz deviation,
// 300 to 3000 Hz, within 0.2 dB from 2 (carrier level) or 4 dB (audio level)
// to 20 dB CNR.
func TestSINADAgainstReference(t *testing.T) {
	for _, depth := range []Depth{DepthCarrier, DepthAudio} {
		set := ideal(12000, 0, 3000, depth)
		for _, row := range reference(t) {
			cnr := row["cnr_db"]
			from := map[Depth]float64{DepthCarrier: 2, DepthAudio: 4}[depth]
			if cnr < from || cnr > 20 || !long() && cnr != 4 && cnr != 7 {
				continue
			}
			n := map[Depth]int{DepthCarrier: pick(4, 40), DepthAudio: pick(12, 100)}[depth]
			got := sinads(t, bareBench(set, 3000), set.LevelForCNR(cnr), n, flat, slope, tau750)
			t.Logf("depth %d CNR %g dB: %.3f %.3f %.3f, reference off by %.3f %.3f %.3f", depth, cnr, got[0], got[1], got[2],
				got[0]-row["sinad_flat"], got[1]-row["sinad_deemph"], got[2]-row["sinad_tau750us"])
			assert.InDelta(t, row["sinad_flat"], got[0], 0.2, "depth %d, CNR %g dB, flat", depth, cnr)
			assert.InDelta(t, row["sinad_deemph"], got[1], 0.2, "depth %d, CNR %g dB, 1/f", depth, cnr)
			assert.InDelta(t, row["sinad_tau750us"], got[2], 0.2, "depth %d, CNR %g dB, 750 us", depth, cnr)
		}
	}
}

// The audio-level model against the carrier-level model, with IF filters and
// deviations of narrow channels: mean, and scatter of short readings.
func TestDepthsAgree(t *testing.T) {
	type radio struct {
		bandwidth float64
		poles     int
		dev       float64
	}
	radios := pick([]radio{{7500, 5, 1200}}, []radio{
		{7500, 5, 1200}, {7500, 5, 1500}, {8000, 4, 2400}, {8000, 0, 1500}, {12000, 0, 3000}, {12000, 5, 3000}, {6000, 5, 1200},
	})
	for _, r := range radios {
		for _, cnr := range pick([]float64{8}, []float64{4, 6, 8, 10, 14, 20}) {
			mean := func(depth Depth, n int) []float64 {
				set := ideal(r.bandwidth, r.poles, r.dev, depth)
				return sinads(t, bareBench(set, r.dev), set.LevelForCNR(cnr), n, flat, slope)
			}
			carrier, audio := mean(DepthCarrier, pick(4, 40)), mean(DepthAudio, pick(12, 120))
			t.Logf("%v CNR %g: carrier %.3f %.3f, audio level off by %.3f %.3f", r, cnr, carrier[0], carrier[1], audio[0]-carrier[0], audio[1]-carrier[1])
			assert.InDelta(t, carrier[0], audio[0], 0.2, "%v CNR %g flat", r, cnr)
			assert.InDelta(t, carrier[1], audio[1], 0.2, "%v CNR %g 1/f", r, cnr)
		}
	}
}

func TestDepthsScatterAlike(t *testing.T) {
	if !long() {
		t.Skip("long: set HISSPOINT_LONG=1")
	}
	for _, seconds := range []int{1, 5} {
		for _, cnr := range []float64{5, 7, 9, 12} {
			spread := func(depth Depth) float64 {
				set := ideal(7500, 5, 1200, depth)
				b, n := bareBench(set, 1200), max(600, 1500/seconds)
				readings := make([]float64, n)
				for i := range readings {
					tone, rest := 0.0, 0.0
					for k, p := range powers(b.WithSeed(uint64(i)).Take(set.LevelForCNR(cnr), float64(seconds))) {
						w := slope(float64(k) / float64(seconds))
						if k == 1000*seconds {
							tone += w * w * p
						} else {
							rest += w * w * p
						}
					}
					readings[i] = 10 * math.Log10((tone+rest)/rest)
				}
				return spreadOf(readings)
			}
			carrier, audio := spread(DepthCarrier), spread(DepthAudio)
			t.Logf("%d s, CNR %g dB: scatter %.3f carrier level, %.3f audio level", seconds, cnr, carrier, audio)
			assert.InEpsilon(t, carrier, audio, 0.15, "%d s, CNR %g dB", seconds, cnr)
		}
	}
}

func spreadOf(xs []float64) float64 {
	mean, square := 0.0, 0.0
	for i, x := range xs {
		d := x - mean
		mean += d / float64(i+1)
		square += d * (x - mean)
	}
	return math.Sqrt(square / float64(len(xs)-1))
}
