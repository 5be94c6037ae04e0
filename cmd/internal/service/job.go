package service

import (
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// RoundTest is the test of one round.
type RoundTest struct {
	Name string // reports.AsFound or reports.AsLeft
	Test job.Sensitivity
}

// Job runs the tests of the rounds, in their order, and compares the rounds.
func (s Service) Job(facts reports.Facts, rounds []RoundTest) (reports.Job, error) {
	out := reports.Job{Version: s.Version, Facts: facts}
	for _, r := range rounds {
		record, err := s.Sensitivity(r.Test, Use{})
		if err != nil {
			return reports.Job{}, err
		}
		out.Rounds = append(out.Rounds, reports.Round{Name: r.Name, Sensitivity: record})
	}
	if n := len(out.Rounds); n == 2 {
		out.Change = change(out.Rounds[0].Sensitivity.Result.Point, out.Rounds[1].Sensitivity.Result.Point)
	}
	return out, nil
}
