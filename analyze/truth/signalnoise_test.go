package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
	"hisspoint/reports/sentence"
)

// simulated adds one recording for each level and part of a simulated set.
func (b *trial) simulated(t testing.TB, bench *simulate.Bench, part string, s simulate.Segment) {
	t.Helper()
	s.Seconds = 2.5
	bench.Seed++
	b.take(t, part, signal{rate: bench.Card.Rate, x: bench.Record(s)})
}

func amBench(set simulate.Set) *simulate.Bench {
	return &simulate.Bench{Generator: simulate.Generator{ToneHz: 1000, Depth: 0.3}, Set: set, Card: simulate.SoundCard{Rate: 12000, FullScaleVolts: 20}, Seed: 40}
}

const k = simulate.NoiseDensityDBm // k T0: a set without noise figure

// An envelope detector well above its noise has, in W Hz of flat audio,
// S/N = m^2 C / (2 W N0) (any textbook of communication); on over off is 1 + S/N.
func TestSignalNoiseOfAM(t *testing.T) {
	const m, w = 0.3, 3100.0
	set := simulate.AM{IFBandwidthHz: 12000, Audio: simulate.AudioStage{OutputVolts: 1}, AGC: simulate.AGC{ThresholdDBm: -120, RatioDB: 10}}
	sn := func(c float64) float64 { return m * m / 2 * math.Pow(10, (c-k)/10) / w }
	b, trial := amBench(set), testOf(job.KindSignalNoise, job.AM)
	point := k + db(9*2*w/m/m) // on over off 10 dB is S/N 9
	for i, offset := range []float64{-4, -1, 2, 12} {
		c := point + offset
		at := unit.Level{DB: c}.String()
		b.Generator.ToneHz = 1000 + float64(i)
		trial.simulated(t, b, at+" modulated", simulate.Segment{LevelDBm: c})
		trial.simulated(t, b, at+" carrier", simulate.Segment{LevelDBm: c, Unmodulated: true})
	}
	r := trial.run(t, kind.SignalNoise)
	assert.InDelta(t, db(1+sn(point+12)), got(t, r, job.QuantitySNN), 0.35)
	for _, row := range r.Rows[:6] {
		if f := row.Get(job.QuantitySNN); f.OK() {
			want := db(1 + sn(row.Take.Level.DB))
			assert.InDelta(t, want, f.Value, 0.5, row.Label)
			assert.True(t, f.High-f.Low < 1 && f.High-f.Low > 0.1, "%+v", f)
		}
	}
	p := r.Get(job.FigureSignalNoisePoint)
	assert.InDelta(t, point, p.Value, 0.4)
	assert.True(t, p.HasInterval() && p.Low < p.Value-0.1)
	require.Len(t, r.Lines, 1)
	assert.Len(t, r.Lines[0].Points, 4)
}

// A product detector has S/N = C / (B N0) in the IF noise bandwidth B, here all
// of it within the speech band. The AGC lifts the hiss without a signal, so on
// against off reads low; within one recording it does not matter.
func TestSignalNoiseOfSSB(t *testing.T) {
	const bandwidth = 2300.0
	set := simulate.SSB{IFBandwidthHz: bandwidth, Audio: simulate.AudioStage{OutputVolts: 1}, AGC: simulate.AGC{ThresholdDBm: -150, RatioDB: 20}}
	level := k + db(bandwidth) + 14
	want := db(1 + math.Pow(10, 1.4))
	record := func(set simulate.SSB, note string) analyze.Result {
		b, trial := amBench(set), testOf(job.KindSignalNoise, job.SSB)
		at := unit.Level{DB: level}.String()
		trial.simulated(t, b, at+" modulated", simulate.Segment{LevelDBm: level})
		trial.simulated(t, b, "off", simulate.Segment{Off: true})
		trial.setup.Note = note
		return trial.run(t, kind.SignalNoise)
	}
	within := record(set, "")
	assert.InDelta(t, want, got(t, within, job.QuantitySNN), 0.3)
	assert.Contains(t, sentence.Of(within.Says[0]), "b.wav is not used")
	assert.Less(t, got(t, record(set, "AGC held"), job.QuantitySNN), want-4, "what is read if that is not true")
	set.AGC.HeldDBm = level
	assert.InDelta(t, want, got(t, record(set, "AGC held"), job.QuantitySNN), 0.3)
}

// The (S+N)/N of a sensitivity test is the same.
func TestSensitivityBySignalNoise(t *testing.T) {
	test := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySNN, Value: 10, Unit: "dB"}}, Reading: job.Reading{Mode: job.AM}, Mode: job.AM}
	var rs []capture.Recording
	add := func(level float64, state string, s signal) {
		test.Takes = append(test.Takes, job.Take{Level: unit.DBm(level), Typed: "x", State: state, File: state + ".wav"})
		rs = append(rs, capture.FromSamples(state+".wav", s.rate, s.x))
	}
	for i, level := range []float64{-110, -107, -104} { // S/N of -110 dBm: 5 dB, and 3 dB more each
		add(level, job.StateModulated, speechNoise(uint64(i), 2, -30).tone(math.Pow(10, (-25+3*float64(i))/20), 1000, 0))
		add(level, job.StateCarrier, speechNoise(uint64(10+i), 2, -30))
	}
	res, err := kind.Sensitivity(test, rs)
	require.NoError(t, err)
	require.Equal(t, analyze.Found, res.Point.Status, res.Point.Why)
	assert.InDelta(t, -110+9.542-5, res.Point.Level.DB, 0.15, "S/N 9 is 9.542 dB")
	assert.Len(t, res.Rows, 6)
	_, err = kind.Sensitivity(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: test.Criterion, Takes: test.Takes[:3]}, Reading: job.Reading{Mode: job.AM}, Mode: job.AM}, rs[:3])
	assert.ErrorContains(t, err, "has no partner without modulation")

	// SSB: each against itself; a tone that drifts by 30 Hz is no other test.
	test.Mode, test.Reading.Mode, test.Takes, rs = job.SSB, job.SSB, nil, nil
	for i, level := range []float64{-120, -117, -114} {
		add(level, job.StateModulated, speechNoise(uint64(i), 2, -30).tone(math.Pow(10, (-25+3*float64(i))/20), 1240+30*float64(i), 0))
	}
	res, err = kind.Sensitivity(test, rs)
	require.NoError(t, err)
	require.Equal(t, analyze.Found, res.Point.Status, res.Point.Why)
	assert.InDelta(t, -120+9.542-5, res.Point.Level.DB, 0.15)
	for _, row := range res.Rows {
		assert.Empty(t, codes(row.Measured), "a set off tune is no wrong tone")
	}
}

func TestSignalNoiseRefuses(t *testing.T) {
	quiet, modulated := speechNoise(2, 1, -40), speechNoise(3, 1, -40).tone(0.1, 1000, 0)
	am, ssb := func() *trial { return testOf(job.KindSignalNoise, job.AM) }, func() *trial { return testOf(job.KindSignalNoise, job.SSB) }
	for why, b := range map[string]*trial{
		"a.wav has no partner without modulation":    am().take(t, "1 uV modulated", modulated).take(t, "2 uV carrier", quiet),
		"b.wav has a tone of 1000 Hz":                am().take(t, "1 uV modulated", modulated).take(t, "1 uV carrier", modulated),
		"needs the standard modulation":              am().take(t, "1 uV carrier", quiet),
		"no recording has a tone: was the":           am().take(t, "1 uV modulated", quiet).take(t, "1 uV carrier", quiet),
		"no recording has a tone: put the carrier":   ssb().take(t, "1 uV modulated", quiet),
		"b.wav gives no output (silence): was the":   am().take(t, "1 uV modulated", modulated).take(t, "1 uV carrier", silence(12000, 1)),
		"the volume was moved: the audio differs by": am().take(t, "1 uV modulated", modulated).take(t, "1 uV carrier", quiet).take(t, "1 uV modulated", speechNoise(5, 1, -40).tone(0.2, 1000, 0)),
	} {
		r := b.run(t, kind.SignalNoise)
		assert.Contains(t, r.Why, why)
		assert.Empty(t, r.Figures)
	}
}
