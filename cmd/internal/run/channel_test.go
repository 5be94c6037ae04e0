package run

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	judge "hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/capture/wav"
)

// The set is on the left; on the right there is a hum louder than the noise of
// the carrier. Modulation off has no tone to tell the channel by.
func TestOneChannelForAllRecordingsOfATest(t *testing.T) {
	dir := t.TempDir()
	const rate = 8000
	record := func(name string, tone, noise float64) job.Take {
		r := rand.New(rand.NewPCG(1, uint64(1000*tone)))
		left, right := make([]float64, 2*rate), make([]float64, 2*rate)
		for i := range left {
			at := 2 * math.Pi * float64(i) / rate
			left[i] = tone*math.Sin(1000*at) + noise*r.NormFloat64()
			right[i] = 0.1*math.Sin(100*at) + 1e-4*r.NormFloat64()
		}
		require.NoError(t, wav.WriteFile(filepath.Join(dir, name), wav.Format{Rate: rate, Bits: 24}, left, right))
		state := job.StateModulated
		if tone == 0 {
			state = job.StateCarrier
		}
		return job.Take{Level: unit.DBm(-47), Typed: "1 mV", State: state, File: name}
	}
	takes := []job.Take{record("car.wav", 0, 0.001), record("mod.wav", 0.3, 0.001)}
	t.Run("kind", func(t *testing.T) {
		r, err := Runner{Dir: dir}.Kind(job.Setup{Kind: job.KindHumNoise, Stanza: job.Stanza{Takes: takes}}, Use{})
		require.NoError(t, err)
		require.Empty(t, r.Why)
		assert.InDelta(t, 10*math.Log10(0.09/2/1e-6/0.895), r.Get(job.QuantityHumNoise).Value, 0.3, "white noise, of which wide passes 3580 of 4000 Hz")
	})
	t.Run("sensitivity", func(t *testing.T) {
		s, err := Runner{Dir: dir}.Kind(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySNN, Value: 10, Unit: "dB"}, Takes: takes}, Reading: job.Reading{Mode: job.AM}, Mode: job.AM}, Use{})
		require.NoError(t, err)
		for _, row := range s.Rows {
			assert.Equal(t, 1, row.Measured.Origin.Channel, row.Take.File)
		}
	})
}

// stereo writes what the set gives on the left and, on the right, what is said.
func stereo(t *testing.T, dir, name string, left, right func(at float64) float64) string {
	t.Helper()
	const rate = 16000
	channels := [2][]float64{make([]float64, 4*rate), make([]float64, 4*rate)}
	for i := range channels[0] {
		channels[0][i], channels[1][i] = left(float64(i)/rate), right(float64(i)/rate)
	}
	require.NoError(t, wav.WriteFile(filepath.Join(dir, name), wav.Format{Rate: rate, Bits: 16}, channels[0], channels[1]))
	return name
}

// sounds of a set in closed form: a tone of 0.3 with noise of an RMS beside it.
func setAudio(seed uint64, noise float64) func(float64) float64 {
	r := rand.New(rand.NewPCG(seed, 5))
	return func(at float64) float64 { return 0.3*math.Sin(2*math.Pi*1000.1*at) + noise*r.NormFloat64() }
}

func generatorTone(at float64) float64 { return 0.5 * math.Sin(2*math.Pi*1000.1*at) }

func sensitivityTest() job.Setup {
	return job.Setup{Kind: job.KindSensitivity, Mode: job.FM, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}}}
}

// The receiver is on the left and the generator's own tone on the right, 60 dB
// cleaner: nothing is judged until somebody says which is the set's, and both are
// shown; with a channel stated the answer is the set's.
func TestNoVerdictFromTheBetterChannel(t *testing.T) {
	dir := t.TempDir()
	limit := job.Limit{Quantity: job.QuantitySensitivity, Bound: job.AtMost, Value: -110, Unit: "dBm", Typed: "-110 dBm"}
	test := sensitivityTest()
	test.Limits, test.Decide = []job.Limit{limit}, job.ByValue
	for i, noise := range []float64{0.03, 0.06, 0.12, 0.24} { // SINAD 17 to 0 dB
		name := stereo(t, dir, fmt.Sprintf("%d.wav", i), setAudio(uint64(i), noise), generatorTone)
		test.Takes = append(test.Takes, job.Take{Level: unit.DBm(-100 - 3*float64(i)), File: name})
	}
	record, err := Runner{Dir: dir}.Kind(test, Use{})
	require.NoError(t, err)
	point := record.Point
	assert.Equal(t, analyze.ChannelUnstated, point.Status)
	for _, j := range judge.JudgeResult(record, nil) {
		assert.Equal(t, judge.Undecided, j.Verdict.Outcome, "no more than that nothing is decided")
	}
	assert.Contains(t, point.Why, "--channel")
	assert.Contains(t, point.Why, "channel 1 holds 1000.1 Hz")
	assert.Contains(t, point.Why, "channel 2 holds 1000.1 Hz")
	assert.Len(t, record.Rows, 8)

	for _, said := range []struct {
		use Use
		how job.Reading
	}{{Use{Channel: 1}, job.Reading{}}, {Use{}, job.Reading{Channel: 1}}} {
		test.Reading = said.how
		record, err := Runner{Dir: dir}.Kind(test, said.use)
		require.NoError(t, err)
		for i, row := range record.Rows {
			noise := 0.24 / math.Pow(2, float64(i))
			left := noise * noise * 3100 / 8000 // of white noise the speech band passes that share
			assert.InDelta(t, 10*math.Log10((0.045+left)/left), row.Measured.Get(analyze.SINAD).Value, 0.4)
		}
		assert.NotEmpty(t, judge.JudgeResult(record, nil))
	}

	entries := Runner{Dir: dir}.Measure([]string{"0.wav"}, job.Reading{}, Use{}).Recordings
	require.Len(t, entries, 2)
	for i, e := range entries {
		assert.Equal(t, i+1, e.Measured.Origin.Channel)
		assert.Equal(t, capture.ChannelUnstated, e.Measured.Warnings[len(e.Measured.Warnings)-1].Code)
	}

	r, err := Runner{Dir: dir}.Kind(job.Setup{Kind: job.KindDistortion, Stanza: job.Stanza{Takes: test.Takes[:1]}}, Use{})
	require.NoError(t, err)
	assert.Contains(t, r.Why, "each could be the set's")
	assert.Empty(t, r.Figures)
	assert.Len(t, r.Rows, 2)
}

// Where one channel is silent or leaks, holds no tone, or both hold one sound, at
// another gain, upside down or with an input's own noise, the choice is clear.
func TestClearChannels(t *testing.T) {
	silent := func(float64) float64 { return 0 }
	white := func(seed uint64, rms float64) func(float64) float64 {
		r := rand.New(rand.NewPCG(seed, 6))
		return func(float64) float64 { return rms * r.NormFloat64() }
	}
	set := func() func(float64) float64 { return setAudio(3, 0.03) }
	clean := func() func(float64) float64 { return setAudio(3, 1e-5) }
	times := func(g float64, f func(float64) float64, own func(float64) float64) func(float64) float64 {
		return func(at float64) float64 { return g*f(at) + own(at) }
	}
	for name, c := range map[string]struct {
		left, right func(float64) float64
		want        int
		beside      int // the channel whose sound, without a tone, is told
	}{
		"silent right":          {set(), silent, 1, 0},
		"silent left":           {silent, set(), 2, 0},
		"hiss on the right":     {set(), white(1, 0.1), 1, 2},
		"hiss on the left":      {white(1, 0.1), set(), 2, 1},
		"a set that is dead":    {white(7, 0.05), generatorTone, 2, 1},
		"an open input":         {set(), white(8, 1e-3), 1, 0},
		"one and the same":      {set(), set(), 1, 0},
		"half as loud":          {set(), times(0.5, set(), silent), 1, 0},
		"upside down":           {set(), times(-1, set(), silent), 1, 0},
		"with the input's own":  {set(), times(0.8, set(), white(2, 1e-4)), 1, 0},
		"clean, each its noise": {times(1, clean(), white(4, 2e-5)), times(0.9, clean(), white(5, 2e-5)), 1, 0},
		"leaks at -66 dB":       {set(), times(0.0005, set(), white(6, 1e-4)), 1, 0},
	} {
		dir := t.TempDir()
		stereo(t, dir, "a.wav", c.left, c.right)
		out := Runner{Dir: dir}.Measure([]string{"a.wav"}, job.Reading{}, Use{}).Recordings
		require.Len(t, out, 1, name)
		assert.Equal(t, c.want, out[0].Measured.Origin.Channel, name)
		told := 0
		for _, w := range out[0].Measured.Warnings {
			if w.Code == capture.ChannelChosen {
				told = w.Says.Parts[1].(int)
			}
		}
		assert.Equal(t, c.beside, told, name)
	}
}

// A series has one channel: one that holds the tone in the strong recordings only is
// not left for another in the weak ones.
func TestOneChannelThroughASeries(t *testing.T) {
	dir := t.TempDir()
	test := sensitivityTest()
	r := rand.New(rand.NewPCG(9, 9))
	for i, noise := range []float64{0.03, 0.12, 0.5} {
		right := func(at float64) float64 { return 0.25*math.Sin(2*math.Pi*150*at) + 0.1*r.NormFloat64() }
		name := stereo(t, dir, fmt.Sprintf("%d.wav", i), setAudio(uint64(i), noise), right)
		test.Takes = append(test.Takes, job.Take{Level: unit.DBm(-100 - 6*float64(i)), File: name})
	}
	record, err := Runner{Dir: dir}.Kind(test, Use{})
	require.NoError(t, err)
	assert.Equal(t, analyze.Found, record.Point.Status, record.Point.Why)
	for _, row := range record.Rows {
		assert.Equal(t, 1, row.Measured.Origin.Channel)
	}
}

// Of a response neither channel holds a steady tone: two that differ and are about as
// loud have to be told apart by a person.
func TestResponseNeedsItsChannel(t *testing.T) {
	dir := t.TempDir()
	sweep := func(at float64) float64 { return 0.3 * math.Sin(2*math.Pi*(300*at+350*at*at)) }
	low, last := 0.0, 0.0
	deEmphasised := func(at float64) float64 { low += 0.05 * (sweep(at) - low); last = low; return 2 * last }
	stereo(t, dir, "a.wav", deEmphasised, sweep)
	out, err := Runner{Dir: dir}.Response([]string{"a.wav"}, nil, analyze.ResponseHow{}, Use{})
	require.NoError(t, err)
	assert.Contains(t, out.Result.Why, "--channel")
	out, err = Runner{Dir: dir}.Response([]string{"a.wav"}, nil, analyze.ResponseHow{}, Use{Channel: 2})
	require.NoError(t, err)
	assert.NotContains(t, out.Result.Why, "--channel")
}
