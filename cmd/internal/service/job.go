package service

import (
	"fmt"

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
		out.Rounds = append(out.Rounds, reports.Round{Name: r.name, Sensitivity: record})
	}
	if len(out.Rounds) == 2 {
		out.Change = change(out.Rounds[0].Sensitivity.Result.Point, out.Rounds[1].Sensitivity.Result.Point)
	}
	return out, nil
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
