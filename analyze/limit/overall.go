package limit

import (
	"slices"
	"strings"

	"hisspoint/capture/job"
)

// Overall is the verdict on several figures together, with the facts it stands on.
type Overall struct {
	Outcome string   // Pass, Fail or Undecided; empty: there is nothing to decide
	Reasons []string // for people: what failed, or is undecided; empty for a pass
	Facts   []Fact   // all of them; what holds no limit has no outcome
}

// Fact is one of the figures, meter readings and checks that an overall verdict stands on.
type Fact struct {
	Key     string    // tells which limit of which figure it is, the same in both rounds
	What    string    // for people: "sensitivity", "supply current"
	Outcome string    // of its verdict; empty: it was held against nothing
	Missing bool      // it was asked for, and is not there
	Again   bool      // it failed in the round before, and this round has no verdict on it
	Close   bool      // it is undecided because the figure lies too close to its limit
	Check   bool      // it is a question answered with yes or no
	Why     string    // for people
	Decide  string    // the command that would decide what is open; empty: none is known
	Limit   job.Limit // what it was held against, where its outcome is of one
}

// Join gives the verdict on all facts together: fail if any fails; undecided if
// any is undecided, not judged or missing; pass only if all that were held
// against a limit pass.
func Join(facts []Fact) Overall {
	var all, failed, open Overall
	failed.Outcome, open.Outcome = Fail, Undecided
	for _, f := range facts {
		switch {
		case f.Again:
			open.Reasons = append(open.Reasons, f.reason("failed as found and was not measured again"))
		case f.Missing:
			open.Reasons = append(open.Reasons, f.reason("is missing"))
		case f.Outcome == Fail:
			failed.Reasons = append(failed.Reasons, f.reason("fails"))
		case f.Outcome == Pass:
			all.Outcome = Pass
		case f.Outcome != "":
			open.Reasons = append(open.Reasons, f.reason("is "+words[f.Outcome]))
		}
	}
	switch {
	case failed.Reasons != nil:
		all = failed
	case open.Reasons != nil:
		all = open
	}
	all.Facts = facts
	return all
}

// NotAgain are the facts that a later round owes: what failed before and has neither a
// verdict there nor is asked for. left says why something was left out, as typed.
func NotAgain(before, after []Fact, left func(Fact) string) []Fact {
	var owed []Fact
	for _, f := range before {
		if f.Outcome != Fail || slices.ContainsFunc(after, func(a Fact) bool { return covers(a.Key, f.Key) && (a.Outcome != "" || a.Missing) }) {
			continue
		}
		owed = append(owed, Fact{Key: f.Key, What: f.What, Outcome: Undecided, Again: true, Check: f.Check, Why: left(f), Limit: f.Limit})
	}
	return owed
}

// covers tells whether a fact is the same as another, or that of its whole test, whose
// key ends with a stroke.
func covers(key, other string) bool {
	return key == other || strings.HasSuffix(key, "|") && strings.HasPrefix(other, key)
}

var words = map[string]string{NotJudged: "not judged", Undecided: "undecided"}

func (f Fact) reason(what string) string {
	if f.Why != "" {
		what += ": " + f.Why
	}
	if f.Decide != "" && f.Outcome != Fail {
		what += "; to decide it: " + f.Decide
	}
	return f.What + " " + what
}
