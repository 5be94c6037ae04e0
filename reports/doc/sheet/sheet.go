// Package sheet is the document of one test, of one response, or of recordings read one
// by one. It does not know the job that they belong to, nor how documents are drawn.
package sheet

import (
	"hisspoint/reports"
	"hisspoint/reports/doc"
)

// Of is the document of one test of any kind.
func Of(t reports.Test) doc.Document {
	if t.Result.Point != nil {
		return ofPoint(t)
	}
	return ofResult(t)
}

// Answer is the shortest answer of a test.
func Answer(t reports.Test) doc.Answer {
	if t.Result.Point != nil {
		return PointAnswer(t)
	}
	return ResultAnswer(t)
}
