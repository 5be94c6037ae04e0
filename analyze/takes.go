package analyze

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"

	"hisspoint/analyze/limit/budget"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// finder measures the stretches of a test's one file that belong to its takes.
// Where they do not fit, the error wraps ErrSteps and the rows are what was found.
type finder func(t job.Setup, r capture.Recording) ([]Used, error)

// gather measures the recordings of a test: one a take, or the stretches of one
// file that find tells. why is not empty where the stretches do not fit; the rows
// are then what was found.
func gather(t job.Setup, rs []capture.Recording, find finder) (rows []Used, why string, err error) {
	if find == nil || len(rs) == 0 || !inOne(t) {
		if len(rs) < len(t.Takes) {
			return nil, "", fmt.Errorf("%s: %d recordings for %d entries: give each its file", t.Label(), len(rs), len(t.Takes))
		}
		rows, err = measureAll(t, t.Takes, rs)
		return rows, "", err
	}
	rows, err = find(t, rs[0])
	if errors.Is(err, ErrSteps) {
		return rows, stepsText(err), nil
	}
	return rows, "", err
}

// inOne tells whether a test's takes are stretches of one file.
func inOne(t job.Setup) bool {
	bare := len(t.Takes) == 1 && t.Takes[0].Typed == "" && t.Takes[0].State == "" && t.Takes[0].AtTyped == ""
	return t.OneFile || bare
}

// stepsText is an error of the steps for people, without what stands before it.
func stepsText(err error) string {
	if _, text, ok := strings.Cut(err.Error(), ErrSteps.Error()+": "); ok {
		return "the parts found do not fit: " + text
	}
	return err.Error()
}

// measureAll measures the takes side by side.
func measureAll(t job.Setup, takes []job.Take, rs []capture.Recording) ([]Used, error) {
	rows, failures := make([]Used, len(takes)), make([]error, len(takes))
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	var group sync.WaitGroup
	for i, k := range takes {
		slots <- struct{}{}
		group.Go(func() {
			defer func() { <-slots }()
			m, err := Measure(rs[i], t.Reading)
			rows[i], failures[i] = Used{Take: k, Label: takeLabel(k, t.LevelKind), Measured: m}, err
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

var voltsTyped = regexp.MustCompile(`(?i)[numµ]?v$`)

// takeLabel says what a recording held, for people: "carrier, 0.5 µV PD".
func takeLabel(k job.Take, kind unit.LevelKind) string {
	var parts []string
	if k.State != "" {
		parts = append(parts, k.State)
	}
	if k.Typed != "" && (k.Level.Scale != unit.Off || k.State == "") {
		parts = append(parts, levelTyped(k.Typed, kind))
	}
	if k.AtTyped != "" {
		parts = append(parts, k.AtTyped)
	}
	return strings.Join(parts, ", ")
}

// levelTyped is a level as a person typed it, with the micro sign, and with PD
// or EMF where it is in volts.
func levelTyped(typed string, kind unit.LevelKind) string {
	text := strings.NewReplacer("uV", "µV", "uv", "µV", "μ", "µ").Replace(strings.TrimSpace(typed))
	if !voltsTyped.MatchString(text) {
		return text
	}
	if kind == "" {
		kind = unit.PD
	}
	return text + " " + strings.ToUpper(string(kind))
}

// named is a row as sentences call it: its file, and its place within it.
func named(u Used) string {
	name := u.Measured.Origin.File
	if u.Take.From < u.Take.To {
		name += fmt.Sprintf(" at %.1f s", u.Take.From)
	}
	return name
}

// atSet is the level at the set: pad and cable taken off that of the generator.
// A take without a level of its own has the test's.
func atSet(t job.Setup, k job.Take) (l unit.Level, ok bool) {
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

// sameLevel tells whether two takes were made at one level.
func sameLevel(t job.Setup, a, b job.Take) bool {
	x, _ := atSet(t, a)
	y, _ := atSet(t, b)
	return x.Scale == y.Scale && (x.Scale == unit.Off || math.Abs(x.DB-y.DB) < 1e-9)
}

// oneScale refuses series whose levels are partly absolute and partly relative.
func oneScale(t job.Setup, rows []Used) string {
	seen := map[unit.Scale]bool{}
	for _, u := range rows {
		if l, ok := atSet(t, u.Take); ok {
			seen[l.Scale] = true
		}
	}
	if len(seen) > 1 {
		return "some levels are absolute and some in dB only: give all in µV or dBm, or all in dB"
	}
	return ""
}

// inState are the rows of a state, in their order.
func inState(rows []Used, state string) []Used {
	var out []Used
	for _, u := range rows {
		if u.Take.State == state {
			out = append(out, u)
		}
	}
	return out
}

// strongest is the row of the highest level, the first of equal ones; a row
// without a level counts as the weakest.
func strongest(t job.Setup, rows []Used) Used {
	best, top := rows[0], math.Inf(-1)
	for _, u := range rows {
		if l, ok := atSet(t, u.Take); ok && l.DB > top {
			best, top = u, l.DB
		}
	}
	return best
}

// hasTone tells whether a recording has the test's tone.
func hasTone(u Used) bool { return u.Measured.Get(ToneLevel).OK() }

// toneIn says which tone a recording that should have none holds; empty: none.
func toneIn(u Used) string {
	hz := u.Measured.OtherTone
	if r := u.Measured.Get(ToneFrequency); r.OK() {
		hz = r.Value
	}
	if hz == 0 {
		return ""
	}
	return fmt.Sprintf("%s has a tone of %.0f Hz", named(u), hz)
}

// below is by how many dB reading b lies below reading a: their intervals are
// independent and add as root-sum-square, each side by itself (GUM, 5.1.2).
func below(name string, a, b Reading) Reading {
	switch {
	case !a.OK():
		return none(name, "dB", a.Why)
	case !b.OK():
		return none(name, "dB", b.Why)
	}
	d := a.Value - b.Value
	switch {
	case !a.HasInterval():
		return exact(name, "dB", d, a.NoInterval)
	case !b.HasInterval():
		return exact(name, "dB", d, b.NoInterval)
	}
	return reading(name, "dB", d, d-math.Hypot(a.Value-a.Low, b.High-b.Value), d+math.Hypot(a.High-a.Value, b.Value-b.Low))
}

// volumeKeeps is by how much, in dB, two recordings of the same thing at one
// volume may differ, and volumeScatter how often the root-sum-square of their 95 %
// half-widths: twice is four standard errors.
const (
	volumeKeeps   = 0.5
	volumeScatter = 2
)

// volumeMoved compares recordings that should be alike, such as the hiss before
// and after, by one of their readings, and says which differ by more than
// volumeKeeps and more than their scatter; empty: none.
func volumeMoved(t job.Setup, what string, rows []Used, of func(Measured) Reading) string {
	for i, a := range rows {
		for _, b := range rows[i+1:] {
			x, y := of(a.Measured), of(b.Measured)
			if !x.OK() || !y.OK() || !sameLevel(t, a.Take, b.Take) {
				continue
			}
			allowed := volumeKeeps
			if x.HasInterval() && y.HasInterval() {
				allowed = math.Max(allowed, volumeScatter*math.Hypot((x.High-x.Low)/2, (y.High-y.Low)/2))
			}
			if d := math.Abs(x.Value - y.Value); d > allowed {
				return fmt.Sprintf("the volume was moved: %s differs by %.1f dB between %s and %s; leave the volume alone and record again", what, d, named(a), named(b))
			}
		}
	}
	return ""
}

// pointOf finds where a series of rows crosses a threshold, and widens it by
// what is stated of the level. Of a row counts the reading named worth; one
// that is not there counts as worse.
func pointOf(t job.Setup, c job.Criterion, rows []Used, worth string, hiss *Row) Point {
	s := job.Sensitivity{Criterion: c, Path: t.Path}
	var placed []Row
	for _, u := range rows {
		if _, ok := atSet(t, u.Take); !ok {
			continue
		}
		k := u.Take
		if k.Typed == "" {
			k.Level, k.Typed = t.Level, t.LevelTyped
		}
		placed = append(placed, Row{Take: k, Measured: u.Measured, Worth: u.Get(worth)})
	}
	if _, err := place(placed, s.Path); err != nil {
		return Point{Status: TooFew, Why: err.Error()}
	}
	p := point(placed, s, hiss)
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

// levelKnown is how well a level at the set is known, as a standard uncertainty in
// dB: that of generator, pad and mismatch, as it joins a sensitivity point.
func levelKnown(path job.RFPath) float64 {
	sum := math.Pow(path.PadUncertaintyDB, 2) / 3
	if path.LevelUncertainty != nil {
		sum += math.Pow(*path.LevelUncertainty, 2) / 3
	}
	return math.Hypot(math.Sqrt(sum), mismatchDB(path))
}

// generatorSays tells that figures in dBm hold nothing of the generator, where
// nobody stated how well its level is known.
func generatorSays(t job.Setup, figures []Reading) []string {
	for _, f := range figures {
		if f.Unit == "dBm" && f.OK() && t.Path.LevelUncertainty == nil {
			return []string{"The generator's level uncertainty is not stated and counts as 0: state level_uncertainty_db of the generator under equipment."}
		}
	}
	return nil
}

// Get returns what the test made of a row under that name.
func (u Used) Get(name string) Reading {
	for _, r := range u.Worth {
		if r.Name == name {
			return r
		}
	}
	return Reading{Name: name, Why: "not measured"}
}

// levelReading is a point as a figure of a test, in dBm, or in dB where the levels
// are relative.
func levelReading(name string, p Point) Reading {
	u := "dBm"
	if p.Level.Scale == unit.Relative {
		u = "dB"
	}
	switch {
	case p.Status != Found:
		return none(name, u, p.Why)
	case p.NoInterval != "":
		return exact(name, u, p.Level.DB, p.NoInterval)
	}
	r := reading(name, u, p.Level.DB, p.Low, p.High)
	for _, s := range p.Shares {
		if s.Name != ShareReadings && s.Name != ShareBetween {
			r.Common = math.Hypot(r.Common, s.DB)
		}
	}
	return r
}

// levelLine is a curve over the level at the set: of each row the reading named worth.
func levelLine(t job.Setup, picture, name string, y Quantity, rows []Used, worth func(Used) Reading) Line {
	l := Line{Picture: picture, Name: name, Role: RoleCurve, X: Quantity{"level at the set", "dBm"}, Y: y}
	for _, u := range rows {
		at, ok := atSet(t, u.Take)
		r := worth(u)
		if !ok || !r.OK() {
			continue
		}
		if at.Scale == unit.Relative {
			l.X.Unit = "dB"
		}
		d := Dot{X: at.DB, Y: r.Value, Low: r.Value, High: r.Value}
		if r.HasInterval() {
			d.Low, d.High = r.Low, r.High
		}
		l.Points = append(l.Points, d)
	}
	slices.SortStableFunc(l.Points, func(a, b Dot) int { return cmp.Compare(a.X, b.X) })
	return l
}
