// Package reports holds the record of a measurement: results and verdicts,
// exact. JSON and CSV are written straight from it; the documents that people
// read are made of it by package doc. It measures nothing and reads no audio.
package reports

import (
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Tool is the name under which records say who made them.
const Tool = "hisspoint"

// Schema is the number of the JSON shape. It changes only if a key changes its meaning.
const Schema = 1

// Measure is the record of recordings read one by one.
type Measure struct {
	Version    string
	Filter     job.Filter
	Recordings []Recording
}

// Recording is what one recording told, or why it could not be read.
type Recording struct {
	File     string
	Error    string // empty if it was read
	Measured analyze.Measured
}

// Single is the record of one test as a command of its own gives it: `sensitivity` or
// `squelch`.
type Single struct {
	Version string
	Test    Test
}

// Names of the rounds of a job.
const (
	AsFound = job.AsFound
	AsLeft  = job.AsLeft
)

// Job is the record of a whole job.
type Job struct {
	Version string
	Facts   Facts
	Issue   *Issue   // under which it goes out; nil: it is not said
	Rounds  []Round  // in the order in which they were measured
	Changes []Change // of what both rounds have

	NotAlike []NotAlike // tests that both rounds have, and that cannot be compared
}

// Issue is what a report goes out under: its revision, or that it is a draft.
type Issue struct {
	Date         string // year-month-day
	Revision     int    // from 1; 0: none
	Draft        bool   // it was not issued
	Replaces     int    // the revision before; 0: none
	ReplacesDate string
	Why          string // a new revision was needed
}

// Unlike says why a test was not measured alike in both rounds, "" if it was.
func (j Job) Unlike(kind, test string) string {
	for _, u := range j.NotAlike {
		if u.Kind == kind && u.Test == test {
			return u.Why
		}
	}
	return ""
}

// Worse are the changes that matter and make the set worse, by the side on which a limit
// of such a figure lies: of figures that are judged, or that a bare limit of their test
// would bound. What has no better side, such as a deviation, is none of them.
func (j Job) Worse() (all []Change) {
	for _, c := range j.Changes {
		if better := job.Better(c.Figure.Name); c.Significant && better*c.Figure.Value < 0 && j.leads(c) {
			all = append(all, c)
		}
	}
	return all
}

func (j Job) leads(c Change) bool {
	k, _ := job.KindOf(c.Kind)
	t := j.Newest().Find(c.Kind, c.Test)
	return len(k.Limits) > 0 && k.Limits[0] == c.Figure.Name ||
		t != nil && slices.ContainsFunc(t.Judged, func(o limit.Judged) bool { return o.Figure.Name == c.Figure.Name })
}

// Change is that of the figure of a test, nil if both rounds do not have it.
func (j Job) Change(kind, test, figure string) *Change {
	for i, c := range j.Changes {
		if c.Kind == kind && c.Test == test && c.Figure.Name == figure {
			return &j.Changes[i]
		}
	}
	return nil
}

// NotAlike is a test that two rounds measured under different conditions.
type NotAlike struct{ Kind, Test, Why string }

// Test is the record of one test of a round, with what was judged of it.
type Test struct {
	Kind, Name string
	Result     *analyze.Result
	Judged     []limit.Judged
}

// Verdict is the first that was passed on a test, which is that of a point; nil: no
// limit was given.
func (t Test) Verdict() *limit.Verdict {
	if len(t.Judged) == 0 {
		return nil
	}
	return &t.Judged[0].Verdict
}

// Newest is the round that decides the job: the last one; nil without rounds.
func (j Job) Newest() *Round {
	if len(j.Rounds) == 0 {
		return nil
	}
	return &j.Rounds[len(j.Rounds)-1]
}

// Facts is what the job says of itself. Simulated is not empty for a job that
// was never on a bench, and says so in a sentence.
type Facts struct {
	Job       string `json:"job"`
	Set       string `json:"set"`
	Fault     string `json:"fault_reported,omitempty"`
	Simulated string `json:"simulated,omitempty"`
}

// Round is one pass over the set: as found or as left.
type Round struct {
	Name        string            // AsFound or AsLeft
	Tests       []Test            // in the order of the job
	ByEye       []MeterReading    // what was read off instruments, in the order of the job
	Hints       []analyze.Hint    // what the figures of all its tests point to
	Checks      []job.Check       // a check answered with no fails the round
	NotMeasured []job.NotMeasured // what was left out, and why; it takes no part in the verdict
	Card        *job.Qualified    // the sound card that recorded it; nil: nothing tells, or it does not hold
	Warnings    []capture.Warning // of the round as a whole
	Overall     limit.Overall     // the verdict of the round: all its tests, meter readings and checks
}

// MeterReading is a meter reading with its verdict. It was read by eye and has
// no interval, so the value alone decides.
type MeterReading struct {
	job.MeterReading
	Verdict *limit.Verdict // nil: no limit was given
}

// Label is a test as people call it: its kind's title and its name.
func (t Test) Label() string { return job.Test{Kind: t.Kind, Name: t.Name}.Label() }

// Find is the test of that kind and name, nil if the round has none.
func (r Round) Find(kind, name string) *Test {
	for i, t := range r.Tests {
		if t.Kind == kind && t.Name == name {
			return &r.Tests[i]
		}
	}
	return nil
}

// Change is what became of a figure between as found and as left. What both
// rounds share (the generator, its pad, the card) cancels and is left out of
// its interval.
type Change struct {
	Kind, Test  string          // kind and name of the test
	Figure      analyze.Reading // as left less as found; of a sensitivity in dB, positive: more sensitive
	Significant bool            // it is larger than its uncertainty
}
