// Package limit judges results against limits. It is the only place where
// pass and fail are decided.
package limit

import "hisspoint/capture/job"

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
	Rule     string   // job.Guarded or job.ByValue
	MarginDB *float64 // how far inside the limit the value lies; negative: outside; nil: no value, or the limit is not in dB
	Margin   *float64 // the same in the limit's unit; nil: no value
	Note     string   // what a person should know of the judgement all the same; empty: nothing
	Why      string   // for people, if undecided or not judged, or if the value lies beyond the range
}
