package customer

import (
	"slices"
	"strings"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// fails tells whether a round failed a line: that is never left out.
func (l line) fails() bool {
	return slices.ContainsFunc(l.sides, func(s side) bool { return s.outcome == limit.Fail })
}

// Screen is what the customer's pages say, for the technician: complaint by complaint the
// figures of both rounds with their verdicts and limits, then everything else. Of other
// tests no more than most are shown; left is how many are not.
func Screen(r reports.Job, j *job.Job, most int) (blocks []doc.Block, left int) {
	p := &page{r: r, j: j, most: mostText, bench: true}
	p.rows = p.lines()
	t := doc.Table{Columns: []doc.Column{{}}}
	for _, round := range r.Rounds {
		t.Columns = append(t.Columns, doc.Column{Head: say.LowerFirst(say.Round(round.Name))}, doc.Column{})
	}
	t.Columns = append(t.Columns, doc.Column{Head: "limit"})
	add := func(l line) {
		row := []string{"  " + l.label}
		for _, s := range l.sides {
			verdict := strings.TrimSuffix(s.verdict, " TO CALL")
			if s.figure == "" && verdict == "" {
				verdict = p.say("NOT MEASURED")
			}
			row = append(row, strings.TrimSuffix(strings.TrimSuffix(s.figure, " PD"), " EMF"), verdict)
		}
		bound := l.limit
		if bound == "" {
			bound = p.say("none set")
		}
		t.Rows = append(t.Rows, append(row, bound))
	}
	for _, c := range j.Reported() {
		t.Rows = append(t.Rows, []string{p.clip(c.Reported)})
		for i := range p.rows {
			if l := &p.rows[i]; l.shownBy(c) {
				l.told = true
				add(*l)
			}
		}
	}
	head := len(t.Rows) > 0
	for _, l := range p.rows {
		switch {
		case l.told:
		case most <= 0 && !l.fails():
			left++
		default:
			if head {
				t.Rows, head = append(t.Rows, []string{"also tested"}), false
			}
			most--
			add(l)
		}
	}
	return []doc.Block{t}, left
}
