// Package topics is the manual inside the program: a page a subject, written in
// Markdown, with tables that are filled from the program's own, so that neither can
// say what the other does not. A page becomes a document like any report.
//
// It knows words, kinds, limits and sheets. It must not know renderers.
package topics

import (
	"bytes"
	"embed"
	"fmt"
	"slices"
	"strings"
	"text/template"

	"hisspoint/reports/doc"
)

//go:embed pages/*.md pages/commands/*.md
var pages embed.FS

// Topic is a subject of the manual.
type Topic struct {
	Name    string // as it is typed: hisspoint help NAME
	Purpose string // in a line
}

// Group is topics for one sort of reader.
type Group struct {
	Title  string
	Topics []Topic
}

// Groups are all topics, in the order in which they are listed.
var Groups = []Group{
	{"At the bench", []Topic{
		{"start", "the first set, from wiring to PASS or FAIL"},
		{"safety", "all cautions in one place"},
		{"words", "every term in a line"},
		{"levels", "PD, EMF, dBm, and the pad between generator and set"},
		{"recording", "how to make a recording that can be trusted"},
		{"names", "how to name recordings"},
		{"reading", "what each figure is good for"},
		{"verdicts", "PASS, FAIL, and why a verdict is missing"},
		{"tests", "every test: what to record, what it gives"},
		{"faults", "from a figure to the part to check first"},
		{"transmit", "the transmitter, its monitor and the reference"},
		{"live", "recording and watching on the sound card itself"},
		{"windows", "from the download to the first report"},
	}},
	{"For the quality file, and for programs", []Topic{
		{"uncertainty", "where an interval comes from, and what is not in it"},
		{"filters", "what noise is heard through"},
		{"profiles", "published limits, and how sure each is"},
		{"warnings", "every warning: what it means, what to do"},
		{"job-file", "the line of every test in a job, and what nobody stated"},
		{"json", "what programs get"},
		{"exit-codes", "what a command returns to the shell"},
		{"files", "what Hisspoint writes, and where"},
		{"builds", "programs for other computers, and what was tried where"},
	}},
}

// All are the topics of all groups.
func All() (out []Topic) {
	for _, g := range Groups {
		out = append(out, g.Topics...)
	}
	return out
}

// Find is the topic of a name.
func Find(name string) (Topic, bool) {
	i := slices.IndexFunc(All(), func(t Topic) bool { return t.Name == name })
	if i < 0 {
		return Topic{}, false
	}
	return All()[i], true
}

// Facts is what only the commands know.
type Facts struct{ ExitCodes [][2]string }

// Page is the page of a topic.
func Page(t Topic, f Facts) (doc.Document, error) {
	source, err := pages.ReadFile("pages/" + t.Name + ".md")
	if err != nil {
		return doc.Document{}, fmt.Errorf("help %s: has no page: %w", t.Name, err)
	}
	filled, err := fill(t.Name, string(source), f)
	if err != nil {
		return doc.Document{}, fmt.Errorf("help %s: %w", t.Name, err)
	}
	return doc.Document{Title: t.Name + ": " + t.Purpose, Blocks: blocks(filled)}, nil
}

// Guide is what the manual says of a command beside its flags; false: nothing.
func Guide(command string, f Facts) ([]doc.Block, bool, error) {
	source, err := pages.ReadFile("pages/commands/" + command + ".md")
	if err != nil {
		return nil, false, nil
	}
	filled, err := fill(command, string(source), f)
	if err != nil {
		return nil, false, fmt.Errorf("help %s: %w", command, err)
	}
	return blocks(filled), true, nil
}

// fill puts the program's own tables where a page asks for them.
func fill(name, source string, f Facts) ([]byte, error) {
	t, err := template.New(name).Option("missingkey=error").Funcs(template.FuncMap{
		"exitcodes": func() string { return rows([]string{"code", "means"}, pairs(f.ExitCodes)) },
		"filters":   filters, "kinds": kinds, "levels": levels, "profiles": profiles, "words": words, "sheets": sheets, "cautions": cautions,
		"warnings": warnings, "hints": hints, "stanzas": stanzas,
	}).Parse(source)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = t.Execute(&b, nil)
	return b.Bytes(), err
}

// rows is a table in Markdown.
func rows(heads []string, cells [][]string) string {
	var b strings.Builder
	line := func(row []string) {
		for _, c := range row {
			b.WriteString("| " + strings.ReplaceAll(c, "|", `\|`) + " ")
		}
		b.WriteString("|\n")
	}
	line(heads)
	line(slices.Repeat([]string{"---"}, len(heads)))
	for _, r := range cells {
		line(r)
	}
	return b.String()
}

func pairs(list [][2]string) (out [][]string) {
	for _, p := range list {
		out = append(out, p[:])
	}
	return out
}
