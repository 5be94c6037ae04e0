package doc

import (
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/reports"
)

// The shortest answer (--quiet) leaves out tables, curves and sentences, but no
// warning: behind a figure stand, each after an exclamation mark, the codes of all warnings
// on what it was made from. The sentences are in the full document and in JSON.

// warned is the mark of warnings, "!clipped !unsteady"; empty without any.
func warned(all ...[]capture.Warning) string {
	var codes []string
	for _, ws := range all {
		for _, w := range ws {
			if !slices.Contains(codes, string(w.Code)) {
				codes = append(codes, string(w.Code))
			}
		}
	}
	if codes == nil {
		return ""
	}
	return "!" + strings.Join(codes, " !")
}

// marked puts a mark behind the last part of an answer, before its verdict.
func (a Answer) marked(mark string) Answer {
	if mark != "" {
		a.Parts = append(slices.Clone(a.Parts), mark)
	}
	return a
}

// warningsOf are all warnings on a test's recordings and on itself.
func warningsOf(t reports.Test) (all []capture.Warning) {
	for _, u := range t.Result.Rows {
		all = append(all, warningsIn(u.Measured)...)
	}
	return append(all, t.Result.Warnings...)
}

// warningsIn are those of a recording; that another tone than the one expected
// stands in it is one, too.
func warningsIn(m analyze.Measured) []capture.Warning {
	all := slices.Clone(m.Warnings)
	if m.OtherTone > 0 && !m.Get(analyze.ToneFrequency).OK() {
		all = append(all, capture.Warning{Code: capture.OtherTone})
	}
	return all
}

// QuietTest is the shortest answer of a test.
func QuietTest(t reports.Test) Answer { return TestAnswer(t).marked(warned(warningsOf(t))) }

// QuietResponse is the shortest answer of a response, and of its change.
func QuietResponse(r reports.Response) []Block {
	blocks := []Block{ResponseAnswer(r).marked(warned(r.Result.Warnings))}
	if r.Change != nil {
		blocks = append(blocks, ChangeAnswer(*r.Change).marked(warned(r.Result.Warnings, r.Change.Before.Warnings)))
	}
	return blocks
}

// markOf is the mark of a test in all of the rounds: that of a change.
func markOf(rounds []reports.Round, kind, name string) string {
	var all [][]capture.Warning
	for _, round := range rounds {
		if t := round.Find(kind, name); t != nil {
			all = append(all, warningsOf(*t))
		}
	}
	return warned(all...)
}
