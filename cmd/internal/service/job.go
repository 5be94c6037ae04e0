package service

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// Job runs the tests of a job's rounds, as found first, and compares the
// rounds. Recordings are named from the job's folder.
func (s Service) Job(j *job.Job) (reports.Job, error) {
	s.Dir = j.Dir
	out := reports.Job{Version: s.Version, Facts: reports.Facts{Job: j.ID, Set: j.Set.Description, Fault: j.FaultReported, Simulated: j.Simulated}}
	profiles, err := j.ResolveProfiles(limit.Lookup)
	if err != nil {
		return out, err
	}
	for _, r := range []struct {
		name  string
		round *job.Round
	}{{reports.AsFound, j.AsFound}, {reports.AsLeft, j.AsLeft}} {
		if r.round == nil {
			continue
		}
		test, err := onlySensitivity(r.round)
		if err != nil {
			return out, fmt.Errorf("job %s, round %s: %w", j.ID, r.name, err)
		}
		record, err := s.Sensitivity(j.Sensitivity(r.round, test, profiles), Use{})
		if err != nil {
			return out, err
		}
		out.Rounds = append(out.Rounds, roundOf(r.name, r.round, record))
	}
	if len(out.Rounds) == 2 {
		if c, ok := analyze.Change(out.Rounds[0].Sensitivity.Result.Point, out.Rounds[1].Sensitivity.Result.Point); ok {
			out.Change = &reports.Change{Sensitivity: c, Significant: analyze.Significant(c)}
		}
	}
	return out, nil
}

// roundOf joins what the recordings of a round told with what was read and
// looked at, and gives the verdict on all of it.
func roundOf(name string, r *job.Round, s reports.Sensitivity) reports.Round {
	out := reports.Round{Name: name, Sensitivity: s, Checks: r.Checks, NotMeasured: r.NotMeasured}
	facts := []limit.Fact{sensitivityFact(s)}
	for _, m := range r.MeterReadings {
		v := limit.JudgeMeter(m, r.Conditions)
		out.ByEye = append(out.ByEye, reports.MeterReading{MeterReading: m, Verdict: v})
		if v != nil {
			facts = append(facts, limit.Fact{What: m.What, Outcome: v.Outcome, Why: v.Why})
		}
	}
	for _, c := range r.Checks {
		f := limit.Fact{What: c.What, Outcome: limit.Pass}
		if !c.Yes {
			f.Outcome, f.Why = limit.Fail, c.Note
		}
		facts = append(facts, f)
	}
	out.Overall = limit.Join(facts)
	return out
}

// sensitivityFact is what a sensitivity test brings into the verdict. One that
// gives no point leaves the round undecided, with or without a limit.
func sensitivityFact(s reports.Sensitivity) limit.Fact {
	f := limit.Fact{What: "sensitivity"}
	switch {
	case s.Verdict != nil:
		f.Outcome, f.Why = s.Verdict.Outcome, s.Verdict.Why
		if f.Outcome == limit.Fail && f.Why == "" {
			f.Why = "limit " + s.Verdict.Limit.Typed
		}
		// A point beyond the levels may be decided all the same.
		if f.Outcome == limit.Pass || f.Outcome == limit.Fail {
			return f
		}
	case s.Result.Point.Status != analyze.Found:
		f.Outcome, f.Why = limit.Undecided, s.Result.Point.Why
	}
	f.Missing = len(s.Result.Test.Takes) == 0
	return f
}

// onlySensitivity is the one sensitivity test that a round may have so far.
func onlySensitivity(r *job.Round) (*job.SensitivityTest, error) {
	var found *job.SensitivityTest
	for _, t := range r.Tests {
		if t.Sensitivity == nil || found != nil {
			return nil, fmt.Errorf("has %d tests; one test of sensitivity is what can be run", len(r.Tests))
		}
		found = t.Sensitivity
	}
	if found == nil {
		return nil, fmt.Errorf("has no test; add one of sensitivity")
	}
	return found, nil
}
