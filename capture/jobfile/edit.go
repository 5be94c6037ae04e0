package jobfile

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"hisspoint/capture/job"
)

// Edit changes a job file and leaves every line alone that it does not have to
// touch: comments, order and the way things are written stay as a person typed
// them. change gets the lines of the file. What comes out has to be a job file
// again, or nothing is written.
func Edit(fileOrFolder string, change func(*Lines) error) error {
	file := fileOrFolder
	if info, err := os.Stat(file); err == nil && info.IsDir() {
		file = filepath.Join(file, Name)
	}
	data, err := read(file)
	if err != nil {
		return err
	}
	if _, err := Parse(slashed(file), data); err != nil {
		return err
	}
	l := &Lines{file: slashed(file), end: "\n"}
	if strings.Contains(string(data), "\r\n") {
		l.end = "\r\n"
	}
	l.lines = strings.Split(strings.TrimRight(strings.ReplaceAll(string(data), "\r\n", "\n"), "\n"), "\n")
	if err := change(l); err != nil {
		return err
	}
	text := []byte(strings.Join(l.lines, l.end) + l.end)
	if _, err := Parse(slashed(file), text); err != nil {
		return fmt.Errorf("%s: the change does not fit into the file as it is written, so nothing was changed; make it with an editor (%w)", l.file, err)
	}
	return replace(file, text)
}

// Lines are the lines of a job file while it is edited.
type Lines struct {
	file  string
	lines []string
	end   string
}

// block is a key's place: its own line, and the lines below that belong to it.
type block struct {
	at, end int // lines at to end-1
	indent  int
	inline  string // what stands behind the colon
}

// keyLine is a line with a key; the dash of a list item counts as indentation.
var keyLine = regexp.MustCompile(`^( *(?:- )?)(?:"([^"]*)"|([A-Za-z0-9_]+)):(?:[ \t]+(.*))?$`)

// find looks for a key within lines from to end, at one indentation: the first
// key's there. ok is false if it is not there; indent is then that of its
// siblings, or -1 without any.
func (l *Lines) find(key string, from, end int) (b block, ok bool) {
	b.indent = -1
	for i := from; i < end; i++ {
		m := keyLine.FindStringSubmatch(l.lines[i])
		if m == nil {
			continue
		}
		if b.indent < 0 {
			b.indent = len(m[1])
		}
		if len(m[1]) == b.indent && m[2]+m[3] == key {
			b.at, b.inline = i, strings.TrimSpace(withoutComment(m[4]))
			b.end = l.endOf(i, end, b.indent)
			return b, true
		}
	}
	return b, false
}

// endOf is the line behind the last one that belongs to the key at a line:
// those that are indented deeper, and list items at its own indentation.
func (l *Lines) endOf(at, end, indent int) int {
	last := at + 1
	for i := at + 1; i < end; i++ {
		text := strings.TrimLeft(l.lines[i], " ")
		if text == "" || text[0] == '#' {
			continue
		}
		in := len(l.lines[i]) - len(text)
		if in < indent || in == indent && !strings.HasPrefix(text, "- ") {
			break
		}
		last = i + 1
	}
	return last
}

func withoutComment(s string) string {
	quote := rune(0)
	for i, r := range s {
		switch {
		case quote == 0 && (r == '"' || r == '\''):
			quote = r
		case r == quote:
			quote = 0
		case quote == 0 && r == '#' && (i == 0 || s[i-1] == ' '):
			return s[:i]
		}
	}
	return s
}

func (l *Lines) insert(at int, lines ...string) {
	l.lines = append(l.lines[:at:at], append(lines, l.lines[at:]...)...)
}

// Set gives a key of the job's top a text; keys with a dot go one deeper, as
// set.serial. A comment behind the value stays.
func (l *Lines) Set(key, value string) error {
	from, end, indent := 0, len(l.lines), 0
	path := strings.Split(key, ".")
	for _, parent := range path[:len(path)-1] {
		b, ok := l.find(parent, from, end)
		if !ok {
			if b.indent >= 0 {
				indent = b.indent
			}
			l.insert(end, strings.Repeat(" ", indent)+parent+":")
			b = block{at: end, end: end + 1, indent: indent}
		}
		if strings.HasPrefix(b.inline, "{") {
			return l.setInline(b, path[len(path)-1], value)
		}
		if b.inline != "" {
			return fmt.Errorf("%s:%d: %s has a value of its own: change it with an editor", l.file, b.at+1, parent)
		}
		from, end, indent = b.at+1, b.end, b.indent+2
	}
	name := path[len(path)-1]
	b, ok := l.find(name, from, end)
	if !ok {
		if b.indent >= 0 {
			indent = b.indent
		}
		l.insert(end, strings.Repeat(" ", indent)+name+": "+orEmpty(value))
		return nil
	}
	if b.end > b.at+1 || strings.HasPrefix(b.inline, "[") || strings.HasPrefix(b.inline, "{") {
		return fmt.Errorf("%s:%d: %s holds more than a text: change it with an editor", l.file, b.at+1, key)
	}
	l.lines[b.at] = replaceValue(l.lines[b.at], orEmpty(value))
	return nil
}

// replaceValue puts a value behind the key of a line and keeps a comment.
func replaceValue(line, value string) string {
	colon := strings.Index(line, ":")
	rest := line[colon+1:]
	comment := rest[len(withoutComment(rest)):]
	if comment != "" {
		comment = "  " + comment
	}
	return line[:colon+1] + " " + value + comment
}

// setInline sets a key of a mapping in braces that stands on one line.
func (l *Lines) setInline(b block, key, value string) error {
	line := l.lines[b.at]
	open, last := strings.Index(line, "{"), strings.LastIndex(line, "}")
	if last < open || b.end > b.at+1 {
		return fmt.Errorf("%s:%d: the braces go over several lines: change it with an editor", l.file, b.at+1)
	}
	var parts []string
	done := false
	for _, p := range splitFlow(line[open+1 : last]) {
		if k, _, _ := strings.Cut(strings.TrimSpace(p), ":"); k == key {
			p, done = key+": "+orEmpty(value), true
		}
		parts = append(parts, strings.TrimSpace(p))
	}
	if !done {
		parts = append(parts, key+": "+orEmpty(value))
	}
	l.lines[b.at] = line[:open+1] + strings.Join(parts, ", ") + line[last:]
	return nil
}

// splitFlow splits what stands in braces at its commas, outside quotes and
// inner brackets.
func splitFlow(s string) []string {
	var parts []string
	depth, start, quote := 0, 0, rune(0)
	for i, r := range s {
		switch {
		case quote != 0:
			if r == quote {
				quote = 0
			}
		case r == '"' || r == '\'':
			quote = r
		case r == '{' || r == '[':
			depth++
		case r == '}' || r == ']':
			depth--
		case r == ',' && depth == 0:
			parts = append(parts, s[start:i])
			start = i + 1
		}
	}
	if strings.TrimSpace(s[start:]) != "" {
		parts = append(parts, s[start:])
	}
	return parts
}

// Append adds an item to a list below a path of keys, which is made where it is
// not there yet: Append([]string{"rounds", "as_left", "checks"}, "{...}").
func (l *Lines) Append(path []string, item string) error {
	from, end, indent := 0, len(l.lines), 0
	for i, key := range path {
		b, ok := l.find(key, from, end)
		if !ok {
			if b.indent >= 0 {
				indent = b.indent
			}
			l.insert(end, strings.Repeat(" ", indent)+key+":")
			b = block{at: end, end: end + 1, indent: indent}
		}
		switch {
		case b.inline == "{}" && i < len(path)-1, b.inline == "[]" && i == len(path)-1:
			l.lines[b.at] = strings.Repeat(" ", b.indent) + key + ":"
		case i == len(path)-1 && strings.HasPrefix(b.inline, "[") && strings.HasSuffix(b.inline, "]") && b.end == b.at+1:
			last := strings.LastIndex(l.lines[b.at], "]")
			l.lines[b.at] = l.lines[b.at][:last] + ", " + item + l.lines[b.at][last:]
			return nil
		case b.inline != "":
			return fmt.Errorf("%s:%d: %s is written on one line, in a way that cannot be added to: change it with an editor", l.file, b.at+1, key)
		}
		from, end, indent = b.at+1, b.end, b.indent+2
	}
	for i := from; i < end; i++ { // items as they are indented already
		if text := strings.TrimLeft(l.lines[i], " "); strings.HasPrefix(text, "- ") {
			indent = len(l.lines[i]) - len(text)
			break
		}
	}
	l.insert(end, strings.Repeat(" ", indent)+"- "+item)
	return nil
}

// Flow writes keys and texts on one line, {what: ..., why: ...}, as Append
// takes them. Empty texts are left out.
func Flow(pairs ...string) string {
	var list []entry
	for i := 0; i+1 < len(pairs); i += 2 {
		list = append(list, entry{pairs[i], scalar(pairs[i+1])})
	}
	return orBraces(flow(list...))
}

// Text writes a text as an item of a list.
func Text(s string) string { return orEmpty(s) }

// AddRound writes a round below the others. It must not be there yet.
func (l *Lines) AddRound(name string, r *job.Round) {
	b, ok := l.find("rounds", 0, len(l.lines))
	if !ok {
		l.insert(len(l.lines), "rounds:")
		b = block{at: len(l.lines) - 1, end: len(l.lines)}
	}
	if b.inline != "" {
		l.lines[b.at] = "rounds:"
	}
	w := &writer{}
	w.round(name, r)
	margin := "  "
	if sibling, _ := l.find(name, b.at+1, b.end); sibling.indent > 0 {
		margin = strings.Repeat(" ", sibling.indent)
	}
	var lines []string
	for _, text := range strings.Split(strings.TrimRight(w.String(), "\n"), "\n") {
		lines = append(lines, margin+text)
	}
	l.insert(b.end, lines...)
}

// Recording adds a recording to the first sensitivity test of a round.
func (l *Lines) Recording(round, level, file string) error {
	return l.Append([]string{"rounds", round, "tests", "sensitivity", "recordings"}, Flow("level", level, "file", file))
}
