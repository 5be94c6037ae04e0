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
)

// trial is a test under construction: its takes and their recordings.
type trial struct {
	setup job.Setup
	rs    []capture.Recording
}

func testOf(kindName, mode string) *trial {
	b := &trial{setup: job.Setup{Kind: kindName, Mode: mode, LevelKind: unit.PD}}
	b.setup.Reading.Mode = mode
	return b
}

// take adds a recording whose part is written as in a job: "0.5 uV carrier".
func (b *trial) take(t testing.TB, part string, s signal) *trial {
	t.Helper()
	k, err := job.ParsePart(part, unit.PD)
	require.NoError(t, err)
	return b.with(k, s)
}

// level adds a recording at a level.
func (b *trial) level(t testing.TB, level string, s signal) *trial {
	t.Helper()
	l, err := unit.ParseLevel(level, unit.PD)
	require.NoError(t, err)
	return b.with(job.Take{Level: l, Typed: level}, s)
}

func (b *trial) with(k job.Take, s signal) *trial {
	k.File = string(rune('a'+len(b.rs))) + ".wav"
	b.setup.Takes = append(b.setup.Takes, k)
	b.rs = append(b.rs, capture.FromSamples(k.File, s.rate, s.x))
	return b
}

func (b *trial) run(t testing.TB, a analyze.Analysis) analyze.Result {
	t.Helper()
	r, err := a(b.setup, b.rs)
	require.NoError(t, err)
	for _, u := range r.Rows {
		healthy(t, u.Measured)
	}
	healthy(t, analyze.Measured{Readings: given(r.Figures)})
	return r
}

// given are the figures that have a value.
func given(rs []analyze.Reading) (out []analyze.Reading) {
	for _, r := range rs {
		if r.OK() {
			out = append(out, r)
		}
	}
	return out
}

// got is a figure that must be there.
func got(t testing.TB, r analyze.Result, name string) float64 {
	t.Helper()
	require.Empty(t, r.Why)
	f := r.Get(name)
	require.Empty(t, f.Why, name)
	return f.Value
}

// speechNoise is noise within the speech band of exactly that level in dBFS.
func speechNoise(seed uint64, seconds, dBFS float64) signal {
	const rate = 12000
	x := noise(seeded(seed), rate, int(seconds*rate), between(320, 3300))
	return signal{rate: rate, x: times(math.Sqrt(math.Pow(10, dBFS/10)/2/power(x)), x)}
}

func TestQuietingOfSeveralLevels(t *testing.T) {
	b := testOf(job.KindQuieting, job.FM)
	b.take(t, "off", speechNoise(1, 2, -10)).
		take(t, "0.3 uV carrier", speechNoise(2, 2, -18)).
		take(t, "0.5 uV carrier", speechNoise(3, 2, -26)).
		take(t, "1 uV carrier", speechNoise(4, 2, -35)).
		take(t, "1 uV modulated", speechNoise(5, 2, -35).tone(0.2, 1000, 0)).
		take(t, "off", speechNoise(6, 2, -10.1))
	r := b.run(t, kind.Quieting)
	hiss := 10 * math.Log10((math.Pow(10, -1)+math.Pow(10, -1.01))/2)
	assert.InDelta(t, hiss+35, got(t, r, job.QuantityQuieting), 0.01)
	f := r.Get(job.QuantityQuieting)
	assert.True(t, f.High-f.Low > 0.2 && f.High-f.Low < 1.5, "%+v", f)
	// 15.95 dB at 0.5 µV and 24.95 dB at 1 µV: on a straight line 20 dB lie at -110.30 dBm.
	p := r.Get(job.FigureQuietingPoint)
	assert.InDelta(t, -110.30, p.Value, 0.3)
	assert.Equal(t, "dBm", p.Unit)
	assert.True(t, p.HasInterval())
	tone := 20 * math.Log10(0.2)
	assert.InDelta(t, tone, got(t, r, job.FigureRecoveredAudio), 0.01)
	assert.InDelta(t, 10*math.Log10(math.Pow(10, tone/10)+math.Pow(10, -3.5))+35, got(t, r, job.QuantityHumNoise), 0.03)
	require.Len(t, r.Lines, 2)
	assert.InDelta(t, -hiss-35, r.Lines[0].Points[2].Y, 0.01)
	assert.Equal(t, "carrier, 0.5 µV PD", r.Rows[2].Label)
}

func TestQuietingRefuses(t *testing.T) {
	off, quiet := func() signal { return speechNoise(1, 1, -10) }, func() signal { return speechNoise(2, 1, -30) }
	modulated := func() signal { return speechNoise(3, 1, -30).tone(0.3, 1000, 0) }
	new := func() *trial { return testOf(job.KindQuieting, job.FM) }
	for why, b := range map[string]*trial{
		"needs the hiss":               new().take(t, "1 uV carrier", quiet()),
		"needs an unmodulated carrier": new().take(t, "off", off()).take(t, "1 uV modulated", modulated()),
		"b.wav has a tone of 1000 Hz, but the carrier must be unmodulated": new().take(t, "off", off()).take(t, "1 uV carrier", modulated()),
		"b.wav has a tone of 400 Hz, but the carrier must be unmodulated":  new().take(t, "off", off()).take(t, "1 uV carrier", quiet().tone(0.3, 400, 0)),
		"a.wav has a tone of 1000 Hz, but no signal is due there":          new().take(t, "off", modulated()).take(t, "1 uV carrier", quiet()),
		"there is no tone in c.wav":                                        new().take(t, "off", off()).take(t, "1 uV carrier", quiet()).take(t, "1 uV modulated", quiet()),
		"was the squelch closed, or":                                       new().take(t, "off", quiet()).take(t, "1 uV carrier", off()),
		"a.wav is silent: was the squelch closed?":                         new().take(t, "off", silence(12000, 1)).take(t, "1 uV carrier", quiet()),
		"the volume was moved: the hiss differs by 2.0 dB":                 new().take(t, "off", off()).take(t, "1 uV carrier", quiet()).take(t, "off", speechNoise(4, 1, -12)),
		"the volume was moved: the audio differs by":                       new().take(t, "off", off()).take(t, "1 uV carrier", quiet()).take(t, "1 uV modulated", modulated()).take(t, "1 uV modulated", speechNoise(5, 1, -30).tone(0.25, 1000, 0)),
		"some levels are absolute":                                         new().take(t, "off", off()).take(t, "1 uV carrier", quiet()).take(t, "-3 dB carrier", quiet()),
	} {
		r := b.run(t, kind.Quieting)
		assert.Contains(t, r.Why, why)
		assert.Empty(t, r.Figures, why)
	}
}

// discriminator is an ideal FM set: rectangular IF, no faults, flat audio.
func discriminator(d simulate.Deemphasis) simulate.FM {
	return simulate.FM{IFBandwidthHz: 20000, Deemphasis: d, StandardDeviationHz: 1500, Audio: simulate.AudioStage{OutputVolts: 1}}
}

// Above threshold a discriminator's noise has the density f^2 N0/C in hertz
// squared a hertz (one-sided, N0 the IF noise density and C the carrier), so
// through a flat band from f1 to f2
//
//	S/N = (d^2/2) / ((f2^3 - f1^3)/3 N0/C), and with 1/f de-emphasis
//	S/N = (d^2/2) / (f0^2 (f2 - f1) N0/C)
//
// (any textbook of FM, such as S. O. Rice, Noise in FM receivers, 1963). A set
// without hum has a hum and noise of 1 + S/N, and noise that falls by as much
// as the carrier rises.
func TestQuietingAgainstDiscriminatorTheory(t *testing.T) {
	const f1, f2, d = 300.0, 3400.0, 1500.0
	for _, c := range []struct {
		d     simulate.Deemphasis
		noise float64
	}{{simulate.DeemphasisNone, (f2*f2*f2 - f1*f1*f1) / 3}, {simulate.DeemphasisSlope, 1e6 * (f2 - f1)}} {
		set := discriminator(c.d)
		b := simulate.Bench{Generator: simulate.Generator{ToneHz: 1000, DeviationHz: d}, Set: set, Card: simulate.SoundCard{Rate: 12000, FullScaleVolts: 20}, Seed: 5}
		test := testOf(job.KindQuieting, job.FM)
		add := func(part string, s simulate.Segment) {
			s.Seconds = 3
			b.Seed++
			test.take(t, part, signal{rate: 12000, x: b.Record(s)})
		}
		level := set.LevelForCNR(20)
		add("off", simulate.Segment{Off: true})
		add("-20 dB carrier", simulate.Segment{LevelDBm: level, Unmodulated: true})
		add("-10 dB carrier", simulate.Segment{LevelDBm: level + 10, Unmodulated: true})
		add("-10 dB modulated", simulate.Segment{LevelDBm: level + 10})
		r := test.run(t, kind.Quieting)
		cn0 := math.Pow(10, 30.0/10) * set.IFBandwidthHz
		want := db(1 + d*d/2/c.noise*cn0)
		assert.InDelta(t, want, got(t, r, job.QuantityHumNoise), 0.25, c.d)
		weak, strong := r.Rows[1].Worth[0].Value, r.Rows[2].Worth[0].Value
		assert.InDelta(t, 10, strong-weak, 0.4, "noise falls with the carrier")
		assert.Greater(t, weak, 10.0)
	}
}
