package topics

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/reports/doc"
	"hisspoint/reports/sentence"
)

// warnings are all of them, with what to do.
func warnings() string {
	var out [][]string
	for _, w := range sentence.Warnings {
		out = append(out, []string{string(w.Code), w.Means + " " + w.Do})
	}
	return rows([]string{"warning", "means, and what to do"}, out)
}

// Warning explains one code.
func Warning(code string) (doc.Document, error) {
	i := slices.IndexFunc(sentence.Warnings, func(w sentence.Warning) bool { return w.Code == capture.Code(strings.TrimPrefix(code, "!")) })
	if i < 0 {
		return doc.Document{}, fmt.Errorf("help warnings: %q is not among them; see hisspoint help warnings", code)
	}
	w := sentence.Warnings[i]
	return doc.Document{Blocks: []doc.Block{doc.Paragraph{Text: string(w.Code) + ": " + w.Means}, doc.Paragraph{Text: "What to do: " + w.Do}}}, nil
}

// hints lead from a figure to the part to check first.
func hints() string {
	var out [][]string
	for _, h := range sentence.Hints {
		out = append(out, []string{h.Text, h.First, h.Also})
	}
	return rows([]string{"points to", "check first", "could also be"}, out)
}

// stanzas are a line of each kind of test as a person would write it, broken where it is
// wider than a page.
func stanzas() string {
	const wide = 76
	var b strings.Builder
	b.WriteString("```yaml\n")
	for _, k := range job.Kinds() {
		line := "- " + k.Sketch
		for len([]rune(line)) > wide {
			at := strings.LastIndex(string([]rune(line)[:wide]), ", ")
			b.WriteString(line[:at+1] + "\n")
			line = "    " + line[at+2:]
		}
		b.WriteString(line + "\n")
	}
	b.WriteString("```\n")
	return b.String()
}
