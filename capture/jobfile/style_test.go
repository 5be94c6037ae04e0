package jobfile

import (
	"fmt"
	"strings"

	"hisspoint/capture/jobfile/yamlfile"
)

// style is a way to write a job file.
type style struct {
	step     int    // blanks of indentation
	flush    bool   // dashes below the first letter of their key
	depth    int    // values so deep stand in brackets
	wide     bool   // one entry a line within them
	tight    bool   // no blanks within them
	pairs    bool   // no braces around one entry in a list
	key      string // quotes around keys
	text     string // quotes around texts, or what a block of lines begins with
	tabs     bool   // before and behind values
	comments bool
	before   string // the file
	end      string // of lines
	open     bool   // no line break at the end

	said int // comments
}

// styles are those that YAML has, in turns.
func styles() []*style {
	var out []*style
	for step := 1; step <= 4; step++ {
		for _, depth := range []int{9, 3, 5} {
			out = append(out, &style{step: step, depth: depth, comments: depth != 5, flush: step%2 == 0, wide: step == 3})
		}
	}
	return append(out, &style{step: 2}, &style{step: 3, wide: true, comments: true}, &style{key: `"`, text: `"`, tight: true},
		&style{key: `"`, text: `"`, wide: true, step: 2}, &style{step: 2, depth: 4, pairs: true}, &style{step: 2, depth: 9, key: `"`, text: "'"},
		&style{step: 2, depth: 9, text: "|-", comments: true}, &style{step: 3, depth: 4, text: ">", key: "'", wide: true, comments: true},
		&style{step: 2, depth: 6, tabs: true, comments: true}, &style{step: 2, depth: 9, flush: true, end: "\r\n", comments: true},
		&style{step: 2, depth: 3, wide: true, end: "\r\n", before: "\ufeff", text: "|"}, &style{step: 2, depth: 9, end: "\r", comments: true},
		&style{step: 2, depth: 9, open: true}, &style{open: true, before: "\ufeff", comments: true}, &style{step: 4, depth: 9, before: "---\n"},
		&style{step: 2, depth: 1}, &style{step: 1, depth: 2, wide: true, comments: true}, &style{tight: true, pairs: true, key: `"`, text: `"`})
}

func (s *style) String() string { return strings.ReplaceAll(fmt.Sprintf("%+v", *s), "\n", `\n`) }

// file writes a file anew.
func (s *style) file(n *yamlfile.Node) []byte {
	s.said = 0
	text := s.line(0) + s.below(n, 0, 0)
	if s.depth == 0 {
		text = s.within(n, 0)
	}
	text = s.before + text + "\n" + s.line(0)
	if s.open {
		text = strings.TrimRight(text, "\n")
	}
	if s.end != "" {
		text = strings.ReplaceAll(text, "\n", s.end)
	}
	return []byte(text)
}

// remark is a comment at the end of a line.
func (s *style) remark() string {
	if !s.comments {
		return ""
	}
	s.said++
	return strings.Repeat(" ", 1+s.said%3) + fmt.Sprintf("# {no, %d: \"yes;", s.said)
}

// line is a comment on a line of its own.
func (s *style) line(indent int) string {
	if !s.comments || s.said%3 > 0 {
		return ""
	}
	return "\n" + strings.Repeat(" ", indent) + strings.TrimLeft(s.remark(), " ") + "\n"
}

// below writes entries on lines of their own, without the blanks before the first.
func (s *style) below(n *yamlfile.Node, indent, depth int) string {
	var parts []string
	for _, k := range n.Keys {
		parts = append(parts, s.key+k.Name+s.key+":"+s.behind(k.Value, indent, depth+1))
	}
	for _, item := range n.Items {
		text := s.value(item, indent, depth+1)
		if len(item.Keys) > 0 && depth+1 < s.depth {
			text = s.below(item, indent+s.step+1, depth+1)
		}
		parts = append(parts, "-"+strings.Repeat(" ", s.step)+text)
	}
	for i, part := range parts {
		if i+1 < len(parts) {
			if !strings.ContainsAny(s.text, "|>") { // it would be text
				part += s.remark()
			}
			parts[i] = part + "\n" + s.line(indent) + strings.Repeat(" ", indent)
		}
	}
	return strings.Join(parts, "")
}

// behind writes what stands behind a key.
func (s *style) behind(n *yamlfile.Node, indent, depth int) string {
	blank := " "
	if s.tabs {
		blank = "\t"
	}
	switch {
	case n.Kind == yamlfile.Null:
		return ""
	case len(n.Keys)+len(n.Items) == 0 || depth >= s.depth:
		return blank + s.value(n, indent, depth)
	case n.Kind == yamlfile.Mapping || !s.flush:
		indent += s.step
	}
	return s.remark() + "\n" + s.line(indent) + strings.Repeat(" ", indent) + s.below(n, indent, depth)
}

// value writes a value without lines below it, but for a text in lines of its own.
func (s *style) value(n *yamlfile.Node, indent, depth int) string {
	switch {
	case n.Kind == yamlfile.Scalar && (s.text == "|" || s.text == "|-" || s.text == ">") && depth < s.depth && n.Text != "":
		return s.text + s.remark() + "\n" + strings.Repeat(" ", indent+s.step) + n.Text
	case n.Kind == yamlfile.Scalar && s.text == "'":
		return "'" + strings.ReplaceAll(n.Text, "'", "''") + "'"
	case n.Kind == yamlfile.Scalar && (s.text == `"` || !n.Plain || !plainText().MatchString(n.Text)):
		return quoted(n.Text)
	case n.Kind == yamlfile.Scalar:
		return n.Text
	}
	return s.within(n, indent+s.step)
}

// within writes a value in brackets.
func (s *style) within(n *yamlfile.Node, indent int) string {
	var parts []string
	for _, k := range n.Keys {
		parts = append(parts, strings.TrimRight(s.key+k.Name+s.key+": "+s.value(k.Value, indent, 99), " "))
		if s.tight {
			parts[len(parts)-1] = s.key + k.Name + s.key + ":" + s.value(k.Value, indent, 99)
		}
	}
	for _, item := range n.Items {
		part := s.value(item, indent, 99)
		if s.pairs && len(item.Keys) == 1 && item.Keys[0].Value.Kind != yamlfile.Null {
			part = part[1 : len(part)-1]
		}
		parts = append(parts, part)
	}
	text, between := "", ", "
	if s.tight {
		between = ","
	}
	for i, part := range parts {
		text += part
		switch {
		case s.wide && (i+1 < len(parts) || indent%2 == 0): // with a comma behind the last here and there
			text += "," + s.remark() + "\n" + strings.Repeat(" ", indent)
		case i+1 < len(parts):
			text += between
		}
	}
	if n.Kind == yamlfile.Sequence {
		return "[" + text + "]"
	}
	if n.Kind == yamlfile.Null {
		return ""
	}
	return "{" + text + "}"
}
