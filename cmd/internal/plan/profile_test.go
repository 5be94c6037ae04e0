package plan

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
	"hisspoint/capture/wav"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports"
)

// workbench records for planned tests: simulated sets in working order, each
// recording once.
type workbench struct {
	t    *testing.T
	dir  string
	made map[string]bool
}

func (w workbench) record(mode string, level unit.Level, state string, tone, depth float64) string {
	name := strings.ReplaceAll(fmt.Sprintf("%s %s %s %g %g.wav", mode, level, state, tone, depth), " ", "_")
	if w.made[name] {
		return name
	}
	w.made[name] = true
	b := map[string]simulate.Bench{
		job.FM:  {Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM()},
		job.AM:  {Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzAM()},
		job.SSB: {Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzSSB()},
	}[mode]
	b.Card, b.Seed = simulate.PlainCard(), uint64(len(w.made))
	b.Card.Rate = 16000
	x := b.Record(simulate.Segment{Seconds: 1.5, LevelDBm: level.DB, Off: level.Scale == unit.Off,
		Unmodulated: state == job.StateCarrier, ToneHz: tone, Depth: depth / 100})
	require.NoError(w.t, wav.WriteFile(filepath.Join(w.dir, name), wav.Format{Rate: b.Card.Rate, Bits: 16}, x))
	return name
}

// Whoever records what a plan asks for has a figure that the profile judges: with
// its criterion, filter, modulation and level.
func TestPlansLeadToJudgedFigures(t *testing.T) {
	w := workbench{t, t.TempDir(), map[string]bool{}}
	for _, p := range limit.Profiles() {
		mode := p.Limits[0].Conditions.Mode
		r, err := For(Short, mode, []job.Profile{p})
		require.NoError(t, err, p.Name)
		j := &job.Job{ID: "1", Dir: w.dir, Set: job.Set{Mode: mode}, Limits: []string{p.Name}, AsFound: &r}
		for i, test := range r.Tests {
			switch s, series := test.Stanza, test.Kind == job.KindSensitivity; {
			case series && len(s.Takes) == 0:
				for _, dbm := range []float64{-124, -121, -118, -115, -111, -107} {
					s.Takes = append(s.Takes, job.Take{Level: unit.DBm(dbm), Typed: unit.DBm(dbm).String()})
				}
				fallthrough
			case series:
				for k, take := range s.Takes {
					state := take.State
					if s.Criterion.Quantity == job.QuantityQuieting {
						state = job.StateCarrier
					}
					s.Takes[k].File = w.record(mode, take.Level, state, s.ToneHz, s.Depth)
				}
			case test.Kind == job.KindDistortion:
				r.Tests[i].Stanza.Takes = []job.Take{{File: w.record(mode, test.Stanza.Level, "", test.Stanza.ToneHz, test.Stanza.Depth)}}
			}
		}
		for i, m := range r.MeterReadings {
			if m.Limit != "" || m.Nominal != "" {
				r.MeterReadings[i].Value = map[string]string{"Hz": "1.9 kHz", "%": "90 %"}[map[bool]string{true: "Hz", false: "%"}[mode == job.FM]]
			}
		}
		record, err := run.Runner{}.Job(j)
		require.NoError(t, err, p.Name)
		judged, not := verdictsOf(record.Rounds[0])
		assert.Empty(t, not, "%s: recorded as planned, and not judged", p.Name)
		assert.NotEmpty(t, judged, p.Name)
	}
}

// verdictsOf are the figures of a round that were judged, and those that were not.
func verdictsOf(r reports.Round) (judged, not []string) {
	take := func(what string, v limit.Verdict) {
		if v.Outcome == limit.NotJudged {
			not = append(not, what+": "+v.Why)
			return
		}
		judged = append(judged, what+" "+v.Outcome)
	}
	for _, test := range r.Tests {
		for _, one := range test.Judged {
			if test.Result.Point != nil || one.Verdict.Outcome != limit.Undecided { // those that are planned still
				take(test.Kind, one.Verdict)
			}
		}
	}
	for _, m := range r.ByEye {
		if m.Verdict != nil {
			take(m.What, *m.Verdict)
		}
	}
	return judged, not
}

// What a plan takes from a profile, as ETSI EN 300 086 has it (from memory):
// 20 dB SND/ND through the psophometric filter at 60 % of the rated deviation.
func TestPlansMeasureAsProfilesWant(t *testing.T) {
	plan := func(plan, mode string, names ...string) job.Round {
		var profiles []job.Profile
		for _, n := range names {
			p, err := limit.Lookup(n)
			require.NoError(t, err)
			profiles = append(profiles, p)
		}
		r, err := For(plan, mode, profiles)
		require.NoError(t, err)
		return r
	}
	r := plan(Short, job.FM, "fm-27mhz")
	s := r.Tests[FindTest(&r, job.KindSensitivity)].Stanza
	assert.Equal(t, job.Criterion{Quantity: job.QuantitySINAD, Value: 20, Unit: "dB"}, s.Criterion)
	assert.Equal(t, job.Psophometric, s.Filter.Name)
	assert.Equal(t, 1200.0, s.Deviation)
	assert.Equal(t, 1200.0, r.Tests[FindTest(&r, job.KindHumNoise)].Stanza.Deviation, "the standard modulation is one for all tests")
	assert.Zero(t, r.Tests[FindTest(&r, job.KindBenchFloor)].Stanza.Deviation)
	assert.Equal(t, "at most 2 kHz, 47 CFR 95.975(d)", r.MeterReadings[len(r.MeterReadings)-1].Limit)

	r = plan(Short, job.FM, "fm-land-mobile-class-a", "fm-land-mobile-25k")
	s = r.Tests[FindTest(&r, job.KindSensitivity)].Stanza
	assert.Equal(t, 3000.0, s.Deviation, "where one profile leaves it open, the next states it")
	assert.Negative(t, FindTest(&r, job.KindDistortion), "a short plan stays short where something is judged")

	r = plan(Short, job.FM, "fm-quieting-20db")
	s = r.Tests[FindTest(&r, job.KindSensitivity)].Stanza
	assert.Equal(t, unit.Off, s.Takes[0].Level.Scale, "quieting needs the open hiss")
	assert.Equal(t, []string{"4 uV PD", "2.8 uV PD", "2 uV PD", "1.4 uV PD", "1 uV PD"}, typed(s.Takes[1:]))

	r = plan(Short, job.AM, "am-27mhz")
	s = r.Tests[FindTest(&r, job.KindSensitivity)].Stanza
	assert.Equal(t, job.QuantitySNN, s.Criterion.Quantity)
	assert.Equal(t, 30.0, s.Depth)
	assert.Len(t, s.Takes, 10, "two at each level")
	last := r.MeterReadings[len(r.MeterReadings)-1]
	assert.Equal(t, []string{"92.5 %", "7.5 %"}, []string{last.Nominal, last.Within}, "85 to 100 %")

	r = plan(Short, job.SSB, "ssb-typical")
	s = r.Tests[FindTest(&r, job.KindSensitivity)].Stanza
	assert.Equal(t, []string{"0.5 uV PD", "0.35 uV PD", "0.25 uV PD", "0.18 uV PD", "0.13 uV PD"}, typed(s.Takes), "no carrier is recorded in SSB")
	for _, k := range s.Takes {
		assert.Equal(t, job.StateModulated, k.State)
	}

	for _, kind := range []string{Short, Full} {
		r = plan(kind, job.AM, "marine-mf-am")
		i := FindTest(&r, "distortion:signal to noise")
		require.GreaterOrEqual(t, i, 0, kind)
		at := r.Tests[i].Stanza
		assert.Equal(t, []any{400.0, 30.0, "50 uV"}, []any{at.ToneHz, at.Depth, at.LevelTyped})
		p, err := limit.Lookup("marine-mf-am")
		require.NoError(t, err)
		for _, test := range r.Tests {
			if test.Kind == job.KindDistortion {
				limits := (&job.Job{Set: job.Set{Mode: job.AM}}).Setup(&r, test).Pick(job.QuantitySNR, []job.Profile{p})
				assert.Len(t, limits, map[bool]int{true: 1, false: 0}[test.Name != ""], "at 1 mV it is the limit of another test")
			}
		}
	}
}

func typed(takes []job.Take) (out []string) {
	for _, k := range takes {
		out = append(out, k.Typed)
	}
	return out
}
