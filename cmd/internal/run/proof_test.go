package run

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
	"hisspoint/capture/wav"
	"hisspoint/reports"
)

// A whole job of 40 recordings with known answers: the deaf set as found, the
// healthy one as left. Points lie within their intervals, their distance is the
// loss that was put in, and verdicts are what the truth asks for.
func TestWholeJobWithKnownAnswers(t *testing.T) {
	if os.Getenv("HISSPOINT_LONG") != "1" {
		t.Skip("set HISSPOINT_LONG=1 to simulate a whole job")
	}
	const perRound, rate, seconds = 20, 16000, 4
	dir := t.TempDir()
	one := 1.0
	j := &job.Job{ID: "1", Dir: dir, Set: job.Set{Mode: job.FM}, Equipment: []job.Equipment{{What: "signal generator", LevelUncertaintyDB: &one}}}
	l, err := job.ParseLimit("0.5 uV PD", job.QuantitySensitivity, unit.PD)
	require.NoError(t, err)
	truth := map[string]float64{}
	round := func(name string, set simulate.FM, weakest float64, seed uint64) *job.Round {
		b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: set, Card: simulate.PlainCard(), Seed: seed}
		b.Card.Rate = rate
		test := &job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}, Limits: []job.Limit{l}, LimitTexts: map[string]string{job.QuantitySensitivity: "0.5 uV PD"}}
		var segments []simulate.Segment
		for i := range perRound {
			segments = append(segments, simulate.Segment{Seconds: seconds, LevelDBm: weakest + float64(i)})
		}
		x := b.Record(segments...)
		for i, s := range segments {
			file := fmt.Sprintf("%s-%d.wav", name, i)
			require.NoError(t, wav.WriteFile(filepath.Join(dir, file), wav.Format{Rate: rate, Bits: 16}, x[i*rate*seconds:(i+1)*rate*seconds]))
			test.Takes = append(test.Takes, job.Take{Level: unit.DBm(s.LevelDBm), Typed: unit.DBm(s.LevelDBm).String(), File: file})
		}
		known, err := b.Sensitivity(12, simulate.Band(300, 3400), 60)
		require.NoError(t, err)
		truth[name] = known.Value
		return &job.Round{Tests: []job.Test{{Kind: job.KindSensitivity, Stanza: test}}, Checks: []job.Check{{What: "air test", Yes: true}}}
	}
	j.AsFound = round(reports.AsFound, simulate.Deaf27MHzFM(), -111.5, 11)
	j.AsLeft = round(reports.AsLeft, simulate.Healthy27MHzFM(), -121.5, 12)
	record, err := Runner{}.Job(j)
	require.NoError(t, err)
	require.Len(t, record.Rounds, 2)
	for _, r := range record.Rounds {
		p := r.Tests[0].Result.Point
		assert.LessOrEqual(t, p.Low, truth[r.Name], r.Name)
		assert.GreaterOrEqual(t, p.High, truth[r.Name], r.Name)
	}
	assert.Equal(t, limit.Fail, record.Rounds[0].Overall.Outcome)
	assert.Equal(t, limit.Pass, record.Rounds[1].Overall.Outcome)
	require.Len(t, record.Changes, 1)
	assert.LessOrEqual(t, record.Changes[0].Figure.Low, 10.0)
	assert.GreaterOrEqual(t, record.Changes[0].Figure.High, 10.0)
	assert.True(t, record.Changes[0].Significant)
}
