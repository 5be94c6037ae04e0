package customer

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/internal/handmade"
)

var verbs = regexp.MustCompile(`%(\[[0-9]\])?[a-z]`)

// Every message is there in every language and puts in the same things; every kind of test
// has a name, and so has every figure that a limit may bound.
func TestEveryLanguageSaysEverything(t *testing.T) {
	assert.Equal(t, job.Languages, languages)
	for key, m := range messages {
		for i, text := range m {
			assert.NotEmpty(t, strings.TrimSpace(text), "%s lacks %s", key, languages[i])
			want, got := verbs.FindAllString(m[0], -1), verbs.FindAllString(text, -1)
			slices.Sort(want)
			slices.Sort(got)
			assert.Equal(t, want, got, "%s in %s", key, languages[i])
		}
	}
	for _, k := range job.Kinds() {
		assert.Contains(t, messages, "k."+k.Name)
		for i, figure := range k.Limits {
			if i > 0 {
				assert.Contains(t, messages, "f."+figure, "%s has several limits, and this is not its first", k.Name)
			}
		}
	}
}

// Texts of 5,000 characters, from right to left, with control characters, and many of
// everything: the page stays within its room, and nothing typed becomes part of it.
func TestLongTextsAreCut(t *testing.T) {
	r, j := handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench()
	long := strings.Repeat("\u05d0\u0007<b> ", 1250)
	j.Customer, j.Reason = long, long
	for i := range 40 {
		j.Complaints = append(j.Complaints, job.Complaint{Reported: fmt.Sprint(i, long), Work: long})
		r.Rounds[1].Checks = append(r.Rounds[1].Checks, job.Check{What: fmt.Sprint(i, long), Yes: true})
	}
	d := Of(r, j, reports.Issue{Revision: 2, Replaces: 1, ReplacesDate: "2026-11-02", Why: long}, "de")
	rows := 0
	for _, b := range d.Blocks {
		if table, is := b.(doc.Table); is {
			rows += len(table.Rows)
			for _, row := range table.Rows {
				for _, cell := range row {
					assert.Less(t, len([]rune(cell)), 3*mostText)
				}
			}
		}
	}
	assert.LessOrEqual(t, rows, mostComplaints+mostLines+2+6)
}

// A figure is shown with two digits, or as many as keep it on its side of the limit.
func TestDigitsKeepTheSide(t *testing.T) {
	for _, c := range []struct {
		value, bound float64
		digits       int
	}{{1.529, 5, 2}, {5.04, 5, 3}, {4.96, 5, 3}, {0.502, 0.5, 3}, {0.28, 0.29, 2}} {
		assert.Equal(t, c.digits, digitsFor(c.value, c.bound), "%g against %g", c.value, c.bound)
	}
}

func TestPageOfAPass(t *testing.T) {
	r, j := handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench()
	for i, language := range languages {
		d := Of(r, j, reports.Issue{Date: "2026-11-05", Revision: 1}, language)
		text := fmt.Sprintf("%+v", d.Blocks)
		for _, key := range []string{"you reported", "also tested", "k.sensitivity", "PASS", "FAIL", "words"} {
			assert.Contains(t, text, messages[key][i], language)
		}
		if language != "en" {
			assert.Contains(t, text, "0,31 \u00b5V PD")
		}
		require.Equal(t, language, d.Language)
	}
}
