package panel

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/reports/doc"
)

var update = flag.Bool("update", false, "write the golden screens anew; look at them before committing")

func example() doc.Panel {
	return doc.Panel{
		Title: "SINAD", Source: "USB line in",
		Gauges:   []doc.Gauge{{Label: "SINAD", Value: "12.4", Unit: "dB", Spread: "±0.6 dB", Bar: 0.85, HasBar: true, Scale: "12 dB worse", Best: "best 14.2 dB at 31.4 s, now 1.8 dB worse", State: "past the best: turn back", Mood: doc.PastBest}},
		Figures:  []doc.Figure{{Label: "level", Value: "-18.2 dBFS"}, {Label: "audio", Value: "-18.5 dBFS"}, {Label: "SINAD", Value: "12.4 dB"}, {Label: "distortion", Value: "1.6 %"}, {Label: "noise", Value: "-30.9 dBFS"}, {Label: "tone", Value: "1000.0 Hz"}},
		State:    "time constant 0.5 s",
		Warnings: []string{"flat tops: the sound is clipped at -0.1 dBFS, turn the input down by 6 dB or more and record again"},
		Keys:     []doc.Figure{{Label: "b", Value: "new best"}, {Label: "h", Value: "hold"}, {Label: "m", Value: "mark"}, {Label: "a", Value: "aim"}, {Label: "+ -", Value: "time constant"}, {Label: "q", Value: "quit"}},
	}
}

func two() doc.Panel {
	p := example()
	p.Title, p.Warnings = "distortion", nil
	p.Gauges = []doc.Gauge{
		{Label: "distortion", Value: "1.53", Unit: "%", Bar: 1, HasBar: true, Best: "best 1.52 % at 12.1 s", State: "at the best", Mood: doc.AtBest},
		{Label: "recovered audio", Value: "-18.0", Unit: "dBFS", Bar: 0.5, HasBar: true, Best: "best -17.1 dBFS at 4.0 s", State: "short of the best"},
	}
	return p
}

func TestScreens(t *testing.T) {
	asked := example()
	asked.Prompt, asked.Answer = "note to this reading:", "T5 at 12 µH"
	for name, c := range map[string]struct {
		p doc.Panel
		o Options
	}{
		"one-80x24": {example(), Options{Width: 80, Height: 24}}, "one-120x40": {example(), Options{Width: 120, Height: 40}},
		"two-80x24": {two(), Options{Width: 80, Height: 24}}, "two-120x40": {two(), Options{Width: 120, Height: 40}},
		"small-40x12": {example(), Options{Width: 40, Height: 12}}, "asked-80x24": {asked, Options{Width: 80, Height: 24}},
	} {
		lines := Render(c.p, c.o)
		assert.Len(t, lines, c.o.Height, name)
		for _, l := range lines {
			assert.LessOrEqual(t, cells(l), c.o.Width, "%s: %s", name, l)
			assert.NotContains(t, l, "\x1b", name)
		}
		var text strings.Builder
		for _, l := range lines {
			text.WriteString(strings.TrimRight(l, " ") + "\n")
		}
		golden := filepath.Join("testdata", name+".txt")
		if *update {
			require.NoError(t, os.MkdirAll("testdata", 0o755))
			require.NoError(t, os.WriteFile(golden, []byte(text.String()), 0o644))
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err)
		assert.Equal(t, string(want), text.String(), name)
	}
}

// Colour adds nothing but colour, and every size of a window is painted in full.
func TestEverySize(t *testing.T) {
	sgr := strings.NewReplacer("\x1b["+bold+"m", "", "\x1b["+faint+"m", "", "\x1b["+green+"m", "", "\x1b["+yellow+"m", "", "\x1b["+red+"m", "", "\x1b[0m", "")
	for _, p := range []doc.Panel{example(), two(), {}} {
		for _, w := range []int{1, 20, 43, 44, 79, 80, 119, 240} {
			for _, h := range []int{1, 5, 15, 16, 24, 60} {
				plain, colored := Render(p, Options{Width: w, Height: h}), Render(p, Options{Width: w, Height: h, Color: true})
				assert.Len(t, plain, max(2, h))
				for i := range plain {
					assert.Equal(t, plain[i], sgr.Replace(colored[i]), "%dx%d", w, h)
					assert.LessOrEqual(t, cells(plain[i]), max(10, w), "%dx%d", w, h)
				}
			}
		}
	}
}

func TestBarIsAsLongAsItsShare(t *testing.T) {
	assert.Equal(t, "████████", bar(1, 8))
	assert.Equal(t, "····", bar(0, 4))
	assert.Equal(t, "██▌·", bar(0.625, 4))
	assert.Equal(t, "████", bar(7, 4))
}

// What a small window leaves out is said, and a best that would be cut is shortened.
func TestWhatDoesNotFit(t *testing.T) {
	p := doc.Panel{Title: "wiring", Text: []string{"1", "2", "3", "4", "5", "6", "7", "8", "9"}, Prompt: "Enter:"}
	lines := Render(p, Options{Width: 80, Height: 8})
	assert.Equal(t, "  4", lines[5])
	assert.Equal(t, "  ... a taller window shows the rest", lines[6])
	q := two()
	q.Gauges[1].Best, q.Gauges[1].BestShort = "best -17.1 dBFS at 1004.0 s, now 12.3 dB worse", "best -17.1 dBFS, now 12.3 dB worse"
	text := strings.Join(Render(q, Options{Width: 80, Height: 24}), "\n")
	assert.Contains(t, text, "best -17.1 dBFS, now 12.3 dB worse")
	text = strings.Join(Render(q, Options{Width: 120, Height: 24}), "\n")
	assert.Contains(t, text, "at 1004.0 s, now 12.3 dB worse")
}
