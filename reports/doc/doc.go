// Package doc is the shapes that a record takes for people: answers, tables, curves,
// notes, and the screen of a live reading. Its rooms fill them and renderers beside it
// draw them. It knows no record, no figure and no renderer.
package doc

import "slices"

// Document is what a renderer shows, from top to bottom.
type Document struct {
	Title      string
	About      string   // what the document is about, in a line
	From       string   // who issues it: the shop's heading, perhaps in several lines
	Mark       string   // what stands on every page, such as that a job is invented; empty: nothing
	Running    string   // what every page says of itself beside its number
	Issued     string   // a date, year-month-day; empty: not stated
	Made       string   // the tool and its version
	Language   string   // of its words, as HTML names them; empty: English
	Page       string   // "page %[1]d of %[2]d"; empty: in English
	IssuedWord string   // "issued"; empty: in English
	Dense      bool     // it is looked things up in: set small, pictures side by side
	Contents   bool     // the parts are listed at the beginning, where there are links
	Picture    *Picture // of the letterhead; nil: none
	Blocks     []Block
}

// Picture is that of a letterhead, a PNG. Where it was drawn as SVG, HTML takes that.
type Picture struct {
	SVG           []byte // nil: none
	PNG           []byte
	Width, Height int // of the PNG, in points
}

// Block is one of Heading, Paragraph, List, Code, Table, Cards, Curve, Notes, Answer
// and Sign.
type Block interface{ block() }

// Heading begins a part of a document.
type Heading struct {
	Text  string
	Note  string // beside the heading, less loud
	Level int    // 0: a part; 1: within a part
	Break bool   // where there are pages, begins a new one
}

// Paragraph is running text.
type Paragraph struct{ Text string }

// List is short texts below each other.
type List struct {
	Items    []string
	Numbered bool // they follow each other: 1. 2. 3.
}

// Code is what is typed or printed, line by line, never wrapped. Pages on paper have none.
type Code struct {
	Lines []string
	Kind  string // what it is: sh, json, yaml, text; empty: commands that run as they stand, beside the demo
}

// Cards are the few figures that matter most, side by side.
type Cards struct{ Items []Card }

// Card is one figure: what it is, the figure, and what to know of it.
type Card struct {
	Label, Figure, Note string
	Verdict             string // empty: not judged
	Outcome             Outcome
}

// Sign is where somebody signs: a line for each of the words.
type Sign struct{ Lines []string }

// Table is rows of cells. A table whose columns have no heads is a list of
// facts: label, figure, interval, remark. The last cell of a row that is shorter
// than the table spans what is missing.
type Table struct {
	Caption string
	Columns []Column
	Rows    [][]string
	Tight   bool // set closely, so that it shares a page with what else must stand there
}

// Column says how the cells below it are set.
type Column struct {
	Head  string
	Unit  string
	Align Align
	Fine  bool // set small: sums of files, which nobody reads but must be whole
}

// Align is how cells stand below each other.
type Align int

// The ways of setting a column.
const (
	Left Align = iota
	Right
	Decimal // on the decimal point
)

// Curve is one or several traces over an axis, the threshold they are held
// against, and where it is crossed.
type Curve struct {
	Title     string
	X, Y      Axis
	LogX      bool // the axis along X is one of ratios: audio frequencies
	Traces    []Trace
	Threshold *Line
	Limit     *Line
	Spans     []Span // stretches along X, such as when the audio was open
	Marks     []Mark // places with names
	Note      string // what is left out of the picture
	Says      string // what the picture shows, for those who cannot see it
}

// Trace is points with intervals, in the order of their X.
type Trace struct {
	Name     string // empty: it is the only one
	Style    int    // how it is drawn: each number its own; 0 and 2, and 1 and 3, belong together
	Bound    bool   // it was not measured: a mask, or how it should be; 0 is a mask's style, 1 that of an ideal
	Points   []Dot
	Crossing *Dot // interval along X
}

// Span is a stretch along X of a trace with that style.
type Span struct {
	Name     string
	Style    int
	From, To float64
}

// Mark is a place with a name.
type Mark struct {
	X, Y float64
	Name string
}

// Axis names what runs along it.
type Axis struct{ Name, Unit string }

// Dot is a point of a curve; Low and High are its interval, equal if there is none.
type Dot struct{ X, Y, Low, High float64 }

// Line is a straight line across a curve: of a Y for a threshold, of an X for a limit.
type Line struct {
	At    float64
	Label string
}

// Notes are remarks, each with the mark by which a table points to it.
type Notes struct{ Items []Note }

// Note is one remark.
type Note struct {
	Mark    string // "1"; empty: nothing points to it
	Warning bool
	Text    string
}

// Outcome colours an answer; its word says the same without colour.
type Outcome string

// The outcomes of an answer.
const (
	Plain   Outcome = ""
	Good    Outcome = "good"
	Bad     Outcome = "bad"
	Unclear Outcome = "unclear"
)

// Answer is the one line that everything serves: its parts are set apart, the
// last of them is the verdict. A document's leading answer is shown largest.
type Answer struct {
	Lead    bool
	Parts   []string
	Verdict string // PASS, FAIL, TOO CLOSE TO CALL, NOT JUDGED; empty: no limit
	Outcome Outcome
	Reason  string // why, below the line
}

func (Heading) block() {}

func (Paragraph) block() {}

func (List) block() {}

func (Code) block() {}

func (Table) block() {}

func (Cards) block() {}

func (Curve) block() {}

func (Notes) block() {}

func (Answer) block() {}

func (Sign) block() {}

// Marked puts a mark behind the last part of an answer, before its verdict.
func (a Answer) Marked(mark string) Answer {
	if mark != "" {
		a.Parts = append(slices.Clone(a.Parts), mark)
	}
	return a
}

// Add puts blocks below those that are there.
func (d *Document) Add(blocks ...Block) { d.Blocks = append(d.Blocks, blocks...) }

// WithoutEmpty leaves out columns in which no row has anything.
func (t Table) WithoutEmpty() Table {
	out := Table{Caption: t.Caption, Rows: make([][]string, len(t.Rows))}
	for c := range t.Columns {
		used := false
		for _, row := range t.Rows {
			used = used || c < len(row) && row[c] != ""
		}
		if !used {
			continue
		}
		out.Columns = append(out.Columns, t.Columns[c])
		for i, row := range t.Rows {
			cell := ""
			if c < len(row) {
				cell = row[c]
			}
			out.Rows[i] = append(out.Rows[i], cell)
		}
	}
	return out
}
