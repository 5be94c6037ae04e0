package run

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/cardfile"
	"hisspoint/capture/wav"
	"hisspoint/reports"
	"hisspoint/reports/sentence"
)

// lineIn is a card whose noise in the speech band is that of noisy's, less so many dB.
func lineIn(name string, below float64) job.Qualified {
	return job.Qualified{ID: name, Name: name, At: "2026-11-01", Card: job.Card{RateHz: 8000, NoiseDBFS: map[string]float64{job.SpeechBand: noisyDBFS - below}}}
}

// noisyDBFS is the noise of writeNoisy in the speech band: 3100 of 4000 Hz.
var noisyDBFS = 10 * math.Log10(2*0.01*0.01*3100/4000)

// writeNoisy writes a second of 1 kHz at -10 dBFS in white noise of 0.01 RMS.
func writeNoisy(t *testing.T, path string) {
	t.Helper()
	r, x := rand.New(rand.NewPCG(3, 1)), make([]float64, 8000)
	for i := range x {
		x[i] = 0.3162*math.Sin(2*math.Pi*1000*float64(i)/8000) + 0.01*r.NormFloat64()
	}
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: 8000, Bits: 16}, x))
}

func putCard(t *testing.T, dir string, q job.Qualified) {
	t.Helper()
	require.NoError(t, cardfile.Write(filepath.Join(dir, cardfile.Name), q))
}

// The card of a recording is that of its folder, else that of its job's folder; a
// card.json above a folder that is no job's is none of its business.
func TestTheCardOfARecording(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "job", "as-left"), 0o755))
	putCard(t, dir, lineIn("above", 3))
	name := func(rn Runner, file string) string {
		q, err := rn.cardOf(file)
		require.NoError(t, err)
		if q == nil {
			return ""
		}
		return q.Name
	}
	file := filepath.Join(dir, "job", "as-left", "a.wav")
	assert.Empty(t, name(Runner{}, file))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "job", "job.yaml"), nil, 0o644))
	assert.Empty(t, name(Runner{}, file), "the search ends at the job's folder")
	putCard(t, filepath.Join(dir, "job"), lineIn("of the job", 3))
	assert.Equal(t, "of the job", name(Runner{}, file))
	assert.Equal(t, "of the job", name(Runner{Dir: filepath.Join(dir, "job")}, "as-left/a.wav"))
	putCard(t, filepath.Join(dir, "job", "as-left"), lineIn("of the round", 3))
	assert.Equal(t, "of the round", name(Runner{}, file))
	assert.Empty(t, name(Runner{}, "-"))
	assert.Empty(t, name(Runner{NoCard: true}, file))
	named := lineIn("named", 3)
	assert.Equal(t, "named", name(Runner{Card: &named}, file))
	_, why, err := Runner{Dir: filepath.Join(dir, "job")}.cardOfFiles([]string{"x.wav", "as-left/a.wav"})
	require.NoError(t, err)
	assert.Contains(t, why, "some of its recordings were made with of the job, qualified 2026-11-01 and some with of the round")
}

func TestMeasureSaysWhatTheCardLimits(t *testing.T) {
	dir := t.TempDir()
	writeNoisy(t, filepath.Join(dir, "a.wav"))
	q := lineIn("line in", 3)
	volts := 2.0
	q.Card.FullScaleVolts = &volts
	codes := func(rn Runner) string {
		m := rn.Measure([]string{"a.wav"}, job.Reading{}, Use{}).Recordings[0]
		require.Empty(t, m.Error)
		text := ""
		for _, w := range m.Measured.Warnings {
			text += string(w.Code) + " "
		}
		if v := m.Measured.Get(analyze.LevelVolts); v.OK() {
			text += "volts"
		}
		return text
	}
	assert.Empty(t, codes(Runner{Dir: dir}))
	putCard(t, dir, q)
	assert.Equal(t, "card-limits volts", codes(Runner{Dir: dir}))
	q.Card.RateHz = 48000
	putCard(t, dir, q)
	assert.Equal(t, "card-mismatch ", codes(Runner{Dir: dir}))
	require.NoError(t, os.WriteFile(filepath.Join(dir, cardfile.Name), []byte("{}"), 0o644))
	assert.Contains(t, Runner{Dir: dir}.Measure([]string{"a.wav"}, job.Reading{}, Use{}).Recordings[0].Error, "card.json: is no qualification")
}

// strong is a round of one distortion test on one file.
func strong(t *testing.T, dir, file string) *job.Round {
	writeNoisy(t, filepath.Join(dir, file))
	return &job.Round{Tests: []job.Test{{Kind: job.KindDistortion, Stanza: &job.Stanza{Takes: []job.Take{{File: file}}, Limits: []job.Limit{{Quantity: job.QuantitySINAD, Bound: job.AtLeast, Value: 20, Unit: "dB"}}}}}}
}

// What one card adds to both rounds widens each figure and not their change; of two
// cards it widens the change, too.
func TestTheCardInAJob(t *testing.T) {
	dir := t.TempDir()
	j := &job.Job{ID: "1", Dir: dir, Set: job.Set{Mode: job.AM}, AsFound: strong(t, dir, "as-found/a.wav"), AsLeft: strong(t, dir, "as-left/b.wav")}
	run := func() (reports.Job, analyze.Reading, float64) {
		record, err := Runner{}.Job(j)
		require.NoError(t, err)
		c := record.Change(job.KindDistortion, "", job.QuantitySINAD)
		require.NotNil(t, c)
		return record, record.Rounds[1].Find(job.KindDistortion, "").Result.Get(job.QuantitySINAD), c.Figure.High - c.Figure.Low
	}
	_, alone, change := run()
	putCard(t, dir, lineIn("line in", 6))
	record, with, same := run()
	assert.InDelta(t, alone.Low, with.Low, 1e-9)
	assert.InDelta(t, 1.25, with.High-alone.High, 0.15, "-10 log10(1 - 1/4)")
	assert.InDelta(t, change, same, 1e-9)
	assert.Equal(t, "line in", record.Rounds[0].Card.Name)
	putCard(t, filepath.Join(dir, "as-left"), lineIn("another", 6))
	_, _, apart := run()
	// Nothing is known of either card's response: what is assumed, ±0.5 dB of which noise
	// in the speech band shows 0.56, rectangular, counts for both.
	responses := 1.96 * 0.56 * 0.5 * math.Sqrt(2.0/3)
	assert.InDelta(t, 2*math.Hypot(change/2, responses)+2*1.25, apart, 0.1)
}

// A qualification that was made at another gain, or by other volts, is left out with
// a warning; volts that contradict each other are not used at all.
func TestACardThatDoesNotHold(t *testing.T) {
	dir := t.TempDir()
	q := lineIn("line in", 6)
	volts := 2.0
	q.Card.FullScaleVolts, q.Card.InputGain = &volts, "62 %"
	putCard(t, dir, q)
	r := strong(t, dir, "a.wav")
	j := &job.Job{ID: "1", Dir: dir, Set: job.Set{Mode: job.AM}, AsFound: r}
	run := func() (reports.Round, analyze.Reading) {
		record, err := Runner{}.Job(j)
		require.NoError(t, err)
		return record.Rounds[0], record.Rounds[0].Find(job.KindDistortion, "").Result.Get(analyze.LevelVolts)
	}
	round, v := run()
	assert.Empty(t, round.Warnings)
	assert.InDelta(t, 2*math.Pow(10, -10/20.0), v.Value, 0.01, "by the card's own volts")

	r.Conditions.InputGain = "40%"
	round, v = run()
	assert.Nil(t, round.Card)
	assert.False(t, v.OK())
	require.Len(t, round.Warnings, 1)
	assert.Equal(t, capture.CardMismatch, round.Warnings[0].Code)
	assert.Contains(t, sentence.Of(round.Warnings[0].Says), "the input gain is 40% in this round, and the sound card (line in, qualified 2026-11-01) was qualified at 62 %")
	r.Conditions.InputGain = "62%"

	r.Tests[0].Stanza.Takes[0].MeasuredVolts = 0.65 // the card says 0.632 V: 3 % apart
	round, v = run()
	assert.Empty(t, round.Warnings)
	assert.InDelta(t, 0.65, v.Value, 0.001, "the meter goes before the card")
	meter := 2.0
	j.Equipment = []job.Equipment{{What: "volt meter", VoltsPercent: &meter}}
	r.Tests[0].Stanza.Takes[0].MeasuredVolts = 0.8
	round, v = run()
	require.Len(t, round.Warnings, 1)
	assert.True(t, strings.Contains(sentence.Of(round.Warnings[0].Says), "they differ by 26 %") || strings.Contains(sentence.Of(round.Warnings[0].Says), "they differ by 27 %"), sentence.Of(round.Warnings[0].Says))
	assert.False(t, v.OK())
	assert.Nil(t, round.Card)
}
