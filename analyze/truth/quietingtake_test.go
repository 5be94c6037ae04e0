package truth_test

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
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

// oneTake is a test of one recording; without parts they have to be found.
func oneTake(t testing.TB, kindName, mode string, b simulate.Bench, segments []simulate.Segment, parts ...string) *trial {
	t.Helper()
	for i := range segments {
		segments[i].Seconds = 2.5
	}
	test := testOf(kindName, mode)
	test.rs = []capture.Recording{b.Recording("take.wav", segments...)}
	test.setup.Takes = []job.Take{{File: "take.wav", Level: unit.Level{Scale: unit.Off}}}
	if len(parts) > 0 {
		test.setup.Takes, test.setup.OneFile = nil, true
	}
	for _, p := range parts {
		k, err := job.ParsePart(p, unit.PD)
		require.NoError(t, err)
		k.File = "take.wav"
		test.setup.Takes = append(test.setup.Takes, k)
	}
	return test
}

func fmBench(seed uint64) simulate.Bench {
	set := discriminator(simulate.DeemphasisSlope)
	set.Audio.Hum = simulate.PickupHum(50, -40)
	return simulate.Bench{Generator: simulate.Generator{ToneHz: 1000, DeviationHz: 1500}, Set: set, Card: simulate.SoundCard{Rate: 12000, FullScaleVolts: 20}, Seed: seed}
}

// Off, carrier, modulated, off in one take gives what the same four give as files.
func TestQuietingOfOneTake(t *testing.T) {
	level := discriminator(simulate.DeemphasisSlope).LevelForCNR(22)
	segments := func(volume float64) []simulate.Segment {
		return []simulate.Segment{{Off: true}, {LevelDBm: level, Unmodulated: true}, {LevelDBm: level}, {Off: true, VolumeDB: volume}}
	}
	listed := oneTake(t, job.KindQuieting, job.FM, fmBench(1), segments(0), "off", "0.5 uV carrier", "0.5 uV modulated", "off").run(t, kind.Quieting)
	bare := oneTake(t, job.KindQuieting, job.FM, fmBench(1), segments(0)).run(t, kind.Quieting)
	files := testOf(job.KindQuieting, job.FM)
	for i, part := range []string{"off", "0.5 uV carrier", "0.5 uV modulated", "off"} {
		b := fmBench(uint64(20 + i))
		files.simulated(t, &b, part, segments(0)[i])
	}
	want := got(t, files.run(t, kind.Quieting), job.QuantityQuieting)
	assert.Greater(t, want, 15.0)
	for _, r := range []analyze.Result{listed, bare} {
		assert.InDelta(t, want, got(t, r, job.QuantityQuieting), 0.5)
		assert.InDelta(t, -26.02, got(t, r, job.FigureRecoveredAudio), 0.1, "1 V on a card of 20 V")
		assert.NotEmpty(t, got(t, r, job.QuantityHumNoise))
		require.Len(t, r.Rows, 4)
		assert.InDelta(t, 2.6, r.Rows[1].Measured.From, 0.25)
	}
	assert.Equal(t, "carrier, 0.5 µV PD", listed.Rows[1].Label)

	moved := oneTake(t, job.KindQuieting, job.FM, fmBench(1), segments(-3), "off", "0.5 uV carrier", "0.5 uV modulated", "off").run(t, kind.Quieting)
	assert.Contains(t, moved.Why, "the volume was moved: the hiss differs by")
	wrong := oneTake(t, job.KindQuieting, job.FM, fmBench(1), segments(0), "off", "0.5 uV modulated", "off").run(t, kind.Quieting)
	assert.Contains(t, wrong.Why, "the parts found do not fit")
	assert.NotContains(t, wrong.Why, "take.wav: ")
	order := oneTake(t, job.KindQuieting, job.FM, fmBench(1), segments(0), "0.5 uV carrier", "off", "0.5 uV modulated", "off").run(t, kind.Quieting)
	assert.Contains(t, order.Why, "open the squelch")
}

// Known lines: 50 Hz 40 dB and 150 Hz 55 dB below the audio; the carrier is so
// strong that noise hardly counts.
func TestHumNoiseOfOneTake(t *testing.T) {
	segments := []simulate.Segment{{LevelDBm: -47}, {LevelDBm: -47, Unmodulated: true}}
	for _, parts := range [][]string{{"1 mV modulated", "1 mV carrier"}, nil} {
		r := oneTake(t, job.KindHumNoise, job.FM, fmBench(3), segments, parts...).run(t, kind.HumNoise)
		both := db(math.Pow(10, -4) + math.Pow(10, -5.5))
		assert.InDelta(t, -both, got(t, r, job.QuantityHumNoise), 0.1)
		assert.InDelta(t, -both, got(t, r, job.FigureHumBelow), 0.1)
		assert.Greater(t, got(t, r, job.FigureNoiseBelow), 60.0)
		assert.InDelta(t, 40, r.Rows[1].Get(analyze.HumAt+"50").Value, 0.1)
		assert.InDelta(t, 55, r.Rows[1].Get(analyze.HumAt+"150").Value, 0.1)
		assert.Contains(t, strings.Join(sentence.All(r.Says), "; "), "hum is stronger than noise")
	}
}

// A set without noise shows the residual FM of the generator: d/sqrt 2 over r.
func TestHumNoiseIsCappedByTheGenerator(t *testing.T) {
	b := fmBench(4)
	b.Set = discriminator(simulate.DeemphasisNone)
	for residual, says := range map[float64]string{20: "a large part of the figure", 0.2: "hardly counts"} {
		b.Generator.ResidualFMHz = 20
		test := oneTake(t, job.KindHumNoise, job.FM, b, []simulate.Segment{{LevelDBm: -30}, {LevelDBm: -30, Unmodulated: true}})
		test.setup.Deviation, test.setup.Settings = 1500, map[string]string{job.SettingResidualFM: fmt.Sprintf("%g Hz", residual)}
		test.setup.Reading.Filter = job.Filter{Name: job.Band, Low: 300, High: 3000}
		r := test.run(t, kind.HumNoise)
		assert.InDelta(t, 20*math.Log10(1500/math.Sqrt2/20), got(t, r, job.QuantityHumNoise), 0.25)
		assert.Contains(t, strings.Join(sentence.All(r.Says), "; "), says)
	}
}

// AM in one take, against the formula again.
func TestSignalNoiseOfOneTake(t *testing.T) {
	set := simulate.AM{IFBandwidthHz: 12000, Audio: simulate.AudioStage{OutputVolts: 1}}
	level := k + db(2*3100/0.09) + 12
	r := oneTake(t, job.KindSignalNoise, job.AM, *amBench(set), []simulate.Segment{{LevelDBm: level}, {LevelDBm: level, Unmodulated: true}}).run(t, kind.SignalNoise)
	assert.InDelta(t, db(1+math.Pow(10, 1.2)), got(t, r, job.QuantitySNN), 0.3)
}

// Speech, from Debian's alsa-utils (GPL): whatever part of it is said to be, it
// has no tone, no hum and no quieting.
func TestSpeechIsNoTest(t *testing.T) {
	files, err := filepath.Glob("/usr/share/sounds/alsa/*_*.wav")
	require.NoError(t, err)
	if len(files) == 0 && os.Getenv("HISSPOINT_CI") != "1" {
		t.Skip("Debian's alsa-utils has the speech: apt-get install alsa-utils")
	}
	require.NotEmpty(t, files)
	speech := func(i int) capture.Recording {
		f, err := capture.Open(files[i%len(files)])
		require.NoError(t, err)
		t.Cleanup(func() { f.Close() })
		return f.Channels[0]
	}
	for i := range len(files) {
		for _, c := range []struct {
			kind, mode string
			run        analyze.Analysis
			parts      []string
		}{
			{job.KindQuieting, job.FM, kind.Quieting, []string{"off", "1 uV carrier", "1 uV modulated", "off"}},
			{job.KindHumNoise, job.FM, kind.HumNoise, []string{"1 mV modulated", "1 mV carrier"}},
			{job.KindSignalNoise, job.AM, kind.SignalNoise, []string{"1 uV modulated", "1 uV carrier"}},
			{job.KindSignalNoise, job.SSB, kind.SignalNoise, []string{"1 uV modulated"}},
			{job.KindDistortion, job.FM, kind.Distortion, []string{"1 mV modulated"}},
			{job.KindLevelCurve, job.FM, kind.LevelCurve, []string{"1 mV modulated", "1 uV modulated"}},
			{job.KindAudioPower, job.FM, kind.AudioPower, []string{"1 mV modulated", "1 uV modulated"}},
		} {
			test := testOf(c.kind, c.mode)
			for n, p := range c.parts {
				take, err := job.ParsePart(p, unit.PD)
				require.NoError(t, err)
				take.File = files[(i+n)%len(files)]
				test.setup.Takes = append(test.setup.Takes, take)
				test.rs = append(test.rs, speech(i+n))
			}
			r := test.run(t, c.run)
			assert.NotEmpty(t, r.Why, "%s of %s", c.kind, files[i])
			assert.Empty(t, r.Figures)
		}
	}
}
