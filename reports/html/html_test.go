package html_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/report"
	"hisspoint/reports/html"
	"hisspoint/reports/internal/handmade"
)

var update = flag.Bool("update", false, "write the golden files anew; look at them before committing")

func render(t testing.TB, d doc.Document) string {
	var b bytes.Buffer
	require.NoError(t, html.Write(&b, d))
	return b.String()
}

func TestGolden(t *testing.T) {
	for name, record := range map[string]reports.Job{"report": handmade.Job(), "kinds": handmade.Whole()} {
		seen := handmade.Seen(record, handmade.Bench())
		got := render(t, report.Of(seen, handmade.Bench(), reports.Issue{Date: "2026-11-05"}, false))
		path := filepath.Join("testdata", name+".golden.html")
		if *update {
			require.NoError(t, os.MkdirAll("testdata", 0o755))
			require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		}
		want, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.True(t, string(want) == got, "differs from %s: run with -update and look at it", path)
		assert.Equal(t, got, render(t, report.Of(seen, handmade.Bench(), reports.Issue{Date: "2026-11-05"}, false)), "the same job gives the same bytes")
	}
}

// read goes through a page as strict XML, which it is written to be as well:
// every element is closed where it should be. It gives the text outside of
// styles and tells inspect of every element.
func read(t testing.TB, page string, inspect func(xml.StartElement)) string {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	var text strings.Builder
	inStyle := false
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return text.String()
		}
		require.NoError(t, err)
		switch k := token.(type) {
		case xml.StartElement:
			inStyle = k.Name.Local == "style"
			if inspect != nil {
				inspect(k)
			}
		case xml.EndElement:
			inStyle = false
		case xml.CharData:
			if !inStyle {
				text.Write(k)
			}
		}
	}
}

// The elements of a page (HTML Living Standard, 4 and SVG 2): none of them
// loads, runs or sends anything, as far as they have no attribute that does.
var harmless = "html head meta title style body main section h1 h2 h3 small p ul li b strong span div table caption thead nav a details summary tbody tr th td figure figcaption svg desc path text"

func inspectHarmless(t testing.TB) func(xml.StartElement) {
	return func(e xml.StartElement) {
		assert.Contains(t, strings.Fields(harmless), e.Name.Local)
		for _, a := range e.Attr {
			name := strings.ToLower(a.Name.Local)
			assert.False(t, strings.HasPrefix(name, "on") || name == "src" || name == "href" && !strings.HasPrefix(a.Value, "#") || name == "style" || name == "action", "attribute %s", name)
		}
	}
}

func TestNothingFromOutsideAndNothingRuns(t *testing.T) {
	page := render(t, report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{}, false))
	read(t, page, inspectHarmless(t))
	assert.NotRegexp(t, regexp.MustCompile(`(?i)url\(|@import|<script|javascript:`), page)
	assert.NotRegexp(t, regexp.MustCompile(`(?i)https?:|//`), page, "no address of any kind")
}

// hostile texts, and how they read once shown.
var hostile = map[string]string{
	`<script>alert(1)</script>`:                `<script>alert(1)</script>`,
	`"><img src=x onerror=alert(1)>`:           `"><img src=x onerror=alert(1)>`,
	`' onload='alert(1)`:                       `' onload='alert(1)`,
	`</style></title></svg><script>x</script>`: `</style></title></svg><script>x</script>`,
	`&lt;b&gt; &amp;`:                          `&lt;b&gt; &amp;`,
	"bad \xff\xfe\xc3 UTF-8":                   "bad \ufffd UTF-8",
	"control \x00\x1b[31m\x7f":                 "control \ufffd\ufffd[31m\ufffd",
	"\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627 \u202eabc": "\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627 \ufffdabc",
	"radio \U0001f4fb\U0001f468\u200d\U0001f527":                        "radio \U0001f4fb\U0001f468\u200d\U0001f527",
	`=HYPERLINK("x","y")`:           `=HYPERLINK("x","y")`,
	"{{.}} ${x} <!-- --> ]]> <?php": "{{.}} ${x} <!-- --> ]]> <?php",
}

func TestHostileTextIsShownAsTyped(t *testing.T) {
	long := strings.Repeat("long", 2500)
	hostile[long] = long
	for typed, shown := range hostile {
		r, j, places := handmade.Typed(typed)
		require.Greater(t, len(places), 50)
		text := read(t, render(t, report.Of(r, j, reports.Issue{Date: "2026-11-05"}, false)), inspectHarmless(t))
		for i, place := range places {
			want := strings.Replace(place, typed, shown, 1)
			assert.True(t, strings.Contains(text, want), "place %d: %.80q", i, want)
		}
	}
}

// The checks in a real browser look at these pages.
func TestPagesForTheBrowser(t *testing.T) {
	dir := os.Getenv("HISSPOINT_PAGES")
	if dir == "" {
		t.Skip("HISSPOINT_PAGES names no folder to write pages to")
	}
	r, j, _ := handmade.Typed(`"><img src=x onerror=alert(1)></title></style><script>alert(2)</script>` + "\u202e\u05e9\u05dc" + strings.Repeat("long", 500))
	for name, page := range map[string]string{
		"report.html": render(t, report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{Date: "2026-11-05"}, false)), "hostile.html": render(t, report.Of(r, j, reports.Issue{}, false)),
		"kinds.html":   render(t, report.Of(handmade.Seen(handmade.Whole(), handmade.Bench()), handmade.Bench(), reports.Issue{Date: "2026-11-05"}, false)),
		"compare.html": render(t, report.Compare(reports.CompareRounds(handmade.Whole()), "2026-11-05", true)),
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(page), 0o644))
	}
}

func TestTablesHaveHeads(t *testing.T) {
	page := render(t, report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{}, false))
	rows := regexp.MustCompile(`(?s)<tr>.*?</tr>`).FindAllString(page, -1)
	require.Greater(t, len(rows), 40)
	for _, row := range rows {
		assert.Contains(t, row, "scope=", row)
	}
}

func TestPicturesSayWhatTheyShow(t *testing.T) {
	page := render(t, report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{}, false))
	assert.Equal(t, 4, strings.Count(page, "<svg"), "two pictures in two sizes each")
	for _, picture := range regexp.MustCompile(`(?s)<svg.*?</svg>`).FindAllString(page, -1) {
		assert.Regexp(t, `role="img" aria-labelledby="f\d\w+t f\d\w+d"`, picture)
		assert.Regexp(t, `<title id="f\d\w+t">[^<]{20,}</title><desc id="f\d\w+d">[^<]{40,}</desc>`, picture)
		assert.NotContains(t, picture, "NaN")
	}
}

// A job of 60 recordings stays small enough to be mailed.
func TestSizeOfALargeJob(t *testing.T) {
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
	assert.Less(t, len(render(t, report.Of(r, handmade.Bench(), reports.Issue{}, false))), 1_000_000)
}

func BenchmarkWrite(b *testing.B) {
	d := report.Of(handmade.Seen(handmade.Job(), handmade.Bench()), handmade.Bench(), reports.Issue{}, false)
	for b.Loop() {
		require.NoError(b, html.Write(io.Discard, d))
	}
}
