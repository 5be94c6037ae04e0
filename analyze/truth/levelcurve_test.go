package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/change"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
	"hisspoint/reports/sentence"
)

// audio is a tone of so many dBFS over quiet noise.
func audio(seed uint64, dBFS float64) signal {
	return speechNoise(seed, 1, -60).tone(math.Pow(10, dBFS/20), 1000, 0)
}

// A limiter whose output is 1/(1 + C0/C) of its most in power, C0 at -116 dBm:
// 3 dB down where C0/C = 10^0.3 - 1, 1 dB where it is 10^0.1 - 1.
func TestLimitingKnee(t *testing.T) {
	output := func(l float64) float64 { return -20 - db(1+math.Pow(10, (-116-l)/10)) }
	where := func(down float64) float64 { return -116 - db(math.Pow(10, down/10)-1) }
	b := testOf(job.KindLevelCurve, job.FM)
	for i, l := range []float64{-121, -118.5, -117, -115, -112, -109, -90} {
		b.level(t, unit.Level{DB: l}.String(), audio(uint64(i), output(l)))
	}
	r := b.run(t, kind.LevelCurve)
	one, three := where(1), where(3)
	assert.InDelta(t, one, got(t, r, job.FigureLimitingOneDB), 0.15)
	assert.InDelta(t, three, got(t, r, job.FigureLimitingThree), 0.05)
	f := r.Get(job.FigureLimitingThree)
	assert.True(t, f.HasInterval() && f.Unit == "dBm" && f.Low < three && three < f.High && f.High-f.Low < 1, "%+v", f)
	assert.InDelta(t, -20, got(t, r, job.FigureRecoveredAudio), 0.02)
	assert.InDelta(t, output(-118.5)-output(-90), r.Lines[0].Points[1].Y, 0.02)
	require.Len(t, r.Says, 1)
	assert.Contains(t, sentence.Of(r.Says[0]), "level uncertainty is not stated")

	tolerance := 1.0
	b.setup.Path.LevelUncertainty = &tolerance
	known := b.run(t, kind.LevelCurve)
	assert.Empty(t, known.Says)
	wide := known.Get(job.FigureLimitingThree)
	const k = 1.959963984540054 // 97.5 % point of the normal distribution
	assert.InDelta(t, math.Hypot(f.High-f.Value, k/math.Sqrt(3)), wide.High-wide.Value, 1e-9)
	moved, ok := change.Shared(wide, wide)
	require.True(t, ok)
	assert.InDelta(t, math.Sqrt2*(f.High-f.Value), moved.High, 1e-9, "the generator cancels")

	b.setup.Path = job.RFPath{PadDB: 10, GeneratorReflection: 0.2, InputReflection: 0.5}
	r = b.run(t, kind.LevelCurve)
	assert.InDelta(t, three-10, got(t, r, job.FigureLimitingThree), 0.05, "at the set")
	assert.Greater(t, r.Get(job.FigureLimitingThree).High-r.Get(job.FigureLimitingThree).Low, f.High-f.Low, "mismatch counts")
}

// The AGC of a simulated set passes on one decibel of ten above its threshold,
// and everything below it.
func TestGainControlCurve(t *testing.T) {
	for _, mode := range []string{job.AM, job.SSB} {
		agc := simulate.AGC{ThresholdDBm: -95, RatioDB: 10}
		var set simulate.Set = simulate.AM{IFBandwidthHz: 6000, Audio: simulate.AudioStage{OutputVolts: 1}, AGC: agc}
		if mode == job.SSB {
			set = simulate.SSB{IFBandwidthHz: 2400, Audio: simulate.AudioStage{OutputVolts: 1}, AGC: agc}
		}
		bench, b := amBench(set), testOf(job.KindLevelCurve, mode)
		for _, l := range []float64{-101, -98, -95, -75, -55} {
			b.level(t, unit.Level{DB: l}.String(), signal{rate: 12000, x: bench.Record(simulate.Segment{Seconds: 1, LevelDBm: l})})
		}
		r := b.run(t, kind.LevelCurve)
		// -55 to -95 dBm is 4 dB of audio; two more dB lie at -97 dBm.
		assert.InDelta(t, -97, got(t, r, job.FigureGainSixDB), 0.25, mode)
		assert.InDelta(t, 4+6, got(t, r, job.FigureGainSpread), 0.1, mode)
		assert.InDelta(t, 4.6, got(t, r, job.FigureGainMerit), 0.05, mode)
		assert.Contains(t, sentence.Of(r.Says[0]), "46 dB apart")
		b.setup.Takes, b.rs = b.setup.Takes[2:], b.rs[2:]
		r = b.run(t, kind.LevelCurve)
		assert.InDelta(t, 10, got(t, r, job.FigureGainMerit), 0.2, mode)
		assert.Contains(t, r.Get(job.FigureGainSixDB).Why, "less than 6 dB down at every level")
	}
}

// One take of an AM set whose AGC recovers slowly: the dip after each step down is
// no level of its own. 20 dB are 2 dB of audio.
func TestGainControlOfOneTake(t *testing.T) {
	set := simulate.AM{IFBandwidthHz: 6000, Audio: simulate.AudioStage{OutputVolts: 1}, AGC: simulate.AGC{ThresholdDBm: -110, RatioDB: 10, AttackS: 0.03, DecayS: 0.3}}
	bench, b := amBench(set), testOf(job.KindLevelCurve, job.AM)
	var segments []simulate.Segment
	for _, l := range []float64{-47, -67, -87, -107} {
		b.setup.Takes = append(b.setup.Takes, job.Take{Level: unit.DBm(l), Typed: unit.DBm(l).String(), File: "l.wav"})
		segments = append(segments, simulate.Segment{Seconds: 4, LevelDBm: l})
	}
	b.setup.OneFile, b.rs = true, []capture.Recording{bench.Recording("l.wav", segments...)}
	r := b.run(t, kind.LevelCurve)
	assert.InDelta(t, 6, got(t, r, job.FigureGainSpread), 0.1)
	assert.InDelta(t, 10, got(t, r, job.FigureGainMerit), 0.2)
	require.Len(t, r.Rows, 4)
	assert.InDelta(t, -4, r.Rows[2].Worth[0].Value, 0.1)
}

func TestLevelCurveRefuses(t *testing.T) {
	new := func() *trial { return testOf(job.KindLevelCurve, job.FM) }
	quiet := speechNoise(1, 1, -40)
	for why, b := range map[string]*trial{
		"no recording has a tone":     new().level(t, "1 uV", quiet).level(t, "2 uV", quiet),
		"a tone at two levels":        new().level(t, "1 uV", quiet).level(t, "2 uV", audio(1, -20)),
		"the strongest signal":        new().level(t, "1 uV", audio(1, -20)).level(t, "2 uV", audio(2, -20)).level(t, "1 mV", quiet),
		"some levels are absolute":    new().level(t, "1 uV", audio(1, -20)).level(t, "2 uV", audio(2, -20)).level(t, "-3 dB", audio(3, -20)),
		"a series needs one tone":     new().level(t, "1 uV", audio(1, -20)).level(t, "2 uV", speechNoise(1, 1, -60).tone(0.1, 1050, 0)),
		"the volume was moved: the a": new().level(t, "1 uV", audio(1, -20)).level(t, "2 uV", audio(1, -20)).level(t, "1 uV", audio(1, -17)),
	} {
		r := b.run(t, kind.LevelCurve)
		assert.Contains(t, r.Why, why)
		assert.Empty(t, r.Figures)
	}
	over := new().level(t, "1 uV", audio(1, -20)).level(t, "10 uV", audio(1, -10)).level(t, "1 mV", audio(1, -13)).run(t, kind.LevelCurve)
	require.NotEmpty(t, over.Says)
	assert.Contains(t, sentence.Of(over.Says[0]), "the audio falls by 3.0 dB from 10 µV PD to the stronger 1 mV PD")
}
