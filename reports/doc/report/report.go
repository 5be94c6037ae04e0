// Package report is the documents of a whole job: what the screen shows of it, the report
// that goes with the set, rounds and jobs side by side. It does not know how they are drawn.
package report

import (
	"fmt"
	"strings"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// part is what one test puts into a report.
type part struct {
	name      string     // in running text: "sensitivity"
	cards     []doc.Card // for the customer
	sentences []string   // for the customer
	brief     []string   // for the customer: a row of figure, a cell a round, verdict
	verdicts  []judged   // of the round that decides; none: nothing was held against a limit
	key       [][]string
	technical []doc.Block
	takes     map[string][]take // by round
}

// judged is a verdict and what was held against which limit.
type judged struct {
	outcome, of, why string
	narrow           bool // undecided because a figure lies too close to its limit
	row              []string
	rule             string
}

// partsOf are the parts in the order in which they stand in a report:
// sensitivity first, since everything else is read beside it, then the others in
// the order of the newest round, then what only the older one has.
func partsOf(r reports.Job) []part {
	type key struct{ kind, name string }
	var first, others []part
	seen := map[key]bool{}
	for i := len(r.Rounds) - 1; i >= 0; i-- {
		for _, t := range r.Rounds[i].Tests {
			k := key{t.Kind, t.Name}
			switch {
			case seen[k]:
			case t.Result.Point != nil:
				first = append(first, sensitivityPart(resultOf(r, t.Kind, t.Name)))
			default:
				others = append(others, resultPart(resultOf(r, t.Kind, t.Name)))
			}
			seen[k] = true
		}
	}
	return append(first, others...)
}

// Of is the document that goes with a job: one page for the customer, then
// the technical pages. It holds what ISO/IEC 17025:2017, 7.8.2.1 lists for a
// report, as far as the job says it; it claims no accreditation. issued is a
// date, year-month-day; without one, the day of the last test counts.
func Of(r reports.Job, j *job.Job, issued string) doc.Document {
	if issued == "" && j.Newest() != nil {
		issued = j.Newest().Tested
	}
	d := doc.Document{
		Title: "Service report, job " + j.ID, About: j.Set.Description, From: j.Shop.Heading, Mark: j.Simulated,
		Running: "Job " + j.ID, Issued: issued, Made: strings.TrimSpace(reports.Tool + " " + r.Version),
	}
	parts := partsOf(r)
	d.Add(forCustomer(r, j, parts, issued)...)
	d.Add(technical(r, j, parts, issued)...)
	return d
}

// forCustomer is the first page.
func forCustomer(r reports.Job, j *job.Job, parts []part, issued string) []doc.Block {
	facts := factTable([][2]string{
		{"Set", say.Joined(", serial number ", j.Set.Description, j.Set.Serial)}, {"Customer", j.Customer},
		{"Received", say.Joined("; report issued ", j.Received, issued)},
	})
	if j.Received == "" {
		facts = factTable([][2]string{{"Set", say.Joined(", serial number ", j.Set.Description, j.Set.Serial)},
			{"Customer", j.Customer}, {"Report issued", issued}})
	}
	facts.Tight = true
	blocks := []doc.Block{facts, headline(r, parts)}
	for _, p := range parts {
		if len(p.cards) > 0 {
			blocks = append(blocks, doc.Cards{Items: p.cards})
		}
	}
	for _, p := range parts {
		for _, s := range p.sentences {
			blocks = append(blocks, doc.Paragraph{Text: s})
		}
	}
	t, without := briefTable(r, parts)
	if len(t.Rows) > 0 {
		blocks = append(blocks, t)
	}
	if len(without) > 0 {
		blocks = append(blocks, doc.Paragraph{Text: "Without a figure (the reasons stand in the technical record): " +
			strings.Join(without, ", ") + "."})
	}
	done := factTable([][2]string{{"Fault reported", j.FaultReported}, {"Work done", strings.Join(j.Work, "; ")},
		{"Parts", partsText(j.Parts)}, {"Outcome", j.Outcome},
		{"Not tested", strings.Join(notTested(r, parts), "; ")}})
	done.Tight = true
	return append(blocks, doc.Heading{Text: "Fault and work", Level: 1}, done,
		doc.Sign{Lines: []string{"Technician" + named(technician(j)), "Date and signature"}})
}

func named(name string) string {
	if name == "" {
		return ""
	}
	return " (" + name + ")"
}

func technician(j *job.Job) string {
	if j.Technician != "" {
		return j.Technician
	}
	return j.Shop.Technician
}

func partsText(parts []job.Part) string {
	var all []string
	for _, p := range parts {
		var text []string
		if p.Fitted != "" {
			text = append(text, "fitted "+p.Fitted)
		}
		if p.Removed != "" {
			text = append(text, "removed "+p.Removed)
		}
		one := strings.Join(text, ", ")
		if p.Ref != "" {
			one = strings.TrimSuffix(p.Ref+": "+one, ": ")
		}
		all = append(all, one)
	}
	return strings.Join(all, "; ")
}

// notTested says what was left out and why; what is not named was not tested either.
func notTested(r reports.Job, parts []part) []string {
	var items, names []string
	if round := r.Newest(); round != nil {
		for _, n := range round.NotMeasured {
			items = append(items, strings.TrimSuffix(n.What+": "+n.Why, ": "))
		}
	}
	for _, p := range parts {
		names = append(names, p.name)
	}
	if n := r.Newest(); n != nil && len(n.ByEye) > 0 {
		names = append(names, "what was read off instruments")
	}
	if n := r.Newest(); n != nil && len(n.Checks) > 0 {
		names = append(names, "the checks")
	}
	if len(names) == 0 {
		return append(items, "no test is part of this report")
	}
	if len(names) > 4 { // they stand above
		return append(items, "only what this report names was tested")
	}
	return append(items, "only what this report names was tested: "+strings.Join(names, ", "))
}

// headline is the verdict of the job in words: that of its newest round on all
// its tests, meter readings and checks together.
func headline(r reports.Job, parts []part) doc.Answer {
	round := r.Newest()
	if round == nil {
		return doc.Answer{Lead: true, Parts: []string{"Nothing was tested."}}
	}
	overall := round.Overall
	if overall.Outcome == "" {
		overall = limit.Join(factsOf(parts))
	}
	set := say.Round(round.Name) + ", the set "
	a := doc.Answer{Lead: true, Verdict: say.Verdicts[overall.Outcome].Word,
		Outcome: say.Verdicts[overall.Outcome].Outcome, Reason: say.Sentence(strings.Join(overall.Reasons, "; "))}
	limits := heldAgainst(parts)
	switch overall.Outcome {
	case limit.Pass:
		a.Parts = []string{set + "meets every limit that it was held against" + limits + "."}
	case limit.Fail:
		a.Parts = []string{set + "does not meet every limit that it was held against" + limits + "."}
	case limit.Undecided:
		a.Parts = []string{set + "may or may not meet every limit that it was held against" + limits + "."}
		if !tooClose(parts, overall) {
			a.Verdict = "UNDECIDED"
		}
	default:
		a.Parts = []string{set + "was measured without a limit to hold it against: there is no verdict."}
	}
	return a
}

func factsOf(parts []part) []limit.Fact {
	var facts []limit.Fact
	for _, p := range parts {
		for _, v := range p.verdicts {
			facts = append(facts, limit.Fact{What: p.name, Outcome: v.outcome, Why: v.why})
		}
	}
	return facts
}

// heldAgainst names the limits; more than two are counted, so that the verdict
// is read at a glance.
func heldAgainst(parts []part) string {
	var all []string
	met := 0
	for _, p := range parts {
		for _, v := range p.verdicts {
			all = append(all, v.of)
			if v.outcome == limit.Pass {
				met++
			}
		}
	}
	switch {
	case len(all) == 0:
		return ""
	case len(all) > 2 && met == len(all):
		return fmt.Sprintf(": all %d", met)
	case len(all) > 2:
		return fmt.Sprintf(": it meets %d of %d for certain", met, len(all))
	}
	return ": " + strings.Join(all, "; ")
}

// tooClose tells whether figures that lie too close to their limits are all
// that is undecided; else something is missing, or could not be judged.
func tooClose(parts []part, overall limit.Overall) bool {
	narrow := 0
	for _, p := range parts {
		for _, v := range p.verdicts {
			if v.narrow {
				narrow++
			}
		}
	}
	return narrow > 0 && narrow == len(overall.Reasons)
}

// factTable is a table of labels and facts, without the facts that are not known.
func factTable(facts [][2]string) doc.Table {
	t := doc.Table{Columns: []doc.Column{{}, {}}}
	for _, f := range facts {
		if strings.TrimSpace(f[1]) != "" {
			t.Rows = append(t.Rows, f[:])
		}
	}
	return t
}

// roundColumns are a column for each round.
func roundColumns(r reports.Job, first string) []doc.Column {
	columns := []doc.Column{{Head: first}}
	for _, round := range r.Rounds {
		columns = append(columns, doc.Column{Head: say.LowerFirst(say.Round(round.Name))})
	}
	return columns
}

// roundOf finds what the job says of a round.
func roundOf(j *job.Job, name string) job.Round {
	at := j.Round(name)
	if at == nil {
		return job.Round{}
	}
	return *at
}

// take is a recording that was used.
type take struct{ level, file, used, format, sha256 string }

func (t take) cells() []string { return []string{t.file, t.level, t.used, t.format, t.sha256} }

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}
