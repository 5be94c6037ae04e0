// Package limit judges results against limits. It is the only place where
// pass and fail are decided.
package limit

import (
	"hisspoint/analyze/budget"
	"hisspoint/capture/job"
)

// Outcomes of a judgement.
const (
	Pass      = "pass"
	Fail      = "fail"
	Undecided = "undecided"  // to people: too close to call
	NotJudged = "not-judged" // the limit's conditions do not fit the measurement
)

// Verdict is a judgement of one figure against one limit.
type Verdict struct {
	Outcome  string
	Limit    job.Limit
	Rule     string                // job.Guarded or job.ByValue
	MarginDB *float64              // how far inside the limit the value lies; negative: outside; nil: no value, or the limit is not in dB
	Margin   *float64              // the same in the limit's unit; nil: no value
	Note     string                // what a person should know of the judgement all the same; empty: nothing
	Repeats  float64               // half-width that the readings' own scatter gives the figure; 0: no interval
	Expanded float64               // half-width of its whole uncertainty, what errs in one direction left out; 0: no interval
	Assumed  []budget.Contribution // that count in it and that nobody stated
	Why      string                // for people, if undecided or not judged, or if the value lies beyond the range
}
