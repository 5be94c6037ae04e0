package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Placed is a recording that was put in its place in a round.
type Placed struct {
	File  string
	Test  int      // index among the tests of the round
	Take  job.Take // its place and file
	Entry int      // which of the test's takes it is; their number if it comes behind them
	Whole bool     // it is the test's one file, with all takes
	Key   string   // a setting of the test that names the file; empty: none
}

// Asked is what a person said about where recordings belong.
type Asked struct {
	Test   string   // kind, or kind:name; empty: the names of the files tell
	Places []string // in the order of the files; empty: the names tell, or the plan

	From, To      float64 // the part of the one file that is used, seconds; To 0: all of it
	MeasuredVolts float64 // read while it was recorded; 0: not read
}

// Place finds the places of recordings in a round, in the order of the files:
// the test by what is asked or by words in the file's name; the place in it by
// what is asked, by the name, or else by the order in which the test has it
// planned. A level that is not planned takes the place of the nearest planned one.
func Place(r *job.Round, files []string, asked Asked) ([]Placed, error) {
	groups := make([][]string, len(r.Tests))
	for _, f := range files {
		i, err := testFor(r, f, asked)
		if err != nil {
			return nil, err
		}
		groups[i] = append(groups[i], f)
	}
	if len(asked.Places) > 0 && len(asked.Places) != len(files) {
		return nil, fmt.Errorf("%d places for %d files: give one for each file, in their order", len(asked.Places), len(files))
	}
	if len(asked.Places) > 0 && !slices.ContainsFunc(groups, func(g []string) bool { return len(g) == len(files) }) {
		return nil, fmt.Errorf("the files belong to several tests, and a list of places is for one: add them test by test")
	}
	var out []Placed
	for i, g := range groups {
		if len(g) == 0 {
			continue
		}
		p := placer{test: r.Tests[i], index: i, level: r.Conditions.LevelKind}
		p.kind, _ = job.KindOf(p.test.Kind)
		p.takes = slices.Clone(p.test.AllTakes())
		placed, err := p.place(g, asked.Places)
		if err != nil {
			return nil, err
		}
		for i := range placed {
			placed[i].Take.From, placed[i].Take.To, placed[i].Take.MeasuredVolts = asked.From, asked.To, asked.MeasuredVolts
		}
		out = append(out, placed...)
	}
	return out, nil
}

// FindTest is the index of a test by kind or kind:name, -1 if the round has none.
func FindTest(r *job.Round, which string) int {
	kind, name, named := strings.Cut(which, ":")
	k, _ := job.KindCalled(kind)
	return slices.IndexFunc(r.Tests, func(t job.Test) bool {
		return t.Kind == k.Name && (!named || strings.EqualFold(t.Name, name))
	})
}

func testFor(r *job.Round, file string, asked Asked) (int, error) {
	if asked.Test != "" {
		if i := FindTest(r, asked.Test); i >= 0 {
			return i, nil
		}
		return 0, fmt.Errorf("the round has no test of %s", asked.Test)
	}
	i, err := guess(r, file)
	if err != nil || i >= 0 {
		return i, err
	}
	_, level, _ := unit.LevelFromFileName(file, r.Conditions.LevelKind)
	if i := FindTest(r, job.KindSensitivity); i >= 0 && (level || len(asked.Places) > 0) {
		return i, nil
	}
	return 0, fmt.Errorf("%s: its name does not tell where it belongs: give --test, as --test hum_and_noise, or a name such as 0.25uV.wav or hum.wav", file)
}

// placer puts recordings in the places of one test.
type placer struct {
	kind  job.Kind
	test  job.Test
	index int
	level unit.LevelKind
	takes []job.Take // with those that are taken by now
}

func (p *placer) place(files []string, places []string) ([]Placed, error) {
	var out []Placed
	var rest []string
	for _, f := range files {
		if slices.Contains(p.kind.Settings, job.SettingReferenceFile) && len(places) == 0 && isReference(f) {
			if old := p.test.Stanza.Setting(job.SettingReferenceFile); old != "" {
				return nil, fmt.Errorf("%s: %s has the reference %s already", f, p.test.Label(), old)
			}
			out = append(out, Placed{File: f, Test: p.index, Key: job.SettingReferenceFile})
			continue
		}
		rest = append(rest, f)
	}
	if len(rest) == 0 {
		return out, nil
	}
	if p.test.OneFile() && !p.test.Planned() {
		return nil, fmt.Errorf("%s: %s has one file with all its %s already: %s", rest[0], p.test.Label(), p.kind.AxisKey(), p.takes[0].File)
	}
	texts, err := p.texts(rest, places)
	if err != nil {
		return nil, err
	}
	if texts == nil {
		one, err := p.whole(rest)
		return append(out, one), err
	}
	for i, f := range rest {
		one, err := p.entry(f, texts[i])
		if err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}

// texts are the places of files as typed; nil if they are no recordings of
// single places but the test's one file.
func (p *placer) texts(files, places []string) ([]string, error) {
	if len(places) > 0 {
		if p.kind.AxisKey() == "" {
			return nil, fmt.Errorf("a test of %s has one file and no places", p.kind.Title)
		}
		return places, nil
	}
	var texts []string
	for _, f := range files {
		text, err := placeInName(p.kind, f, p.level)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", f, err)
		}
		if text != "" {
			texts = append(texts, text)
		}
	}
	open := p.test.Missing()
	switch {
	case p.kind.AxisKey() == "":
		return nil, nil
	case len(texts) == len(files):
		return texts, nil
	case len(texts) > 0:
		return nil, fmt.Errorf("only some of the files carry their %s in the name: rename them all alike, or give --places in their order", p.axis())
	case len(files) == 1 && (p.test.OneFile() || p.kind.Single && len(p.takes) == 0):
		return nil, nil
	case len(files) == len(open):
		for _, t := range open {
			texts = append(texts, p.kind.Place(t))
		}
		return texts, nil
	}
	return nil, fmt.Errorf("%s: nothing tells its %s in %s: name it so, or give --places in the order of the files", files[0], p.axis(), p.test.Label())
}

// axis is what tells the recordings of the test apart.
func (p *placer) axis() string {
	if p.kind.Axis == "" {
		return job.KeyPart
	}
	return p.kind.Axis
}

// whole makes a file the test's one file.
func (p *placer) whole(files []string) (Placed, error) {
	if len(files) > 1 {
		return Placed{}, fmt.Errorf("%s: %s has one file, and %d are named", files[1], p.test.Label(), len(files))
	}
	for _, t := range p.takes {
		if t.File != "" {
			return Placed{}, fmt.Errorf("%s: %s has %s already", files[0], p.test.Label(), t.File)
		}
	}
	return Placed{File: files[0], Test: p.index, Take: job.Take{File: files[0]}, Whole: true}, nil
}

// entry finds the entry of a recording whose place is typed.
func (p *placer) entry(file, text string) (Placed, error) {
	take, err := p.parse(text)
	if err != nil {
		return Placed{}, fmt.Errorf("%s: %w", file, err)
	}
	if p.test.Stanza.Criterion.Quantity == job.QuantitySNN {
		if take.State = stateInName(file); take.State != job.StateCarrier {
			take.State = job.StateModulated
		}
	}
	take.File = file
	i := slices.IndexFunc(p.takes, func(t job.Take) bool { return t.File == "" && p.same(t, take) })
	switch {
	case i < 0:
		i = p.nearest(take)
	case p.kind.Axis != "":
		take.AtTyped = p.takes[i].AtTyped // as planned
		if p.kind.Axis == job.AxisLevel && unit.NeedsKind(take.Typed) == unit.NeedsKind(p.takes[i].Typed) {
			take.Typed = p.takes[i].Typed // a level stays as dialled where the plan says more of it
		}
	}
	if i < 0 {
		i = len(p.takes)
		p.takes = append(p.takes, take)
	}
	p.takes[i] = take
	return Placed{File: file, Test: p.index, Take: take, Entry: i}, nil
}

func (p *placer) parse(text string) (job.Take, error) {
	switch p.kind.Axis {
	case "":
		return job.ParsePart(text, p.level)
	case job.AxisLevel:
		l, err := unit.ParseLevel(text, p.level)
		return job.Take{Level: l, Typed: unit.WithKind(strings.TrimSpace(text), p.level)}, err
	}
	at, err := job.ParseAt(p.kind.Axis, text)
	return job.Take{At: at, AtTyped: strings.TrimSpace(text)}, err
}

// sameLevel is by how many dB levels may differ and still be one: what
// rounding on a generator's dial does.
const sameLevel = 0.05

func (p *placer) same(a, b job.Take) bool {
	level := a.Level.Scale == b.Level.Scale && math.Abs(a.Level.DB-b.Level.DB) < sameLevel
	switch {
	case p.kind.Axis == job.AxisLevel:
		return level && (a.State == b.State || a.State == "")
	case p.kind.Axis == job.AxisVolume:
		return strings.EqualFold(a.AtTyped, b.AtTyped)
	case p.kind.Axis != "":
		return math.Abs(a.At-b.At) < 1e-6*math.Max(1, math.Abs(a.At))
	}
	return a.State == b.State && (level || a.Typed == "" || b.Typed == "")
}

// nearest is the planned level that another level stands in for, -1 for none:
// which levels lie near the point shows only at the bench.
func (p *placer) nearest(t job.Take) int {
	best := -1
	if p.kind.Axis != job.AxisLevel || t.Level.Scale != unit.Absolute {
		return best
	}
	for i, k := range p.takes {
		if k.File != "" || k.Level.Scale != unit.Absolute || k.State != "" && k.State != t.State {
			continue
		}
		if best < 0 || math.Abs(k.Level.DB-t.Level.DB) < math.Abs(p.takes[best].Level.DB-t.Level.DB) {
			best = i
		}
	}
	return best
}

// PlaceText is the place of a recording for people: volts in it say whether they
// are PD or EMF, or that nobody said.
func PlaceText(kind job.Kind, t job.Take, level unit.LevelKind) string {
	if t.Typed == "" {
		return kind.Place(t)
	}
	return strings.TrimSpace(unit.Spoken(t.Typed, level) + " " + t.State)
}
