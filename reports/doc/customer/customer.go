// Package customer is the report that goes with a set: at most two pages, in the words and
// the language of whoever pays. Each complaint has a line, each verdict is that of a round,
// and nothing is claimed that the round did not measure. It does not know the technical
// annex, nor how documents are drawn.
package customer

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// What a page has room for, so that no job takes more than two.
const (
	mostComplaints = 8
	mostLines      = 24
	mostText       = 160 // characters of a text that somebody typed
	manyTexts      = 12  // complaints, readings, checks and what was left out, beyond which texts are cut to a third
)

// page is the customer's report while it is written.
type page struct {
	r    reports.Job
	j    *job.Job
	at   int // place of the language in the table of messages
	most int // characters of a text that somebody typed
	rows []line

	bench bool // for the technician's screen: figures under the names that the annex has
}

// Of is the customer's report in a language, one of job.Languages. issue is the revision
// under which it goes out.
func Of(r reports.Job, j *job.Job, issue reports.Issue, language string) doc.Document {
	p := &page{r: r, j: j, at: max(0, slices.Index(languages, language)), most: mostText}
	texts := len(j.Reported())
	for _, round := range r.Rounds {
		texts += len(round.ByEye) + len(round.Checks) + len(round.NotMeasured)
	}
	if texts > manyTexts {
		p.most = mostText / 3
	}
	p.rows = p.lines()
	d := doc.Document{
		Title: p.say("title", j.ID), About: j.Set.Description, From: j.Shop.Heading, Running: j.ID, Language: languages[p.at],
		Issued: issue.Date, Made: strings.TrimSpace(reports.Tool + " " + r.Version), Page: p.say("page"), IssuedWord: strings.ToLower(p.say("issued")),
	}
	d.Mark = say.Joined(" ", map[bool]string{true: p.say("draft")}[issue.Draft], j.Simulated)
	if issue.Revision > 0 {
		d.Running += ", " + p.say("revision", issue.Revision)
	}
	d.Add(p.facts(issue), p.headline())
	d.Add(p.complaints()...)
	if t := p.table(); len(t.Rows) > 0 {
		d.Add(t)
	}
	d.Add(p.below()...)
	d.Add(doc.Sign{Lines: []string{say.Joined(": ", p.say("technician"), p.clip(j.Technician, j.Shop.Technician)),
		say.Joined(": ", p.say("authorised"), p.clip(j.Authorised, j.Shop.Authorised)), p.say("sign")}})
	return d
}

// say is a message of the page's language with what belongs into it. A message without
// anything to put in comes as it is.
func (p *page) say(key string, what ...any) string {
	m, known := messages[key]
	if !known {
		return key
	}
	if len(what) == 0 {
		return m[p.at]
	}
	return fmt.Sprintf(m[p.at], what...)
}

var pointBetween = regexp.MustCompile(`([0-9])\.([0-9])`)

// number is a figure in the form of the language.
func (p *page) number(text string) string {
	if p.at == 0 {
		return text
	}
	return pointBetween.ReplaceAllString(text, "$1,$2")
}

// clip is the first text that says something, no longer than the page has room for.
func (p *page) clip(texts ...string) string {
	for _, t := range texts {
		t = strings.Join(strings.Fields(say.Clean(t)), " ")
		if runes := []rune(t); len(runes) > p.most {
			t = string(runes[:p.most-1]) + "\u2026"
		}
		if t != "" {
			return t
		}
	}
	return ""
}

func (p *page) facts(issue reports.Issue) doc.Table {
	set := p.j.Set
	t := doc.Table{Columns: []doc.Column{{}, {}}, Tight: true}
	add := func(key, text string) {
		if text != "" {
			t.Rows = append(t.Rows, []string{p.say(key), text})
		}
	}
	number := ""
	if set.Serial != "" {
		number = p.say("serial") + " " + p.clip(set.Serial)
	}
	add("radio", say.Joined(", ", p.clip(set.Description), p.clip(set.Maker), p.clip(set.Model), number))
	add("customer", say.Joined(", ", p.clip(p.j.Customer), p.clip(p.j.Contact)))
	add("received", p.clip(p.j.Received))
	var days []string
	for _, round := range p.j.Rounds() {
		if round.Tested != "" && !slices.Contains(days, round.Tested) {
			days = append(days, p.clip(round.Tested))
		}
	}
	add("tested", strings.Join(days, ", "))
	issued := p.clip(issue.Date)
	if issue.Revision > 0 {
		issued = say.Joined(", ", issued, p.say("revision", issue.Revision))
	}
	if issue.Replaces > 0 {
		issued += "; " + p.say("replaces", issue.Replaces, issue.ReplacesDate, p.clip(issue.Why))
	}
	add("issued", issued)
	return t
}

// complaints are one line each: reported, found, done, now.
func (p *page) complaints() []doc.Block {
	all := p.j.Reported()
	if len(all) == 0 {
		return nil
	}
	t := doc.Table{Columns: []doc.Column{{Head: p.say("you reported")}, {Head: p.say("we found")}, {Head: p.say("we did")}, {Head: p.say("now")}}, Tight: true}
	for i, c := range all {
		if i == mostComplaints {
			t.Rows = append(t.Rows, []string{p.say("more", len(all)-i)})
			break
		}
		var found, now []string
		for k := range p.rows {
			if r := &p.rows[k]; r.shownBy(c) {
				r.told = true
				found, now = append(found, p.cell(*r, 0)), append(now, p.cell(*r, 1))
			}
		}
		work := p.clip(c.Work)
		if work == "" && len(all) == 1 {
			work = p.clip(strings.Join(p.j.Work, "; "))
		}
		if len(found) == 0 {
			found, now = []string{p.say("see below")}, []string{p.say("see below")}
		}
		switch {
		case p.hasTwo():
		case p.r.Newest() != nil && p.r.Newest().Name == reports.AsLeft:
			found, now = []string{strings.ToLower(p.say("NOT MEASURED"))}, found
		default:
			now = []string{p.say("not again")}
		}
		t.Rows = append(t.Rows, []string{p.clip(c.Reported), strings.Join(compact(found), " "), work, strings.Join(compact(now), " ")})
	}
	return []doc.Block{t}
}

func compact(texts []string) []string {
	return slices.DeleteFunc(texts, func(s string) bool { return s == "" })
}

func (p *page) hasTwo() bool { return len(p.r.Rounds) > 1 }

// cell is what a round found of a line, in a sentence: label, figure, limit, verdict.
func (p *page) cell(r line, round int) string {
	if round >= len(p.r.Rounds) {
		return ""
	}
	s := r.sides[round]
	text := r.label + p.say("colon") + s.figure
	if s.figure == "" {
		text = r.label + p.say("colon") + strings.ToLower(p.say("NOT MEASURED"))
		if s.why != "" {
			text += " (" + p.clip(s.why) + ")"
		}
	}
	if r.limit != "" && s.verdict != "" {
		text += " (" + p.say("limit") + " " + r.limit + ")"
	}
	if round == 1 {
		text = say.Joined("; ", text, r.change)
	}
	text += "."
	return say.Joined(" ", text, s.verdict)
}

// table is everything that no complaint shows, with a verdict for each round.
func (p *page) table() doc.Table {
	heads := []string{"also tested", "came in", "before"}
	if p.hasTwo() {
		heads = []string{"also tested", "came in", "before", "leaves", "after"}
	} else if p.r.Newest() != nil && p.r.Newest().Name == reports.AsLeft {
		heads = []string{"also tested", "leaves", "after"}
	}
	t := doc.Table{Tight: true}
	for _, h := range append(heads, "limit") {
		t.Columns = append(t.Columns, doc.Column{Head: p.say(h)})
	}
	left := 0
	for _, r := range p.rows {
		switch {
		case r.told:
			continue
		case len(t.Rows) == mostLines:
			left++
			continue
		}
		cells := []string{r.label}
		for i := range p.r.Rounds {
			s := r.sides[i]
			verdict := s.verdict
			if s.figure == "" && verdict == "" {
				verdict = p.say("NOT MEASURED")
				if s.why != "" {
					verdict += " (" + p.clip(s.why) + ")"
				}
			}
			cells = append(cells, s.figure, verdict)
		}
		limit := r.limit
		if limit == "" {
			limit = p.say("none set")
		}
		if r.check {
			limit = ""
		}
		if r.unlike {
			limit = say.Joined("; ", limit, p.say("unlike"))
		}
		t.Rows = append(t.Rows, append(cells, limit))
	}
	if left > 0 {
		t.Rows = append(t.Rows, []string{p.say("more", left)})
	}
	return t
}

// below is what stands under the tables: sources, work, parts, and what the words mean.
func (p *page) below() []doc.Block {
	var texts, sources, parts []string
	for _, r := range p.rows {
		if r.source != "" && !slices.Contains(sources, r.source) {
			sources = append(sources, r.source)
		}
	}
	for _, one := range p.j.Parts {
		parts = append(parts, say.Joined(" ", one.Ref, one.Fitted))
		if one.Ref != "" && one.Fitted != "" {
			parts[len(parts)-1] = p.say("fitted", one.Ref, one.Fitted)
		}
	}
	work := p.j.Work
	if all := p.j.Reported(); len(all) == 1 && all[0].Work == "" {
		work = nil // it stands beside the complaint
	}
	for _, one := range []struct {
		key  string
		list []string
	}{{"work", work}, {"parts", parts}, {"limits from", sources}} {
		if text := p.clip(strings.Join(one.list, "; ")); text != "" {
			texts = append(texts, p.say(one.key, strings.TrimSuffix(text, ".")))
		}
	}
	texts = append(texts, p.say("only this"))
	legend := []string{p.say("legend pass"), p.say("legend sensitivity"), p.say("legend dB")}
	if p.j.Rule() == job.ByValue {
		legend[0] = p.say("legend value")
	}
	return []doc.Block{doc.Paragraph{Text: strings.Join(texts, " ")}, doc.Heading{Text: p.say("words"), Level: 1}, doc.Paragraph{Text: strings.Join(legend, " ")}}
}
