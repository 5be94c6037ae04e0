// Package takes makes rows of a test's recordings, whether each has its own file or
// all are parts of one: measured, labelled, and checked to fit together. It must not
// know which kind of test asks.
package takes

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"

	"hisspoint/analyze"
	"hisspoint/analyze/budget"
	"hisspoint/analyze/parts"
	"hisspoint/analyze/point"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

// finder measures the stretches of a test's one file that belong to its takes.
// Where they do not fit, the error is a Misfit and the rows are what was found.
type finder func(t job.Setup, r capture.Recording) ([]analyze.Used, error)

// Gather measures the recordings of a test: one a take, or the stretches of one
// file that find tells. why is not empty where the stretches do not fit; the rows
// are then what was found.
func Gather(t job.Setup, rs []capture.Recording, find finder) (rows []analyze.Used, why string, err error) {
	if find == nil || len(rs) == 0 || !inOne(t) {
		if len(rs) < len(t.Takes) {
			return nil, "", fmt.Errorf("%s: %d recordings for %d entries: give each its file", t.Label(), len(rs), len(t.Takes))
		}
		rows, err = MeasureAll(t, t.Takes, rs)
		return rows, "", err
	}
	rows, err = find(t, rs[0])
	if why := MisfitText(err); why != "" {
		return rows, why, nil
	}
	return rows, "", err
}

// inOne tells whether a test's takes are stretches of one file.
func inOne(t job.Setup) bool {
	bare := len(t.Takes) == 1 && t.Takes[0].Typed == "" && t.Takes[0].State == "" && t.Takes[0].AtTyped == ""
	return t.OneFile || bare
}

// MisfitText says for people why the parts found do not fit; empty: the error is
// another, or none.
func MisfitText(err error) string {
	var m *parts.Misfit
	if !errors.As(err, &m) {
		return ""
	}
	return "the parts found do not fit: " + m.Text()
}

// MeasureAll measures the takes side by side.
func MeasureAll(t job.Setup, takes []job.Take, rs []capture.Recording) ([]analyze.Used, error) {
	rows, failures := make([]analyze.Used, len(takes)), make([]error, len(takes))
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	var group sync.WaitGroup
	for i, k := range takes {
		slots <- struct{}{}
		group.Go(func() {
			defer func() { <-slots }()
			m, err := reading.Measure(rs[i], t.Reading)
			rows[i], failures[i] = analyze.Used{Take: k, Label: TakeLabel(k, t.LevelKind), Measured: m}, err
		})
	}
	group.Wait()
	for _, err := range failures { // the first of the list, however they were dealt out
		if err != nil {
			return nil, err
		}
	}
	return rows, nil
}

// TakeLabel says what a recording held, for people: "carrier, 0.5 µV PD".
func TakeLabel(k job.Take, kind unit.LevelKind) string {
	var pieces []string
	if k.State != "" {
		pieces = append(pieces, k.State)
	}
	if k.Typed != "" && (k.Level.Scale != unit.Off || k.State == "") {
		pieces = append(pieces, unit.Spoken(k.Typed, kind))
	}
	if k.AtTyped != "" {
		pieces = append(pieces, k.AtTyped)
	}
	return strings.Join(pieces, ", ")
}

// Named is a row as sentences call it: its file, and its place within it.
func Named(u analyze.Used) string {
	name := u.Measured.Origin.File
	if u.Take.From < u.Take.To {
		name += fmt.Sprintf(" at %.1f s", u.Take.From)
	}
	return name
}

// OneScale refuses series whose levels are partly absolute and partly relative.
func OneScale(t job.Setup, rows []analyze.Used) string {
	seen := map[unit.Scale]bool{}
	for _, u := range rows {
		if l, ok := analyze.AtSet(t, u.Take); ok {
			seen[l.Scale] = true
		}
	}
	if len(seen) > 1 {
		return "some levels are absolute and some in dB only: give all in µV or dBm, or all in dB"
	}
	return ""
}

// InState are the rows of a state, in their order.
func InState(rows []analyze.Used, state string) []analyze.Used {
	var out []analyze.Used
	for _, u := range rows {
		if u.Take.State == state {
			out = append(out, u)
		}
	}
	return out
}

// Strongest is the row of the highest level, the first of equal ones; a row
// without a level counts as the weakest.
func Strongest(t job.Setup, rows []analyze.Used) analyze.Used {
	best, top := rows[0], math.Inf(-1)
	for _, u := range rows {
		if l, ok := analyze.AtSet(t, u.Take); ok && l.DB > top {
			best, top = u, l.DB
		}
	}
	return best
}

// ToneIn says which tone a recording that should have none holds; empty: none.
func ToneIn(u analyze.Used) string {
	hz := u.Measured.OtherTone
	if r := u.Measured.Get(analyze.ToneFrequency); r.OK() {
		hz = r.Value
	}
	if hz == 0 {
		return ""
	}
	return fmt.Sprintf("%s has a tone of %.0f Hz", Named(u), hz)
}

// volumeKeeps is by how much, in dB, two recordings of the same thing at one
// volume may differ, and volumeScatter how often the root-sum-square of their 95 %
// half-widths: twice is four standard errors.
const (
	volumeKeeps   = 0.5
	volumeScatter = 2
)

// VolumeMoved compares recordings that should be alike, such as the hiss before
// and after, by one of their readings, and says which differ by more than
// volumeKeeps and more than their scatter; empty: none.
func VolumeMoved(t job.Setup, what string, rows []analyze.Used, of func(analyze.Measured) analyze.Reading) string {
	for i, a := range rows {
		for _, b := range rows[i+1:] {
			x, y := of(a.Measured), of(b.Measured)
			if !x.OK() || !y.OK() || !analyze.SameLevel(t, a.Take, b.Take) {
				continue
			}
			allowed := volumeKeeps
			if x.HasInterval() && y.HasInterval() {
				allowed = math.Max(allowed, volumeScatter*math.Hypot((x.High-x.Low)/2, (y.High-y.Low)/2))
			}
			if d := math.Abs(x.Value - y.Value); d > allowed {
				return fmt.Sprintf("the volume was moved: %s differs by %.1f dB between %s and %s; leave the volume alone and record again", what, d, Named(a), Named(b))
			}
		}
	}
	return ""
}

// Point finds where what a series of rows is worth, under the name of the criterion's
// quantity, crosses it, and widens the point by what is stated of the level. A row
// without that reading counts as worse.
func Point(t job.Setup, c job.Criterion, rows []analyze.Used, hiss *analyze.Used) analyze.Point {
	var placed []analyze.Used
	for _, u := range rows {
		if _, ok := analyze.AtSet(t, u.Take); !ok {
			continue
		}
		if u.Take.Typed == "" {
			u.Take.Level, u.Take.Typed = t.Level, t.LevelTyped
		}
		placed = append(placed, u)
	}
	if _, err := point.Place(placed, t.Path); err != nil {
		return analyze.Point{Status: analyze.TooFew, Why: err.Error()}
	}
	p := point.Of(placed, c, t.Path, t.Mode, hiss)
	if p.Level.Scale == unit.Absolute {
		p = p.With("mismatch", mismatchDB(t.Path))
	}
	return p
}

// mismatchDB is the standard uncertainty of two imperfect terminations, as far
// as they are stated.
func mismatchDB(path job.RFPath) float64 {
	if path.GeneratorReflection <= 0 || path.InputReflection <= 0 {
		return 0
	}
	through := math.Pow(10, -math.Max(0, path.PadDB)/20)
	return budget.Mismatch("mismatch", path.GeneratorReflection, path.InputReflection, through, through).Standard()
}

// LevelKnown is how well a level at the set is known, as a standard uncertainty in
// dB: that of generator, pad and mismatch, as it joins a sensitivity point.
func LevelKnown(path job.RFPath) float64 {
	sum := math.Pow(path.PadUncertaintyDB, 2) / 3
	if path.LevelUncertainty != nil {
		sum += math.Pow(*path.LevelUncertainty, 2) / 3
	}
	return math.Hypot(math.Sqrt(sum), mismatchDB(path))
}

// GeneratorSays tells that figures in dBm hold what is usual for a generator, where
// nobody stated how well its level is known.
func GeneratorSays(t job.Setup, figures []analyze.Reading) []note.Note {
	for _, f := range figures {
		if f.Unit == "dBm" && f.OK() && (t.Path.LevelUncertainty == nil || t.Assumed[job.InputLevel]) {
			return []note.Note{note.Phrase("The generator's level uncertainty is not stated, so what is usual is assumed: state level_uncertainty_db of the generator under equipment.")}
		}
	}
	return nil
}

// LevelLine is a curve over the level at the set: of each row the reading named worth.
func LevelLine(t job.Setup, picture, name string, y analyze.Quantity, rows []analyze.Used, worth func(analyze.Used) analyze.Reading) analyze.Line {
	l := analyze.Line{Picture: picture, Name: name, Role: analyze.RoleCurve, X: analyze.Quantity{Name: "level at the set", Unit: "dBm"}, Y: y}
	for _, u := range rows {
		at, ok := analyze.AtSet(t, u.Take)
		r := worth(u)
		if !ok || !r.OK() {
			continue
		}
		if at.Scale == unit.Relative {
			l.X.Unit = "dB"
		}
		d := analyze.Dot{X: at.DB, Y: r.Value, Low: r.Value, High: r.Value}
		if r.HasInterval() {
			d.Low, d.High = r.Low, r.High
		}
		l.Points = append(l.Points, d)
	}
	slices.SortStableFunc(l.Points, func(a, b analyze.Dot) int { return cmp.Compare(a.X, b.X) })
	return l
}
