package analyze

import (
	"math"

	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

// Hint is what figures point to: never a diagnosis, and never without the
// figures that say so.
type Hint struct {
	Name     string      // "reservoir": its row in the table of reports/sentence
	As       string      // the row where it shows in a way of its own
	Evidence []note.Note // the figures that fired it
}

// MutedIn tells whether a row was found muted: it is as quiet as the bench by right.
func MutedIn(u Used) bool {
	open := u.Get("open")
	return open.OK() && open.Value == 0
}

// Result is what a test gave: its figures, the recordings they come from, its curves
// and what happened when.
type Result struct {
	Setup    job.Setup
	Why      string    // not empty: the test gave nothing, and why, for people
	Answer   string    // the test in a few words for people, where no figure says it
	Figures  []Reading // the most telling first; a name that limits know is judged
	Own      []Reading // the figures with their own scatter alone, where card or bench widened them; nil: nothing did
	Rows     []Used    // a recording, or a stretch of one, each
	Lines    []Line
	Events   []Event
	Says     []note.Note // what a person should know of the figures
	Hints    []Evidence
	Point    *Point          // of a kind that is after where its series crosses a criterion
	Response *ResponseResult // of kinds that read a response: two of them are compared as a whole
	Warnings []capture.Warning
}

// Get returns the figure of that name; one that was not taken says so.
func (r Result) Get(name string) Reading {
	for _, f := range r.Figures {
		if f.Name == name {
			return f
		}
	}
	return Reading{Name: name, Why: WhyNotRead}
}

// OwnOf is a figure with its own scatter alone, as it was before what is known of
// sound card and bench joined its interval.
func (r Result) OwnOf(name string) Reading {
	if r.Own != nil {
		return Result{Figures: r.Own}.Get(name)
	}
	return r.Get(name)
}

// WithPoint is the result with a point, which is its first figure.
func (r Result) WithPoint(p Point) Result {
	r.Point, r.Figures = &p, []Reading{p.Figure(job.QuantitySensitivity)}
	return r
}

// Series are the rows, weakest signal first where there is a point: none where it is
// not known which level each of them was.
func (r Result) Series() []Used {
	if r.Point != nil && r.Point.Status == StepsMismatch {
		return nil
	}
	return r.Rows
}

// Hiss is the first row of a series without a signal, nil if there is none.
func (r Result) Hiss() *Used {
	for i, u := range r.Series() {
		if u.Level.Scale == unit.Off {
			return &r.Rows[i]
		}
	}
	return nil
}

// WorthOf is the quantity that a test's criterion speaks of, at one of its rows.
func (r Result) WorthOf(u Used) Reading { return u.Get(r.Setup.Criterion.Quantity) }

// Used is one recording of a test, or a stretch of one, with what it told.
type Used struct {
	Take     job.Take
	Level    unit.Level // at the set, pad and cable taken off; of a series with a point only
	Label    string     // what it held, for people: "carrier, 0.5 µV PD", "400 Hz"
	Measured Measured
	Worth    []Reading // what the test made of it
}

// Quantity is what an axis shows.
type Quantity struct{ Name, Unit string }

// Roles of a line.
const (
	RoleCurve = "curve"
	RoleUpper = "upper mask"
	RoleLower = "lower mask"
	RoleIdeal = "ideal"
	RoleMark  = "mark" // a place with a name, such as a harmonic in a spectrum
)

// Line is a curve of a test, or a bound it is held against. Lines of one Picture
// stand in one picture and have the same axes. Points lie in the order of X.
type Line struct {
	Picture string // what the picture shows, for people: "audio response"
	Name    string // of this line: "response"
	Role    string
	X, Y    Quantity
	LogX    bool
	Points  []Dot
}

// Dot is a point of a line; Low and High equal Y where there is no interval.
type Dot struct{ X, Y, Low, High float64 }

// Event is something that happened at a time in a recording.
type Event struct {
	What           string  // "open"
	AtS, UntilS    float64 // seconds of the file
	NoStart, NoEnd bool    // the recording begins, or ends, in the middle of it
	Readings       []Reading
}

// Evidence is a figure, or a finding, that a hint may rest on, where a test
// finds more than its figures show.
type Evidence struct {
	Name  string // "even_harmonics_exceed_odd"
	Text  string // for people
	Value float64
}

// Refused is the result of a test whose recordings do not fit it.
func Refused(t job.Setup, why string, rows ...Used) Result {
	return Result{Setup: t, Why: why, Rows: rows}
}

// Analysis is the computation of one kind of test. The recordings are those of
// the setup's Takes, one each and in their order; for takes of one file there
// is that one recording. References follow as the last recording where the kind
// has a reference file. An error means that a recording could not be read;
// recordings that do not fit the test give a Result with Why.
type Analysis func(t job.Setup, rs []capture.Recording) (Result, error)

// AtSet is the level at the set: pad and cable taken off that of the generator.
// A take without a level of its own has the test's.
func AtSet(t job.Setup, k job.Take) (l unit.Level, ok bool) {
	l = k.Level
	if k.Typed == "" {
		if t.LevelTyped == "" {
			return unit.Level{Scale: unit.Off}, false
		}
		l = t.Level
	}
	if l.Scale == unit.Absolute {
		l = l.Add(-t.Path.PadDB)
	}
	return l, l.Scale != unit.Off
}

// SameLevel tells whether two takes were made at one level.
func SameLevel(t job.Setup, a, b job.Take) bool {
	x, _ := AtSet(t, a)
	y, _ := AtSet(t, b)
	return x.Scale == y.Scale && (x.Scale == unit.Off || math.Abs(x.DB-y.DB) < 1e-9)
}

// HasTone tells whether a recording has the test's tone.
func HasTone(u Used) bool { return u.Measured.Get(ToneLevel).OK() }

// Get returns what the test made of a row under that name.
func (u Used) Get(name string) Reading {
	for _, r := range u.Worth {
		if r.Name == name {
			return r
		}
	}
	return Reading{Name: name, Why: WhyNotRead}
}
