package curve

import (
	"fmt"
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"hisspoint/reports/doc"
)

// sheet keeps what was drawn.
type sheet struct {
	strokes []Line
	paths   [][]Path
	fills   []color.NRGBA
	areas   [][]Path
	texts   []string
	places  []Point
	angles  []float64
}

func (s *sheet) Stroke(p []Path, l Line) {
	s.paths, s.strokes = append(s.paths, p), append(s.strokes, l)
}

func (s *sheet) Fill(p []Path, c color.NRGBA) {
	s.areas, s.fills = append(s.areas, p), append(s.fills, c)
}

func (s *sheet) Text(at Point, angle, _ float64, _ bool, _ color.NRGBA, text string) {
	s.places, s.angles, s.texts = append(s.places, at), append(s.angles, angle), append(s.texts, text)
}

func example() doc.Curve {
	trace := func(name string, style int, shift float64) doc.Trace {
		t := doc.Trace{Name: name, Style: style, Crossing: &doc.Dot{X: -117 + shift, Y: 12, Low: -118 + shift, High: -116 + shift}}
		for i := range 8 {
			y := float64(i) * 5
			t.Points = append(t.Points, doc.Dot{X: -125 + shift + float64(i)*3, Y: y, Low: y - 2, High: y + 2})
		}
		return t
	}
	return doc.Curve{Title: "SINAD", X: doc.Axis{Name: "level", Unit: "dBm"}, Y: doc.Axis{Name: "SINAD", Unit: "dB"},
		Traces: []doc.Trace{trace("as found", 0, 10), trace("as left", 1, 0)}, Threshold: &doc.Line{At: 12, Label: "12 dB SINAD"}, Limit: &doc.Line{At: -113, Label: "limit"}}
}

func TestEverythingIsOnThePicture(t *testing.T) {
	for _, size := range [][2]float64{{640, 340}, {340, 330}, {493, 225}} {
		s := &sheet{}
		Draw(s, example(), size[0], size[1])
		for _, want := range []string{"as found", "as left", "crossing, 95 %", "12 dB SINAD", "limit", "level / dBm", "SINAD / dB", "\u2212120"} {
			assert.Contains(t, s.texts, want)
		}
		for _, p := range append(append([][]Path{}, s.paths...), s.areas...) {
			for _, path := range p {
				for _, q := range path.Points {
					require.True(t, q.X >= 0 && q.X <= size[0] && q.Y >= 0 && q.Y <= size[1], "%v outside %v", q, size)
				}
			}
		}
		for i, q := range s.places {
			assert.True(t, q.X >= 0 && q.X <= size[0] && q.Y >= 0 && q.Y <= size[1], "%s at %v", s.texts[i], q)
		}
	}
}

// In grey, what tells two traces apart is the dash of the line and the shape of
// the marker.
func TestStylesDifferWithoutColour(t *testing.T) {
	seen := map[string]bool{}
	for i := range styles {
		s := &sheet{}
		c := example()
		c.Traces = c.Traces[:1]
		c.Traces[0].Style, c.Traces[0].Name, c.Traces[0].Crossing, c.Threshold, c.Limit = i, "", nil, nil, nil
		Draw(s, c, 640, 340)
		var dash []float64
		corners := 0
		for n, l := range s.strokes {
			if l.Width == 1.4 {
				dash = l.Dash
			}
			if l.Width == 1.1 {
				corners = len(s.paths[n][0].Points)
			}
		}
		look := fmt.Sprint(dash)
		assert.False(t, seen[look], "line style %d is another's: %s", i, look)
		seen[look] = true
		mark := fmt.Sprint("mark", corners, s.fills[len(s.fills)-1] == Paper)
		assert.False(t, seen[mark], "marker %d is another's: %s", i, mark)
		seen[mark] = true
	}
}

func TestBandHoldsTheIntervals(t *testing.T) {
	s := &sheet{}
	c := example()
	c.Traces = c.Traces[1:]
	Draw(s, c, 640, 340)
	bands := 0
	for i, fill := range s.fills {
		if fill.A == 0xff {
			continue
		}
		bands++
		assert.Len(t, s.areas[i][0].Points, 16, "there and back over eight points")
	}
	assert.Equal(t, 1, bands)
}

func TestNothingToDraw(t *testing.T) {
	s := &sheet{}
	Draw(s, doc.Curve{Title: "none", Traces: []doc.Trace{{Name: "as left"}}}, 640, 340)
	assert.Empty(t, s.texts)
	one := doc.Curve{Traces: []doc.Trace{{Points: []doc.Dot{{X: 3, Y: 4, Low: 4, High: 4}}}}}
	Draw(s, one, 640, 340)
	for _, p := range s.paths {
		for _, q := range p[0].Points {
			assert.False(t, math.IsNaN(q.X) || math.IsNaN(q.Y))
		}
	}
}

// Ticks stand at multiples of 1, 2 or 5 times a power of ten, inside the axis,
// evenly, never too many, and enough to read by.
func TestTicks(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		most      int
		want      []string
	}{
		{-126, -86, 8, []string{"\u2212125", "\u2212120", "\u2212115", "\u2212110", "\u2212105", "\u2212100", "\u221295", "\u221290"}},
		{0, 1, 5, []string{"0", "0.2", "0.4", "0.6", "0.8", "1"}},
		{-1.5, 36, 4, []string{"0", "10", "20", "30"}},
	} {
		var got []string
		for _, k := range (ticks{c.most, false}).Ticks(c.low, c.high) {
			got = append(got, k.Label)
		}
		assert.Equal(t, c.want, got)
	}
	rapid.Check(t, func(t *rapid.T) {
		low, width, most := rapid.Float64Range(-1e4, 1e4).Draw(t, "low"), rapid.Float64Range(0.1, 1e4).Draw(t, "width"), rapid.IntRange(3, 12).Draw(t, "most")
		all := ticks{most, false}.Ticks(low, low+width)
		step := ticks{most, false}.step(low, low+width)
		digit := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9))
		if math.Abs(digit-1) > 1e-9 && math.Abs(digit-2) > 1e-9 && math.Abs(digit-5) > 1e-9 {
			t.Fatalf("step %g", step)
		}
		if len(all) > most+1 || len(all) < 1 || width/step < float64(most)/2.6 {
			t.Fatalf("%d ticks of at most %d, step %g of %g", len(all), most, step, width)
		}
		for _, k := range all {
			if k.Value < low-1e-6*width || k.Value > low+width*(1+1e-6) {
				t.Fatalf("%g outside", k.Value)
			}
		}
	})
}

// Transforms nest as in any drawing program: a quarter turn about (10, 20) takes
// (3, 0) to (10, 23), which lies 77 below the upper edge of 100.
func TestCanvasTransforms(t *testing.T) {
	s := &sheet{}
	c := newCanvas(s, 100)
	c.Push()
	c.Translate(vg.Point{X: 10, Y: 20})
	c.Rotate(math.Pi / 2)
	q := c.at(vg.Point{X: 3})
	assert.InDelta(t, 10, q.X, 1e-9)
	assert.InDelta(t, 77, q.Y, 1e-9)
	c.Scale(2, 2)
	assert.InDelta(t, 74, c.at(vg.Point{X: 3}).Y, 1e-9)
	c.Pop()
	assert.Equal(t, Point{3, 100}, c.at(vg.Point{X: 3}))
}
