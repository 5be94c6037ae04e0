package report_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/report"
	"hisspoint/reports/internal/handmade"
)

// words is all that a document says.
func words(d doc.Document) string { return fmt.Sprintf("%+v", d.Blocks) }

func TestReportSaysAllThatTheJobSays(t *testing.T) {
	j := handmade.Bench()
	text := words(report.Of(handmade.Seen(handmade.Job(), j), j, reports.Issue{Date: "2026-11-05"}, false))
	for _, want := range []string{
		"0012345", "invented customer", "2026-11-02", "2026-11-04", "2026-11-05", "deaf", "input coil replaced; receiver realigned", "C31: fitted 47 \u00b5F 25 V, new",
		"no squelch control fitted", "A. Nobody", "27.78125 MHz", "0.98 \u00b5V PD", "0.31 \u00b5V PD", "10.00 dB more sensitive", "a real change",
		"service manual", "written by the user", "ISO 14253-1", "scatter of the readings", "SIM-1", "2026-03-01", "level \u00b11 dB", "deviation \u00b15 %", "00ff",
		"60 \u00b5V PD", "50 \u00b5V PD within 6 dB", "supply current", "air test", "No accreditation is claimed", "relates only to the item tested", "hisspoint 1.2.3",
		"End of the report on job 0000.",
	} {
		assert.Contains(t, text, want)
	}
}

func TestSharesOfTheBudget(t *testing.T) {
	text := words(report.Of(handmade.Job(), handmade.Bench(), reports.Issue{}, false))
	// 0.15 dB and 0.58 dB: root-sum-square 0.599, shares 6.27 % and 93.7 % of its square.
	for _, want := range []string{"[scatter of the readings 0.15 6 0.15 6]", "[generator level 0.58 94 0.58 94]", "[pad 0.00 0 0.00 0]", "[all together 0.60 100 0.60 100]"} {
		assert.Contains(t, text, want)
	}
}

// Jobs that lack something are reported all the same, and never as a pass.
func TestReportOfWhatIsThere(t *testing.T) {
	one := handmade.Job()
	one.Rounds, one.Changes = one.Rounds[:1], nil
	d := report.Of(one, &job.Job{ID: "1", AsFound: &job.Round{}}, reports.Issue{}, false)
	assert.Contains(t, words(d), "FAIL")
	assert.NotContains(t, words(d), "s left")

	none := report.Of(reports.Job{}, &job.Job{ID: "1"}, reports.Issue{}, false)
	assert.NotContains(t, words(none), "PASS")

	empty := handmade.Job()
	for i := range empty.Rounds {
		none := analyze.Result{}.WithPoint(analyze.Point{Status: analyze.TooFew, Why: "no recordings"})
		empty.Rounds[i].Tests = []reports.Test{{Kind: job.KindSensitivity, Result: &none}}
	}
	empty.Changes = nil
	assert.Contains(t, words(report.Of(empty, handmade.Bench(), reports.Issue{}, false)), "no recordings")

	relative := handmade.Job()
	for i := range relative.Rounds {
		s := &relative.Rounds[i].Tests[0]
		s.Judged = nil
		s.Result.Point.Level, s.Result.Point.Low, s.Result.Point.High = unit.Level{Scale: unit.Relative, DB: -10}, -10.2, -9.8
	}
	assert.NotContains(t, words(report.Of(relative, handmade.Bench(), reports.Issue{}, false)), "-10.0 dB at its aerial socket")
}

func TestChangeWithinItsUncertainty(t *testing.T) {
	r := handmade.Job()
	r.Changes[0].Figure = analyze.Reading{Name: "sensitivity", Unit: "dB", Value: 0.1, Low: -0.2, High: 0.4}
	text := words(report.Of(r, handmade.Bench(), reports.Issue{}, false))
	assert.Contains(t, text, "within its uncertainty")
}

// Whoever cannot see a picture is told what it shows: each round's figure and its verdict.
func TestPicturesSayWhatTheyShow(t *testing.T) {
	record := handmade.Seen(handmade.Whole(), handmade.Bench())
	seen := 0
	for _, b := range report.Of(record, handmade.Bench(), reports.Issue{}, false).Blocks {
		c, is := b.(doc.Curve)
		if !is {
			continue
		}
		seen++
		assert.NotContains(t, c.Says, "The figures stand", c.Title)
		for _, round := range []string{"as found", "as left"} {
			assert.Regexp(t, `(?i)`+round+`(, audio)?: [^;.]*\d`, c.Says, "%s: the figure of the set %s", c.Title, round)
		}
	}
	assert.Equal(t, 5, seen, "sensitivity two, response, squelch, distortion")
}
