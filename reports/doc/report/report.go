// Package report is the documents of a whole job: what the screen shows of it, the report
// that goes with the set, rounds and jobs side by side. It does not know how they are drawn.
package report

import (
	"fmt"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// part is what one test puts into the annex.
type part struct {
	name      string   // in running text: "sensitivity"
	verdicts  []judged // of the round that decides; none: nothing was held against a limit
	technical []doc.Block
	takes     map[string][]take // by round
}

// judged is a verdict and what was held against which limit.
type judged struct {
	row  []string
	rule string
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

// Of is the technical annex of a job's report: all that its figures stand on. It holds what
// ISO/IEC 17025:2017, 7.8.2.1 lists for a report, as far as the job says it; it claims no
// accreditation. hashes: the sums of files whole, else their first twelve digits.
func Of(r reports.Job, j *job.Job, issue reports.Issue, hashes bool) doc.Document {
	d := doc.Document{
		Title: "Technical annex, job " + j.ID, About: j.Set.Description, From: j.Shop.Heading, Mark: j.Simulated, Contents: true, Dense: true,
		Running: "Job " + j.ID, Issued: issue.Date, Made: strings.TrimSpace(reports.Tool + " " + r.Version),
	}
	if issue.Revision > 0 {
		d.Running += fmt.Sprintf(", revision %d", issue.Revision)
	}
	if issue.Draft {
		d.Mark = say.Joined(" ", "DRAFT. Not issued.", d.Mark)
	}
	d.Add(technical(r, j, partsOf(r), issue, hashes)...)
	return d
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
type take struct{ test, level, file, format, sha256 string }

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}
