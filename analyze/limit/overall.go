package limit

// Overall is the verdict on several figures together.
type Overall struct {
	Outcome string   // Pass, Fail or Undecided; empty: there is nothing to decide
	Reasons []string // for people: what failed, or is undecided; empty for a pass
}

// Fact is one of the figures and checks that an overall verdict stands on.
type Fact struct {
	What    string // for people: "sensitivity", "supply current"
	Outcome string // of its verdict; empty: it was held against nothing
	Missing bool   // it was asked for, and is not there
	Why     string // for people
}

// Join gives the verdict on all facts together: fail if any fails; undecided if
// any is undecided, not judged or missing; pass only if all that were held
// against a limit pass.
func Join(facts []Fact) Overall {
	var all, failed, open Overall
	failed.Outcome, open.Outcome = Fail, Undecided
	for _, f := range facts {
		switch {
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
		return failed
	case open.Reasons != nil:
		return open
	}
	return all
}

var words = map[string]string{NotJudged: "not judged", Undecided: "undecided"}

func (f Fact) reason(what string) string {
	if f.Why != "" {
		what += ": " + f.Why
	}
	return f.What + " " + what
}
