package sheet

import (
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/reports"
	"hisspoint/reports/doc"
)

// The shortest answer (--quiet) leaves out tables, curves and sentences, but no
// warning: behind a figure stand, each after an exclamation mark, the codes of all warnings
// on what it was made from. The sentences are in the full document and in JSON.

// Warned is the mark of warnings, "!clipped !unsteady"; empty without any.
func Warned(all ...[]capture.Warning) string {
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

// Warnings are all warnings on a test's recordings and on itself.
func Warnings(t reports.Test) (all []capture.Warning) {
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

// Quiet is the shortest answer of a test.
func Quiet(t reports.Test) doc.Answer { return Answer(t).Marked(Warned(Warnings(t))) }

// QuietResponse is the shortest answer of a response, and of its change.
func QuietResponse(r reports.Response) []doc.Block {
	blocks := []doc.Block{responseAnswer(r).Marked(Warned(r.Result.Warnings))}
	if r.Change != nil {
		blocks = append(blocks, changeAnswer(*r.Change).Marked(Warned(r.Result.Warnings, r.Change.Before.Warnings)))
	}
	return blocks
}
