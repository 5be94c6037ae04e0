package panel

import (
	"flag"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/reports/doc"
)

var update = flag.Bool("update", false, "write the golden screens anew; look at them before committing")

// peaked is a course over a peak, a dropout in it.
func peaked(most int) doc.Course {
	k := doc.Course{Most: most, Poor: "6 dB", Good: "15 dB"}
	for i := range most * 3 / 4 {
		v := 1 - math.Abs(float64(i)/float64(most)-0.5)*1.6
		if i%100 > 60 && i%100 < 66 {
			v = -1
		}
		k.Places = append(k.Places, v)
	}
	return k
}

func example() doc.Panel {
	return doc.Panel{
		Title: "SINAD", Source: "USB line in", Say: "past: turn back", Mood: doc.PastBest,
		Gauges: []doc.Gauge{{Label: "SINAD", Value: "12.4", Unit: "dB", Spread: "±0.6 dB", Place: 0.31, BestPlace: 0.355, HasBar: true, HasBest: true, Poor: "0 dB", Good: "40 dB",
			Best: "best 14.2 dB at 31.4 s, now 1.8 dB worse", BestShort: "best 14.2 dB, now 1.8 dB worse", Course: peaked(240)}},
		Figures:  []doc.Figure{{Label: "level", Value: "-18.2 dBFS"}, {Label: "audio", Value: "-18.5 dBFS"}, {Label: "SINAD", Value: "12.4 dB"}, {Label: "distortion", Value: "1.6 %"}, {Label: "noise", Value: "-30.9 dBFS"}, {Label: "tone", Value: "1000.0 Hz"}},
		State:    "time constant 0.5 s",
		Warnings: []string{"flat tops: the sound is clipped at -0.1 dBFS, turn the input down by 6 dB or more and record again"},
		Keys:     []doc.Figure{{Label: "b", Value: "new best"}, {Label: "h", Value: "hold"}, {Label: "m", Value: "mark"}, {Label: "a", Value: "aim"}, {Label: "+ -", Value: "time constant"}, {Label: "q", Value: "quit"}},
	}
}

func two() doc.Panel {
	p := example()
	p.Title, p.Warnings, p.Say, p.Mood = "distortion", nil, "at the best", doc.AtBest
	p.Gauges = []doc.Gauge{
		{Label: "distortion", Value: "1.53", Unit: "%", Place: 0.65, BestPlace: 0.65, HasBar: true, HasBest: true, Best: "best 1.52 % at 12.1 s", Course: peaked(240)},
		{Label: "recovered audio", Value: "-18.0", Unit: "dBFS", Place: 0.5, BestPlace: 0.52, HasBar: true, HasBest: true, Best: "best -17.1 dBFS at 4.0 s"},
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
	codes := []string{"\x1b[0m", ""}
	for _, code := range []string{bold, faint, green, yellow, red, broken} {
		codes = append(codes, "\x1b["+code+"m", "", "\x1b["+code+turned+"m", "")
	}
	sgr := strings.NewReplacer(codes...)
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
	at := func(place float64) doc.Gauge { return doc.Gauge{Place: place, HasBar: true} }
	assert.Equal(t, "████████", bar(at(1), 8))
	assert.Equal(t, "····", bar(at(0), 4))
	assert.Equal(t, "██▌·", bar(at(0.625), 4))
	assert.Equal(t, "████", bar(at(7), 4))
	assert.Equal(t, "██··┃···", bar(doc.Gauge{Place: 0.25, HasBar: true, BestPlace: 0.5, HasBest: true}, 8))
	assert.Equal(t, "·······┃", bar(doc.Gauge{BestPlace: 1, HasBest: true}, 8), "the best stays where nothing is read")
	assert.Empty(t, bar(doc.Gauge{}, 8))
}

// A course ends at the right with what was read last; a time without a reading is blank.
func TestCourseRunsFromLeftToRight(t *testing.T) {
	k := doc.Course{Most: 8, Places: []float64{0, 0.5, -1, 1}}
	assert.Equal(t, []string{"       █", "    ▁█ █"}, drawn(doc.Course{Most: 8, Places: []float64{0, 0.5, -1, 1}}, 8, 2))
	assert.Equal(t, []string{"   █", "  ▄█"}, drawn(k, 4, 2))
}

// Every word of a state is drawn.
func TestLettersDrawEveryState(t *testing.T) {
	for _, text := range []string{"better: go on", "at the best", "closer: go on", "below the best", "past: turn back", "too much level", "no sound", "no tone", "no reading", "which channel?"} {
		rows, ok := spelled(text, 76)
		require.True(t, ok, text)
		assert.Len(t, rows, letterRows)
		for _, r := range rows {
			assert.LessOrEqual(t, cells(r), 76, text)
		}
	}
	_, ok := spelled("past: turn back", 36)
	assert.False(t, ok)
	_, ok = spelled("µ", 36)
	assert.False(t, ok)
}

// A best that would be cut is shortened.
func TestWhatDoesNotFit(t *testing.T) {
	q := two()
	q.Gauges[1].Best, q.Gauges[1].BestShort = "best -17.1 dBFS at 1004.0 s, now 12.3 dB worse", "best -17.1 dBFS, now 12.3 dB worse"
	text := strings.Join(Render(q, Options{Width: 80, Height: 24}), "\n")
	assert.Contains(t, text, "best -17.1 dBFS, now 12.3 dB worse")
	text = strings.Join(Render(q, Options{Width: 120, Height: 24}), "\n")
	assert.Contains(t, text, "at 1004.0 s, now 12.3 dB worse")
}

// A text that does not fit comes in pages, with nothing of it left out: each word of a
// sentence, and each stroke of a drawing that is wider than the screen.
func TestPagesLeaveNothingOut(t *testing.T) {
	drawing := []string{"  set              [ R load ]-------------o card", "  chassis o-----------------------------o sleeve"}
	text := append(slices.Clone(drawing), "! Grounding either wire destroys the output stage, at once and silently.", "- Both speaker wires stand near half the supply.")
	for _, size := range [][2]int{{40, 12}, {60, 6}, {80, 24}, {44, 8}} {
		o := Options{Width: size[0], Height: size[1]}
		const prompt = "Enter when it is so (? help, q stop):"
		pages := Pages(text, prompt, o)
		var shown []string
		for i, page := range pages {
			lines := Render(doc.Panel{Title: "wiring", Text: page, Page: "x", Prompt: prompt}, o)
			require.Len(t, lines, o.Height)
			for _, l := range page {
				assert.Contains(t, strings.Join(lines, "\n"), strings.TrimRight(l, " "), "page %d at %v", i, size)
			}
			shown = append(shown, page...)
		}
		all := strings.Join(strings.Fields(strings.Join(shown, " ")), " ")
		assert.Contains(t, all, "! Grounding either wire destroys the output stage, at once and silently.", size)
		assert.Contains(t, all, "- Both speaker wires stand near half the supply.", size)
		strokes := func(s string) int {
			return len([]rune(strings.NewReplacer(" ", "", "leftpart:", "", "totherightofit:", "").Replace(strings.ReplaceAll(s, " ", ""))))
		}
		assert.Equal(t, strokes(strings.Join(text, "")), strokes(strings.Join(shown, "")), size)
	}
	assert.Len(t, Pages(text, "", Options{Width: 80, Height: 24}), 1)
	assert.Greater(t, len(Pages(text, "", Options{Width: 40, Height: 12})), 1)
}
