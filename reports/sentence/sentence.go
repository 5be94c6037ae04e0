// Package sentence has the words of all that a measurement says: warnings, reasons and
// hints, each a row by its code. It is the one room in which their figures become text.
package sentence

import (
	"fmt"
	"maps"
	"strings"

	"hisspoint/capture/note"
)

// Of is a note in words.
func Of(n note.Note) string {
	var said strings.Builder
	parts := make([]any, len(n.Parts))
	for i, p := range n.Parts {
		parts[i] = inWords(p)
		fmt.Fprint(&said, parts[i])
	}
	if n.Sentence == "" {
		return said.String()
	}
	return fmt.Sprintf(sentences[n.Sentence], parts...)
}

// All are notes in words.
func All(ns []note.Note) []string {
	var out []string
	for _, n := range ns {
		out = append(out, Of(n))
	}
	return out
}

// inWords turns the parts of a note that are no single figure into words.
func inWords(p any) any {
	switch x := p.(type) {
	case note.Note:
		return Of(x)
	case note.Times:
		return places(x)
	case note.Tones:
		return tones(x)
	}
	return p
}

// places are the first three of some times.
func places(at note.Times) string {
	var out []string
	for _, v := range at[:min(3, len(at))] {
		out = append(out, fmt.Sprintf("%.3f", v))
	}
	text := "at " + strings.Join(out, ", ")
	if len(at) > 3 {
		text += " ..."
	}
	return text + " s"
}

// tones lists frequencies.
func tones(hz note.Tones) string {
	const most = 6
	text := ""
	for i, f := range hz {
		switch {
		case i == most:
			return text + fmt.Sprintf(" Hz and %d more", len(hz)-most)
		case i > 0:
			text += ", "
		}
		text += fmt.Sprintf("%.0f", f)
	}
	return text + " Hz"
}

// sentences are those of all tables, by name.
var sentences = collected()

func collected() says {
	all := says{}
	maps.Copy(all, evidence)
	maps.Copy(all, remarks)
	for _, w := range Warnings {
		maps.Copy(all, w.Says)
	}
	return all
}
