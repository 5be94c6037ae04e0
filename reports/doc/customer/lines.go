package customer

import (
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/doc/say"
)

// line is a figure, meter reading or check with what each round found of it.
type line struct {
	kind, name, what string // of a test; or of what was read or checked
	figure           string // its name in the record; empty: none
	label            string
	limit, source    string
	change           string // in words, where it is one
	unlike           bool   // the rounds did not measure it alike
	check            bool
	told             bool // a complaint shows it
	sides            []side
}

// side is what a round says of a line.
type side struct {
	figure  string // empty: not measured
	verdict string
	outcome string
	why     string // it was left out, as typed
}

func (l line) shownBy(c job.Complaint) bool { return c.Shows(l.kind, l.name, l.what) }

// lines are those of all rounds: sensitivity first, then the others in the order of the
// newest round, what was read and what was checked. Tests of the bench are not among them.
func (p *page) lines() []line {
	var all []line
	find := func(l line) *line {
		for i := range all {
			if o := &all[i]; o.kind == l.kind && o.name == l.name && o.figure == l.figure && strings.EqualFold(o.what, l.what) {
				return o
			}
		}
		l.sides = make([]side, len(p.r.Rounds))
		all = append(all, l)
		return &all[len(all)-1]
	}
	for i := len(p.r.Rounds) - 1; i >= 0; i-- {
		round := p.r.Rounds[i]
		for _, t := range round.Tests {
			if k, _ := job.KindOf(t.Kind); k.OfBench && len(t.Judged) == 0 {
				continue
			}
			for _, figure := range p.figuresOf(t) {
				if p.forTheAnnex(t, figure) {
					continue
				}
				l := find(line{kind: t.Kind, name: t.Name, figure: figure, label: p.label(t, figure)})
				p.fill(l, i, t, figure)
			}
		}
		for _, m := range round.ByEye {
			l := find(line{what: m.What, label: p.clip(m.What)})
			l.sides[i].figure = p.number(p.clip(unit.MicroSignInText(m.Value)))
			if m.Verdict != nil {
				p.judge(l, i, *m.Verdict, true)
			}
		}
		for _, c := range round.Checks {
			l := find(line{what: c.What, label: p.clip(c.What), check: true})
			if c.Open {
				continue
			}
			l.sides[i] = side{figure: p.say(map[bool]string{true: "yes", false: "no"}[c.Yes]), outcome: limit.Pass, verdict: p.say("PASS")}
			if !c.Yes {
				l.sides[i].outcome, l.sides[i].verdict = limit.Fail, p.say("FAIL")
			}
		}
	}
	for i, round := range p.r.Rounds {
		for _, n := range round.NotMeasured {
			l := p.leftOut(all, n.What)
			if l == nil {
				l = find(line{what: n.What, label: p.clip(n.What)})
			}
			if l.sides[i].figure == "" {
				l.sides[i].why = n.Why
			}
		}
	}
	slices.SortStableFunc(all, func(a, b line) int { return rank(a) - rank(b) })
	for i := range all {
		p.compare(&all[i])
	}
	return all
}

// forTheAnnex tells of a figure that says nothing to a customer: a level of the recording,
// which nobody limited or complained of.
func (p *page) forTheAnnex(t reports.Test, figure string) bool {
	f := t.Result.Get(figure)
	if figure == "" && len(t.Result.Figures) > 0 {
		f = t.Result.Figures[0]
	}
	shown := slices.ContainsFunc(p.j.Reported(), func(c job.Complaint) bool { return c.Shows(t.Kind, t.Name, "") })
	return f.Unit == "dBFS" && len(t.Judged) == 0 && !shown
}

func rank(l line) int {
	switch {
	case l.kind == job.KindSensitivity:
		return 0
	case l.kind != "":
		return 1
	}
	return 2
}

// leftOut is the line that an entry of what was not measured means, nil if there is none.
func (p *page) leftOut(all []line, what string) *line {
	for i, l := range all {
		if (job.Complaint{Tests: []string{what}}).Shows(l.kind, l.name, l.what) || l.kind != "" && strings.EqualFold(what, say.Kind(l.kind)) {
			return &all[i]
		}
	}
	return nil
}

// figuresOf are the figures of a test that a customer sees: those that are judged, in this
// round or in another, or the first.
func (p *page) figuresOf(t reports.Test) []string {
	names := judged(t)
	for _, round := range p.r.Rounds {
		for _, o := range round.Tests {
			if o.Kind == t.Kind && o.Name == t.Name && len(names) == 0 {
				names = judged(o)
			}
		}
	}
	if k, _ := job.KindOf(t.Kind); len(names) == 0 && len(k.Limits) > 0 && t.Result.Response == nil {
		names = append(names, k.Limits[0]) // as a round that has a limit names it
	}
	if len(names) == 0 {
		names = append(names, "")
	}
	return names
}

func judged(t reports.Test) (names []string) {
	for _, j := range t.Judged {
		if name := j.Verdict.Limit.Quantity; !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return names
}

// label is a figure in the customer's words.
func (p *page) label(t reports.Test, figure string) string {
	if p.bench {
		return say.Joined(", ", p.benchLabel(t, figure), p.clip(t.Name))
	}
	label := p.say("k." + t.Kind)
	k, _ := job.KindOf(t.Kind)
	if m, has := messages["f."+figure]; has && (len(k.Limits) == 0 || k.Limits[0] != figure || strings.Contains(m[0], "%s")) {
		if strings.Contains(m[0], "%s") {
			label = p.say("f."+figure, label)
		} else {
			label = m[p.at]
		}
	}
	return say.Joined(", ", label, p.clip(t.Name))
}

// benchLabel is a figure in the technician's words.
func (p *page) benchLabel(t reports.Test, figure string) string {
	switch {
	case t.Result.Point != nil:
		return say.Kind(t.Kind) + ", " + t.Result.Setup.Criterion.Label()
	case t.Result.Response != nil && figure == "":
		return say.Kind(t.Kind)
	case figure == "" && len(t.Result.Figures) > 0:
		figure = t.Result.Figures[0].Name
	case figure == "":
		return say.Kind(t.Kind)
	}
	return strings.TrimSuffix(say.FigureOf(t.Kind, figure), ", below the audio")
}

// fill puts what a round found of a figure into its line.
func (p *page) fill(l *line, at int, t reports.Test, figure string) {
	s := &l.sides[at]
	var bound *limit.Verdict
	for i, j := range t.Judged {
		if j.Verdict.Limit.Quantity == figure && (bound == nil || j.Verdict.Outcome == limit.Fail) {
			bound = &t.Judged[i].Verdict
			s.figure = p.reading(t, j.Figure, bound)
		}
	}
	switch {
	case bound != nil:
		p.judge(l, at, *bound, s.figure != "" && (t.Result.Point == nil || t.Result.Point.Status == analyze.Found))
	case t.Result.Why != "" || len(t.Result.Figures) == 0:
	case figure != "":
		s.figure = p.reading(t, t.Result.Get(figure), nil)
	default:
		s.figure = p.reading(t, t.Result.Figures[0], nil)
	}
}

// reading is a figure with two digits, or as many as its side of the limit takes; in words
// where words say it better. Empty: there is none.
func (p *page) reading(t reports.Test, f analyze.Reading, v *limit.Verdict) string {
	if t.Result.Why != "" {
		return ""
	}
	if pt := t.Result.Point; pt != nil {
		level := p.number(say.Level(pt.Level, t.Result.Setup.LevelKind))
		switch pt.Status {
		case analyze.Found:
			return p.level(pt.Level, t.Result.Setup.LevelKind, v)
		case analyze.BelowRange:
			return p.say("below", level)
		case analyze.AboveRange:
			return p.say("above", level)
		}
		return ""
	}
	if r := t.Result.Response; r != nil && v == nil {
		if _, has := messages[r.Lean]; has {
			return p.say(r.Lean)
		}
	}
	switch {
	case f.Unreached:
		return p.say("not reached", p.figure(f.Low, f.Unit, nil))
	case !f.OK():
		return ""
	case f.Unit == "dBm":
		return p.level(unit.DBm(f.Value), t.Result.Setup.LevelKind, v)
	case f.HasInterval() && f.Low < 0 && f.High > 0 && v == nil: // nobody can tell it from none
		return p.number(say.Reading(f).Value) + " " + f.Unit
	}
	return p.figure(f.Value, f.Unit, v)
}

// figure is a value with its unit as a customer reads it: seconds and kilohertz. It never
// stands on the other side of its limit than the value does.
func (p *page) figure(value float64, u string, v *limit.Verdict) string {
	scale, name := 1.0, u
	switch {
	case u == "ms":
		scale, name = 1e-3, "s"
	case u == "Hz" && math.Abs(value) >= 1000:
		scale, name = 1e-3, "kHz"
	case u == "dB/octave":
		name = "dB"
	}
	digits := 2
	if v != nil && v.Limit.Unit == u {
		digits = digitsFor(value*scale, v.Limit.Value*scale)
	}
	return strings.TrimSpace(p.number(say.Significant(value*scale, digits)) + " " + name)
}

// level is a point as a customer reads it, in volts with two digits or more.
func (p *page) level(l unit.Level, kind unit.LevelKind, v *limit.Verdict) string {
	if l.Scale != unit.Absolute {
		return p.number(say.Level(l, kind))
	}
	volts, digits := say.Microvolt(l.DB, kind), 2
	if v != nil && v.Limit.Unit == "dBm" {
		digits = digitsFor(volts, say.Microvolt(v.Limit.Value, kind))
	}
	return p.number(say.Significant(volts, digits)) + " \u00b5V " + say.LevelKind(kind)
}

// digitsFor is how many digits a value takes, two at least, so that it stands on the same
// side of its limit as it does unrounded.
func digitsFor(value, bound float64) int {
	if value == bound || math.Abs(value-bound) < 1e-3*math.Abs(bound) {
		return 3 // nobody can tell them apart
	}
	for digits := 2; digits < 6; digits++ {
		shown := say.Rounded(value, digits)
		if (shown > bound) == (value > bound) && (shown < bound) == (value < bound) {
			return digits
		}
	}
	return 6
}

// judge puts a verdict into a line.
func (p *page) judge(l *line, at int, v limit.Verdict, known bool) {
	s := &l.sides[at]
	s.outcome = v.Outcome
	switch {
	case v.Outcome == limit.Pass:
		s.verdict = p.say("PASS") + p.unsure(v.Limit)
	case v.Outcome == limit.Fail:
		s.verdict = p.say("FAIL")
	case v.Outcome == limit.Undecided && known:
		s.verdict = p.say("CLOSE")
	case v.Outcome == limit.Undecided && s.figure == "":
		s.verdict = p.say("NOT MEASURED")
	default:
		s.verdict = p.say("NOT JUDGED")
	}
	bound := map[string]string{job.AtMost: "at most", job.AtLeast: "at least", job.Within: "within"}[v.Limit.Bound]
	text := p.number(say.LimitFigure(v.Limit))
	if l.what != "" { // a meter reading's limit is a text with its source
		typed, _, _ := job.SplitBound(v.Limit.Typed)
		text = p.number(unit.MicroSignInText(typed))
	}
	if v.Limit.Unit == "ms" {
		text = p.number(say.Significant(v.Limit.Value/1000, 3)) + " s"
	}
	if bound == "" { // a nominal value with its tolerance says both sides itself
		bound = "within"
	}
	if l.what != "" && v.Limit.Typed != "" && strings.Contains(v.Limit.Typed, "within") {
		l.limit = p.number(unit.MicroSignInText(v.Limit.Typed))
	} else {
		l.limit = p.say(bound, strings.TrimSpace(strings.TrimPrefix(strings.TrimPrefix(text, "at most"), "at least")))
	}
	l.source = p.clip(v.Limit.Source)
}

// unsure is what is to be known of a limit beside its pass.
func (p *page) unsure(l job.Limit) string {
	switch {
	case l.Standing == job.Memory:
		return " (" + p.say("unchecked") + ")"
	case l.Standing == job.CommonPractice || l.Source == "":
		return " (" + p.say("unsourced") + ")"
	}
	return ""
}

// compare says of a line of both rounds what changed, or that they were not measured alike.
func (p *page) compare(l *line) {
	if l.kind == "" || len(l.sides) < 2 || l.sides[0].figure == "" || l.sides[1].figure == "" {
		return
	}
	if why := p.r.Unlike(l.kind, l.name); why != "" {
		l.unlike, l.change = true, p.say("unlike")
		return
	}
	if l.kind != job.KindSensitivity {
		return
	}
	c := p.r.Change(l.kind, l.name, job.QuantitySensitivity)
	if c == nil || !c.Figure.OK() {
		return
	}
	times := math.Pow(10, math.Abs(c.Figure.Value)/10)
	ratio := say.Significant(times, 2)
	if times >= 4 {
		ratio = say.Fixed(times, 0)
	}
	switch {
	case !c.Significant:
		l.change = p.say("no change")
	case c.Figure.Value > 0:
		l.change = p.say("less power", p.number(ratio))
	default:
		l.change = p.say("more power", p.number(ratio))
	}
}
