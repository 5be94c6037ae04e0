package pdf_test

import (
	"bytes"
	"encoding/xml"
	"flag"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/customer"
	"hisspoint/reports/doc/report"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/doc/sheet"
	"hisspoint/reports/internal/handmade"
	"hisspoint/reports/pdf"
)

var update = flag.Bool("update", false, "write the golden files anew; look at them before committing")

func render(t testing.TB, d doc.Document) []byte {
	var b bytes.Buffer
	require.NoError(t, pdf.Write(&b, d, pdf.A4))
	return b.Bytes()
}

// tool finds a program; without it the test is skipped, but not in CI.
func tool(t testing.TB, name, pkg string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err == nil {
		return path
	}
	if os.Getenv("HISSPOINT_CI") == "1" {
		t.Fatalf("%s is missing; install %s", name, pkg)
	}
	t.Skipf("%s is missing; install %s to run this test", name, pkg)
	return ""
}

// extract is the text that a reader of PDF finds.
func extract(t testing.TB, data []byte, options ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "report.pdf")
	require.NoError(t, os.WriteFile(path, data, 0o644))
	out, err := exec.Command(tool(t, "pdftotext", "poppler-utils"), append(options, path, "-")...).Output()
	require.NoError(t, err)
	return string(out)
}

// dense is a text without its white space, which lines and columns change.
func dense(s string) string { return strings.Join(strings.Fields(s), "") }

func TestGoldenText(t *testing.T) {
	documents := map[string]doc.Document{
		"report":  report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{Date: "2026-11-05"}, false),
		"kinds":   report.Of(handmade.Seen(handmade.Whole(), handmade.Bench()), handmade.Bench(), reports.Issue{Date: "2026-11-05"}, false),
		"compare": report.Compare(reports.CompareRounds(handmade.Whole()), "2026-11-05", true),
	}
	for _, language := range job.Languages { // page one
		documents["customer-"+language] = customer.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{Date: "2026-11-05", Revision: 1}, language)
	}
	for name, d := range documents {
		got := extract(t, render(t, d), "-raw")
		path := filepath.Join("testdata", name+".golden.txt")
		if *update {
			require.NoError(t, os.MkdirAll("testdata", 0o755))
			require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, string(want), got)
	}
}

func TestSameDocumentSameBytes(t *testing.T) {
	d := report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{Date: "2026-11-05"}, false)
	first := render(t, d)
	assert.True(t, bytes.Equal(first, render(t, d)))
	assert.Contains(t, string(first), "/CreationDate (D:20261105000000")
	d.Issued = ""
	assert.True(t, bytes.Equal(render(t, d), render(t, d)), "without a date of issue as well")
}

func TestPaper(t *testing.T) {
	d := doc.Document{Title: "paper"}
	// ISO 216: 210 mm by 297 mm; ANSI/ASME Y14.1: 8.5 in by 11 in.
	for paper, box := range map[string]string{"": "595.28 841.89", "A4": "595.28 841.89", "letter": "612.00 792.00"} {
		var b bytes.Buffer
		require.NoError(t, pdf.Write(&b, d, paper))
		assert.Contains(t, b.String(), "/MediaBox [0 0 "+box+"]")
	}
	assert.EqualError(t, pdf.Write(io.Discard, d, "a3"), `paper "a3" is not known: use a4 or letter`)
}

// The file's structure is sound, says a tool that is not ours.
func TestStructure(t *testing.T) {
	path := filepath.Join(t.TempDir(), "report.pdf")
	require.NoError(t, os.WriteFile(path, render(t, report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{}, false)), 0o644))
	out, err := exec.Command(tool(t, "qpdf", "qpdf"), "--check", path).CombinedOutput()
	require.NoError(t, err, string(out))
	assert.NotContains(t, strings.ToLower(string(out)), "warning")
}

func TestFontsAreEmbeddedAndSubsetted(t *testing.T) {
	data := render(t, report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{}, false))
	path := filepath.Join(t.TempDir(), "report.pdf")
	require.NoError(t, os.WriteFile(path, data, 0o644))
	out, err := exec.Command(tool(t, "pdffonts", "poppler-utils"), path).Output()
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")[2:]
	require.Len(t, lines, 2)
	for _, l := range lines {
		assert.Regexp(t, `Identity-H +yes \S+ +yes`, l, "embedded, with a map to Unicode")
	}
	assert.Less(t, len(data), 200_000, "whole fonts would take more")
}

// Every figure that the record holds stands in the PDF, to the digits that
// people are shown.
func TestEveryFigureIsFound(t *testing.T) {
	record := handmade.Job()
	text := extract(t, render(t, report.Of(record, handmade.Bench(), reports.Issue{Date: "2026-11-05"}, false)))
	flat := dense(text)
	figures := 0
	find := func(figure string) {
		figures++
		assert.Contains(t, flat, dense(figure))
	}
	for _, round := range record.Rounds {
		s := round.Tests[0]
		a := sheet.Answer(s)
		for _, part := range a.Parts {
			find(part)
		}
		find(a.Verdict)
		for _, row := range s.Result.Rows {
			find(say.Significant(unit.MicrovoltPD(row.Level.DB), 3))
			find(row.Measured.Origin.SHA256)
			for _, r := range row.Measured.Readings {
				if !r.OK() {
					continue
				}
				if r.Name == analyze.DCOffset {
					r.Value, r.Low, r.High, r.Unit = 100*r.Value, 100*r.Low, 100*r.High, "%"
				}
				if r.Name == analyze.NoiseLevel { // in a column without intervals: to a tenth
					find(say.Between(r.Value, r.Low, r.High, 1).Value)
					continue
				}
				find(say.Reading(r).Value)
			}
			if worth := s.Result.WorthOf(row); worth.OK() {
				find(say.Reading(worth).Spread())
			}
		}
		for _, share := range s.Result.Point.Shares {
			find(say.Bare(share.DB, 2).Value)
		}
	}
	find(say.Reading(record.Changes[0].Figure).Value)
	assert.Greater(t, figures, 100)
}

func TestPagesAreNumberedToTheEnd(t *testing.T) {
	text := extract(t, render(t, report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{}, false)))
	pages := strings.Split(strings.TrimSuffix(text, "\f"), "\f")
	require.GreaterOrEqual(t, len(pages), 2)
	for i, page := range pages {
		assert.Regexp(t, regexp.MustCompile("page "+say.Significant(float64(i+1), 3)+" of "+say.Significant(float64(len(pages)), 3)), page)
		assert.Contains(t, page, "invented and simulated", "the mark is on page %d", i+1)
	}
	assert.Contains(t, pages[0], "PASS")
	assert.Contains(t, pages[len(pages)-1], "End of the report on job 0000.")
}

// hostile texts, and how they read once shown: what the font lacks is named.
var hostile = map[string]string{
	`<script>"quoted" 'too' & more`:                  `<script>"quoted" 'too' & more`,
	`(brackets) \( \) \n <</JS(x)>>`:                 `(brackets) \( \) \n <</JS(x)>>`,
	"bad \xff\xfe\xc3 UTF-8":                         "bad ? UTF-8",
	"cut \xe2\x82":                                   "cut ?",
	"control \x00\x1b[31m":                           "control ??[31m",
	"radio \U0001f4fb":                               "radio [U+1F4FB]",
	`=HYPERLINK("x","y")`:                            `=HYPERLINK("x","y")`,
	"\u00b5 \u2126 \u00b1 \u00c4\u00df\u0142 \u0416": "\u00b5 \u2126 \u00b1 \u00c4\u00df\u0142 \u0416",
}

func TestHostileTextIsShownAsTyped(t *testing.T) {
	for typed, shown := range hostile {
		r, j, places := handmade.Typed(typed)
		text := dense(extract(t, render(t, report.Of(r, j, reports.Issue{}, false)), "-raw"))
		for i, place := range places {
			want := strings.Replace(place, typed, shown, 1)
			if words := strings.Fields(want); len(words) > 0 && !strings.Contains(text, dense(want)) {
				assert.Contains(t, text, words[0], "place %d of %q is cut between lines of several columns, but must begin", i, typed)
				for _, w := range words {
					assert.True(t, strings.Contains(text, w) || len(w) > 8, "place %d: %q", i, w)
				}
			}
		}
	}
}

func TestTextThatNeverEnds(t *testing.T) {
	for _, word := range []string{strings.Repeat("long", 2500), strings.Repeat("words ", 1700), strings.Repeat("\u05d0\u05d1 ", 3300), strings.Repeat("\U0001f4fb", 2500)} {
		var b bytes.Buffer
		require.NoError(t, pdf.Write(&b, everywhere(word), pdf.A4))
		assert.Less(t, b.Len(), 4_000_000)
	}
}

// everywhere has the text in every place of every block.
func everywhere(s string) doc.Document {
	return doc.Document{Title: s, About: s, From: s, Mark: s, Running: s, Issued: s, Made: s, Blocks: []doc.Block{
		doc.Heading{Text: s, Note: s}, doc.Paragraph{Text: s}, doc.List{Items: []string{s}}, doc.Answer{Lead: true, Parts: []string{s}, Verdict: s, Reason: s},
		doc.Answer{Parts: []string{s}, Verdict: s, Reason: s}, doc.Cards{Items: []doc.Card{{Label: s, Figure: s, Note: s, Verdict: s}}},
		doc.Table{Caption: s, Columns: []doc.Column{{Head: s, Unit: s, Align: doc.Decimal}, {Head: s}}, Rows: [][]string{{s, s}, {s}}},
		doc.Table{Columns: []doc.Column{{}, {}}, Rows: [][]string{{s, s}}},
		doc.Notes{Items: []doc.Note{{Mark: s, Warning: true, Text: s}}}, doc.Sign{Lines: []string{s}},
		doc.Curve{Title: s, Note: s, X: doc.Axis{Name: s, Unit: s}, Y: doc.Axis{Name: s}, Threshold: &doc.Line{At: 1, Label: s}, Limit: &doc.Line{At: 1, Label: s},
			Traces: []doc.Trace{{Name: s, Points: []doc.Dot{{X: 0, Y: 0}, {X: 2, Y: 2}}}}},
	}}
}

func FuzzWrite(f *testing.F) {
	for typed := range hostile {
		f.Add(typed)
	}
	f.Fuzz(func(t *testing.T, s string) {
		require.NoError(t, pdf.Write(io.Discard, everywhere(s), pdf.Letter))
	})
}

// large is a job of 60 recordings.
func large() reports.Job {
	r := handmade.Job()
	for i := range r.Rounds {
		one := r.Rounds[i].Tests[0].Result.Rows[2]
		var rows []analyze.Used
		for n := range 30 {
			one.Level = unit.DBm(-125 + float64(n)*2.5)
			rows = append(rows, one)
		}
		r.Rounds[i].Tests[0].Result.Rows = rows
	}
	return r
}

func TestSizeOfALargeJob(t *testing.T) {
	assert.Less(t, len(render(t, report.Of(large(), handmade.Bench(), reports.Issue{}, false))), 500_000)
}

func BenchmarkWriteLargeJob(b *testing.B) {
	d := report.Of(large(), handmade.Bench(), reports.Issue{}, false)
	for b.Loop() {
		require.NoError(b, pdf.Write(io.Discard, d, pdf.A4))
	}
}

// The customer's report has two pages at most, whatever was typed into the job; and its metadata are well-formed XML.
func TestTheCustomersReportHasTwoPages(t *testing.T) {
	r, j := handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench()
	long := strings.Repeat("a long word or two ", 270)
	j.Customer, j.Reason, j.Work, j.Contact, j.Set.Description = long, long, []string{long, long}, long, long
	for i := range 40 {
		j.Complaints = append(j.Complaints, job.Complaint{Reported: long, Work: long})
		r.Rounds[1].Checks = append(r.Rounds[1].Checks, job.Check{What: say.Significant(float64(i), 3) + long, Yes: true})
		r.Rounds[1].NotMeasured = append(r.Rounds[1].NotMeasured, job.NotMeasured{What: say.Significant(float64(i+100), 3) + long, Why: long})
	}
	for _, language := range []string{"de", "fr"} { // the longest
		d := customer.Of(r, j, reports.Issue{Date: "2026-11-05", Revision: 2, Replaces: 1, ReplacesDate: "2026-11-02", Why: long}, language)
		pages := strings.Count(extract(t, render(t, d)), "\f")
		assert.LessOrEqual(t, pages, 2, language)
	}
	data := string(render(t, customer.Of(handmade.Job(), handmade.Bench(), reports.Issue{Date: "2026-11-05"}, "fr")))
	_, packet, found := strings.Cut(data, "<x:xmpmeta")
	require.True(t, found)
	packet, _, _ = strings.Cut("<x:xmpmeta"+packet, "<?xpacket end")
	require.NoError(t, xml.Unmarshal([]byte(packet), new(struct{})))
	assert.Contains(t, packet, "<rdf:li>fr</rdf:li>")
}
