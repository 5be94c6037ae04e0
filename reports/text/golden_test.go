package text_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/report"
	"hisspoint/reports/doc/sheet"
	"hisspoint/reports/internal/handmade"
	"hisspoint/reports/text"
)

var update = flag.Bool("update", false, "write the golden files anew; look at them before committing")

func render(t *testing.T, d doc.Document, o text.Options) string {
	var b bytes.Buffer
	require.NoError(t, text.Write(&b, d, o))
	return b.String()
}

// golden compares with a file that a person has looked at.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name+".golden")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got)
}

// fits asks that nothing but the answer is wider than 80 columns.
func fits(t *testing.T, got string) {
	t.Helper()
	for _, l := range strings.Split(got, "\n") {
		if !strings.Contains(l, ", 95 %: ") && !strings.Contains(l, "    limit ") {
			assert.LessOrEqual(t, utf8.RuneCountInString(l), 80, l)
		}
		assert.Equal(t, strings.TrimRight(l, " "), l)
	}
}

// variants are sensitivity records that differ from the handmade one in one way.
var variants = map[string]func(*reports.Test){
	"pass": func(*reports.Test) {},
	"emf": func(r *reports.Test) {
		r.Result.Setup.LevelKind = unit.EMF
		r.Result.Setup.Path.PadDB = 10
	},
	"undecided": func(r *reports.Test) {
		r.Judged[0].Verdict.Outcome, r.Judged[0].Verdict.Why = limit.Undecided, "the limit lies within the interval"
	},
	"not-stated": func(r *reports.Test) {
		r.Result.Setup.Path.LevelUncertainty = nil
		r.Result.Point.Low, r.Result.Point.High, r.Result.Point.NotStated = -117.4, -117, []string{"generator"}
		r.Result.Point.Shares = []analyze.Share{{Name: "readings", DB: 0.1}, {Name: "generator"}, {Name: "pad"}}
		r.Judged = nil
	},
	"below-range": func(r *reports.Test) {
		r.Result.Rows = r.Result.Rows[2:]
		*r.Result.Point = analyze.Point{Status: analyze.BelowRange, Level: unit.DBm(-114.95), Why: "every reading meets the criterion: record weaker levels"}
		r.Judged = nil
	},
	"above-range": func(r *reports.Test) {
		r.Result.Rows = r.Result.Rows[:2]
		*r.Result.Point = analyze.Point{Status: analyze.AboveRange, Level: unit.DBm(-120.97), Why: "no reading meets the criterion: record stronger levels"}
		r.Judged[0].Verdict.Outcome, r.Judged[0].Verdict.MarginDB = limit.Fail, nil
	},
	"too-few": func(r *reports.Test) {
		r.Result.Rows = r.Result.Rows[3:4]
		*r.Result.Point = analyze.Point{Status: analyze.TooFew, Why: "one level only: record at two levels at least, one on each side of the criterion"}
		r.Judged = nil
	},
	"relative": func(r *reports.Test) {
		for i := range r.Result.Rows {
			r.Result.Rows[i].Level = unit.Level{Scale: unit.Relative, DB: r.Result.Rows[i].Level.DB + 107}
		}
		r.Result.Point.Level, r.Result.Point.Low, r.Result.Point.High = unit.Level{Scale: unit.Relative, DB: -10.2}, -10.41, -10
		r.Judged = nil
	},
	"no-interval": func(r *reports.Test) {
		r.Result.Point.NoInterval = "too short for an honest interval: record at least 0.5 s more"
		r.Judged[0].Verdict.Outcome, r.Judged[0].Verdict.Why = limit.Undecided, "the point has no interval"
	},
	"quieting": func(r *reports.Test) {
		r.Result.Setup.Criterion = job.Criterion{Quantity: job.QuantityQuieting, Value: 20, Unit: "dB"}
		for i, row := range r.Result.Rows {
			m := handmade.NoTone(row.Measured.Origin.File)
			m.OtherTone, m.Warnings = 0, nil
			r.Result.Rows[i].Measured = m
			r.Result.Rows[i].Worth = []analyze.Reading{{Name: "quieting", Unit: "dB", Value: 7 * float64(i), Low: 7*float64(i) - 0.3, High: 7*float64(i) + 0.3}}
		}
		r.Result.Rows[0].Level = unit.Level{Scale: unit.Off}
		r.Result.Warnings = []capture.Warning{{Code: "unsteady", Says: note.Phrase("the hiss changes between the recordings with the generator off")}}
		r.Judged = nil
	},
}

func TestSensitivityText(t *testing.T) {
	for name, change := range variants {
		t.Run(name, func(t *testing.T) {
			r := handmade.Sensitivity()
			change(&r)
			got := render(t, sheet.Of(r), text.Options{})
			fits(t, got)
			golden(t, "sensitivity-"+name, got)
		})
	}
}

func TestMeasureText(t *testing.T) {
	got := render(t, sheet.Measure(handmade.Measure()), text.Options{})
	fits(t, got)
	golden(t, "measure", got)
	golden(t, "measure-quiet", strings.Join(sheet.MeasureLines(handmade.Measure()), "\n")+"\n")
}

func TestJobText(t *testing.T) {
	got := render(t, report.Job(handmade.Job(), false), text.Options{})
	fits(t, got)
	golden(t, "job", got)
	for name, d := range map[string]doc.Document{
		"kinds": report.Job(handmade.Whole(), false), "kinds-details": report.Job(handmade.Whole(), true),
		"compare": report.Compare(reports.CompareRounds(handmade.Whole()), "", false), "compare-jobs": report.Compare(handmade.Earlier(), "", false),
	} {
		got := render(t, d, text.Options{})
		fits(t, got)
		golden(t, name, got)
	}
}

// Colour repeats what words say: taking it away leaves the same text.
func TestColourIsNeverTheOnlyCarrier(t *testing.T) {
	for _, change := range variants {
		r := handmade.Sensitivity()
		change(&r)
		d := sheet.Of(r)
		coloured := render(t, d, text.Options{Color: true})
		assert.Contains(t, coloured, "\x1b[")
		plain := coloured
		for _, sgr := range []string{"0", "1", "1;31", "1;32", "1;33"} {
			plain = strings.ReplaceAll(plain, "\x1b["+sgr+"m", "")
		}
		assert.Equal(t, render(t, d, text.Options{}), plain)
	}
}

func TestAnswerFoldsOnlyBetweenItsParts(t *testing.T) {
	d := doc.Document{Blocks: []doc.Block{sheet.Answer(handmade.Sensitivity())}}
	const first = "12 dB SINAD at 0.31 \u00b5V PD (-117.2 dBm), 95 %: 0.27 to 0.35 \u00b5V"
	assert.Equal(t, first+"    limit 0.5 \u00b5V PD    PASS\n", render(t, d, text.Options{}))
	assert.Equal(t, first+"\n  limit 0.5 \u00b5V PD    PASS\n", render(t, d, text.Options{Width: 80, Fold: true}))
}
