package say

import (
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// Figure is a figure as people call it.
func Figure(name string) string {
	if label := job.LabelOf(name); label != "" {
		return label
	}
	if order, ok := strings.CutPrefix(name, analyze.HarmonicOf); ok {
		return "harmonic " + order
	}
	if hz, ok := strings.CutPrefix(name, analyze.HumAt); ok {
		return "hum at " + hz + " Hz, below the audio"
	}
	for _, s := range Readings {
		if s.Name == name {
			return s.Label
		}
	}
	return strings.ReplaceAll(name, "_", " ")
}

// Kind is the title of a kind of test; a kind that is not known goes by its key.
func Kind(kind string) string {
	if k, ok := job.KindOf(kind); ok {
		return k.Title
	}
	return kind
}

// NotGiven names a figure that is missing, and why.
func NotGiven(kind string, f analyze.Reading) string {
	return FigureOf(kind, f.Name) + " is not given: " + Why(f.Why)
}

// FigureOf is a figure with the test it belongs to, unless its name says so already.
func FigureOf(kind, figure string) string {
	title, name := Kind(kind), Figure(figure)
	subject, _, _ := strings.Cut(title, " ")
	head := name
	if i := strings.IndexAny(name, ",("); i > 0 {
		head = strings.TrimSpace(name[:i])
	}
	if strings.HasSuffix(title, " "+head) { // never a name twice: "transmit distortion (THD)"
		return title + name[len(head):]
	}
	if strings.HasPrefix(title, name+" of ") {
		return title
	}
	if strings.HasPrefix(name, subject+" ") || name == subject || strings.HasPrefix(title, name) {
		return name
	}
	return title + ", " + name
}
