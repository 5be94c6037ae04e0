package pdf_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/report"
	"hisspoint/reports/internal/handmade"
)

var lowest = regexp.MustCompile(`<word xMin="[0-9.]+" yMin="[0-9.]+" xMax="[0-9.]+" yMax="([0-9.]+)">([^<]*)`)

// filled is how far down each page is written on, 0 to 1, and what its last line says,
// as poppler finds it; what stands at the foot of every page does not count.
func filled(t *testing.T, data []byte) (down []float64, last []string) {
	path := filepath.Join(t.TempDir(), "filled.pdf")
	require.NoError(t, os.WriteFile(path, data, 0o644))
	out, err := exec.Command(tool(t, "pdftotext", "poppler-utils"), "-bbox", path, "-").Output()
	require.NoError(t, err)
	for _, page := range strings.Split(string(out), "<page ")[1:] {
		deepest, words := 0.0, ""
		for _, m := range lowest.FindAllStringSubmatch(page, -1) {
			y, err := strconv.ParseFloat(m[1], 64)
			require.NoError(t, err)
			switch {
			case y > 841.89-40: // the foot of an A4 page
			case y > deepest+1:
				deepest, words = y, m[2]
			case y > deepest-1:
				words += " " + m[2]
			}
		}
		down, last = append(down, deepest/841.89), append(last, words)
	}
	return down, last
}

// No two pages in a row are half empty, and no page ends with the heading of what stands
// on the next one: of a whole annex, and of blocks in any order.
func TestNoHalfEmptyPagesInARow(t *testing.T) {
	documents := map[string]doc.Document{
		"annex": report.Of(handmade.Seen(handmade.Whole(), handmade.Bench()), handmade.Bench(), reports.Issue{Date: "2026-11-05"}, false),
	}
	for seed := range uint64(4) {
		documents[fmt.Sprintf("random %d", seed)] = anyBlocks(seed)
	}
	pages := 0
	for name, d := range documents {
		down, last := filled(t, render(t, d))
		for i := 1; i < len(down)-1; i++ {
			assert.False(t, down[i-1] < 0.5 && down[i] < 0.5, "%s: pages %d and %d are half empty: %.2f, %.2f", name, i, i+1, down[i-1], down[i])
		}
		for i, words := range last[:len(last)-1] {
			assert.NotContains(t, words, "HEAD", "%s: page %d ends with a head", name, i+1)
		}
		pages += len(down)
	}
	assert.Greater(t, pages, 25)
}

// anyBlocks are blocks of all sizes in any order.
func anyBlocks(seed uint64) doc.Document {
	r := rand.New(rand.NewPCG(seed, 18))
	d := doc.Document{Title: "blocks", Dense: seed%2 == 0}
	for range 90 {
		switch r.IntN(6) {
		case 0:
			d.Add(doc.Heading{Text: "HEAD of a part", Level: r.IntN(2)})
		case 1:
			d.Add(doc.Paragraph{Text: strings.Repeat("words of a paragraph ", 1+r.IntN(60))})
		case 2, 3:
			t := doc.Table{Caption: "HEAD of a table", Columns: []doc.Column{{Head: "HEAD one", Unit: "HEAD"}, {Head: "HEAD two"}}}
			for i := range 1 + r.IntN(40) {
				t.Rows = append(t.Rows, []string{fmt.Sprint(i), strings.Repeat("cell ", 1+r.IntN(30))})
			}
			d.Add(t)
		case 4:
			d.Add(doc.Curve{Title: "a picture", X: doc.Axis{Name: "x", Unit: "s"}, Y: doc.Axis{Name: "y", Unit: "V"},
				Traces: []doc.Trace{{Points: []doc.Dot{{X: 0, Y: 0}, {X: 2, Y: 2}}}}})
		case 5:
			d.Add(doc.Notes{Items: []doc.Note{{Text: strings.Repeat("note ", 1+r.IntN(50))}}})
		}
	}
	d.Add(doc.Paragraph{Text: "the end"})
	return d
}
