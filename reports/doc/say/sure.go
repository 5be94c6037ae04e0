package say

import (
	"fmt"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
)

// Unsure says in brackets what is to be known of a limit beside its PASS: that nobody
// compared it with its document, or that it has none; empty for one that is sourced.
func Unsure(l job.Limit) string {
	switch {
	case l.Standing == job.Memory:
		return " (unchecked)"
	case l.Standing == job.CommonPractice || l.Source == "":
		return " (no source)"
	}
	return ""
}

// Sure is an outcome as people read it, a PASS with what is to be known of its limit.
func Sure(v limit.Verdict) string {
	word := Verdicts[v.Outcome].Word
	if v.Outcome == limit.Pass {
		word += Unsure(v.Limit)
	}
	return word
}

// Unsourced counts the limits behind a pass that nobody checked, or that have no source:
// "1 limit not checked"; empty if all are sourced.
func Unsourced(facts []limit.Fact) string {
	memory, none := 0, 0
	for _, f := range facts {
		switch {
		case f.Outcome != limit.Pass || f.Check:
		case f.Limit.Standing == job.Memory:
			memory++
		case f.Limit.Standing == job.CommonPractice || f.Limit.Source == "":
			none++
		}
	}
	var texts []string
	for _, t := range []struct {
		n    int
		what string
	}{{memory, "not checked"}, {none, "without a source"}} {
		if t.n > 0 {
			texts = append(texts, fmt.Sprintf("%d %s %s", t.n, Plural(t.n, "limit", "limits"), t.what))
		}
	}
	return Joined(", ", texts...)
}
