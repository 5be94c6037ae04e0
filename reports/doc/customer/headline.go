package customer

import (
	"strings"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// tally counts the facts of the round that decides.
type tally struct {
	held                 []limit.Fact // limits with a verdict of this round
	passed, checked      int
	failed, close, open  []limit.Fact
	again                []limit.Fact
	unchecked, unsourced int
}

func tallyOf(facts []limit.Fact) tally {
	var t tally
	for _, f := range facts {
		if f.Outcome != "" && !f.Check && !f.Again && !f.Missing {
			t.held = append(t.held, f)
		}
		switch {
		case f.Again:
			t.again = append(t.again, f)
		case f.Missing:
			t.open = append(t.open, f)
		case f.Outcome == limit.Fail:
			t.failed = append(t.failed, f)
		case f.Outcome == limit.Pass && f.Check:
			t.checked++
		case f.Outcome == limit.Pass:
			t.passed++
			switch {
			case f.Limit.Standing == job.Memory:
				t.unchecked++
			case f.Limit.Standing == job.CommonPractice || f.Limit.Source == "":
				t.unsourced++
			}
		case f.Outcome != "" && f.Close:
			t.close = append(t.close, f)
		case f.Outcome != "":
			t.open = append(t.open, f)
		}
	}
	return t
}

// headline is the verdict of the round that decides, in plain words: what it met, what it
// failed, what it did not measure, and what became of the set.
func (p *page) headline() doc.Answer {
	round := p.r.Newest()
	if round == nil {
		return doc.Answer{Lead: true, Parts: []string{p.say("nothing")}}
	}
	t := tallyOf(round.Overall.Facts)
	a := doc.Answer{Lead: true}
	word := ""
	word, a.Outcome, a.Parts = p.verdict(*round, t)
	word, more := p.became(word, round.Overall.Outcome)
	if word == p.say("NO FAULT") { // it names no limits that it need not
		a.Parts = append(a.Parts, more...)
	} else {
		a.Parts = append(more, a.Parts...)
	}
	if worse := p.worse(); worse != "" {
		a.Parts = append(a.Parts, p.say("worse", worse))
		a.Outcome = map[doc.Outcome]doc.Outcome{doc.Good: doc.Unclear}[a.Outcome]
		if round.Overall.Outcome == limit.Fail {
			a.Outcome = doc.Bad
		}
	}
	if p.j.Reason != "" {
		a.Parts = append(a.Parts, p.say("reason", p.clip(p.j.Reason)))
	}
	if p.j.Simulated != "" {
		word = say.Joined(" \u00b7 ", p.say("simulated"), word)
	}
	a.Verdict, a.Reason = word, p.notMeasured(*round, t)
	return a
}

// verdict is the word, its colour, and what the limits say.
func (p *page) verdict(round reports.Round, t tally) (word string, tone doc.Outcome, parts []string) {
	switch round.Overall.Outcome {
	case limit.Pass:
		word, tone = p.say("PASS"), doc.Good
		if t.unchecked > 0 {
			word += ", " + p.say("n unchecked", t.unchecked)
		}
		if t.unsourced > 0 {
			word += ", " + p.say("n unsourced", t.unsourced)
		}
		parts = append(parts, p.met(t))
	case limit.Fail:
		word, tone = p.say("FAIL"), doc.Bad
		parts = append(parts, p.say("fails", p.named(t.failed)))
		if t.passed > 0 {
			parts = append(parts, p.say("meets rest", t.passed))
		}
	case limit.Undecided:
		word, tone = p.say("NOT FINISHED"), doc.Unclear
		if len(t.open)+len(t.again) == 0 {
			word = p.say("CLOSE")
		}
		for _, f := range t.close {
			if l := p.lineOf(f); l != nil {
				parts = append(parts, p.say("close one", l.label, l.sides[len(l.sides)-1].figure, l.limit))
			}
		}
		if t.passed > 0 {
			parts = append(parts, p.say("meets rest", t.passed))
		}
		if len(t.open) > 0 {
			parts = append(parts, p.say("no verdict", p.named(t.open)))
		}
		for _, f := range t.again {
			parts = append(parts, p.say("again", p.nameOf(f)))
		}
	default:
		word = p.say("MEASURED")
		if len(round.Tests)+len(round.ByEye) == 0 {
			word = p.say("NOT MEASURED")
		}
		key := "no limits"
		for _, l := range p.rows {
			if l.limit != "" {
				key = "none judged"
			}
		}
		parts = append(parts, p.say(key))
	}
	if n := p.failedBefore(t); n > 0 {
		parts = append(parts, p.say("found failed", n))
	}
	return word, tone, parts
}

// met says which limits a pass holds: each of them has a figure of this round inside it.
func (p *page) met(t tally) string {
	text := ""
	switch n := len(t.held); {
	case n == 1:
		text = p.say("meets one", p.withLimits(t.held))
	case n == 2:
		text = p.say("meets two", p.withLimits(t.held))
	case n > 2:
		text = p.say("meets all", n)
	}
	if t.checked > 0 {
		text = say.Joined(" ", text, p.say("checks good", t.checked))
	}
	return text
}

// failedBefore is how many of the limits that this round meets failed in the one before.
func (p *page) failedBefore(t tally) (n int) {
	if !p.hasTwo() {
		return 0
	}
	for _, f := range t.held {
		for _, old := range p.r.Rounds[0].Overall.Facts {
			if old.Key == f.Key && old.Outcome == limit.Fail && f.Outcome == limit.Pass {
				n++
			}
		}
	}
	return n
}

// lineOf is the line that a fact is of, nil if the page has none.
func (p *page) lineOf(f limit.Fact) *line {
	parts := strings.Split(f.Key, "|")
	for i, l := range p.rows {
		switch {
		case len(parts) == 2 && l.kind == "" && strings.EqualFold(l.what, f.What):
			return &p.rows[i]
		case len(parts) >= 3 && strings.EqualFold(l.kind, parts[0]) && strings.EqualFold(strings.TrimSpace(l.name), parts[1]) &&
			(l.figure == parts[2] || parts[2] == ""):
			return &p.rows[i]
		}
	}
	return nil
}

func (p *page) nameOf(f limit.Fact) string {
	if l := p.lineOf(f); l != nil {
		return l.label
	}
	return p.clip(f.What)
}

func (p *page) named(facts []limit.Fact) string {
	var names []string
	for _, f := range facts {
		names = append(names, p.nameOf(f))
	}
	return p.some(names, ", ")
}

func (p *page) withLimits(facts []limit.Fact) string {
	var names []string
	for _, f := range facts {
		name := p.nameOf(f)
		if l := p.lineOf(f); l != nil && l.limit != "" {
			name += " " + l.limit
		}
		names = append(names, name)
	}
	return p.some(names, "; ")
}

// some are as many names as a headline has room for.
func (p *page) some(names []string, sep string) string {
	const most = 6
	if len(names) > most {
		names = append(names[:most:most], p.say("more", len(names)-most))
	}
	return strings.Join(names, sep)
}

// became is the word for what became of the set, and what it means; a word of the verdict
// stays where the outcome says nothing else, or contradicts it.
func (p *page) became(word, outcome string) (string, []string) {
	switch p.j.Outcome {
	case job.NoFaultFound:
		if outcome == limit.Pass || outcome == "" {
			var all []string
			for _, c := range p.j.Reported() {
				all = append(all, p.clip(c.Reported))
			}
			return p.say("NO FAULT"), []string{p.say("no fault", strings.TrimSuffix(p.some(all, "; "), "."))}
		}
	case job.NotRepairable:
		return p.say("NOT REPAIRED"), []string{p.say("not repaired")}
	case job.Estimate:
		return p.say("ESTIMATE"), []string{p.say("estimate")}
	case job.Returned:
		return p.say("RETURNED"), []string{p.say("returned")}
	case job.Worse:
		return p.say("WORSE") + ", " + word, nil
	}
	return word, nil
}

// worse names what became worse between the rounds; empty: nothing did.
func (p *page) worse() string {
	var names []string
	for _, c := range p.r.Worse() {
		l := p.lineOf(limit.Fact{Key: strings.Join([]string{c.Kind, strings.ToLower(c.Test), c.Figure.Name}, "|")})
		if l == nil {
			names = append(names, p.say("k."+c.Kind))
			continue
		}
		names = append(names, l.label+", "+l.sides[0].figure+" \u2192 "+l.sides[1].figure)
	}
	return p.some(names, "; ")
}

// notMeasured says next to the verdict what was left out of the round, and why.
func (p *page) notMeasured(round reports.Round, t tally) string {
	var all []string
	for _, n := range round.NotMeasured {
		name := p.clip(n.What)
		if l := p.leftOut(p.rows, n.What); l != nil {
			name = l.label
		}
		if n.Why != "" {
			name += " (" + p.clip(n.Why) + ")"
		}
		all = append(all, name)
	}
	if all == nil {
		return ""
	}
	return p.say("left out", p.some(all, ", "))
}
