package jobfile

import (
	"fmt"
	"strings"

	"hisspoint/capture/unit"
)

// node is a value in the lines: in braces or brackets, a text behind its key or
// dash, or what stands in the lines below its key. It is good until the lines
// change.
type node struct {
	flow, scalar bool
	from, to     int // of flow and text: where it stands in all the lines together
	at, end      int // of a block: the line of its key (or the one before its first), and the line behind its last
	indent       int // of its key
}

// keyLine is a line with a key; the dash of a list item counts as indentation.
var keyLine = unit.LazyPattern(`^( *(?:- )?)(?:"([^"]*)"|([A-Za-z0-9_]+)):(?:[ \t]+(.*))?$`)

// flowKey is a key within braces.
var flowKey = unit.LazyPattern(`^(?:"([^"]*)"|'([^']*)'|([A-Za-z0-9_]+)):(?:\s+|$)`)

// top is the whole file, which may be written in braces.
func (l *Lines) top() node {
	at := 0
	for _, line := range l.lines {
		text := strings.TrimLeft(line, " ")
		if strings.HasPrefix(text, "{") {
			from := at + len(line) - len(text)
			return l.valueAt(from, from+len(text))
		}
		if text != "" && text[0] != '#' && text != "---" {
			break
		}
		at += len(line) + 1
	}
	return node{at: -1, end: len(l.lines), indent: -2}
}

// start is where a line begins in all the lines together.
func (l *Lines) start(line int) int {
	n := 0
	for _, text := range l.lines[:line] {
		n += len(text) + 1
	}
	return n
}

func (l *Lines) all() string { return strings.Join(l.lines, "\n") }

// splice puts text in the place of what stands from one place to another.
func (l *Lines) splice(from, to int, text string) {
	all := l.all()
	l.lines = strings.Split(all[:from]+text+all[to:], "\n")
}

// text is the value of a text as a person would read it.
func (l *Lines) text(n node) string {
	if !n.scalar {
		return ""
	}
	t := l.all()[n.from:n.to]
	if len(t) > 1 && (t[0] == '"' || t[0] == '\'') && t[len(t)-1] == t[0] {
		return strings.ReplaceAll(strings.ReplaceAll(t[1:len(t)-1], `\"`, `"`), "''", "'")
	}
	return t
}

// blank is 1 if a blank stands before the value, else 0.
func (n node) blank(l *Lines) int {
	if strings.HasSuffix(l.all()[:n.from], " ") {
		return 1
	}
	return 0
}

// child is the value of a key.
func (l *Lines) child(n node, key string) (node, bool) {
	if n.scalar {
		return node{}, false
	}
	if n.flow {
		all := l.all()
		for _, p := range flowParts(all, n.from) {
			m := flowKey().FindStringSubmatch(all[p.from:p.to])
			if m != nil && m[1]+m[2]+m[3] == key {
				return l.valueAt(p.from+len(m[0]), p.to), true
			}
		}
		return node{}, false
	}
	at, end, indent := l.find(key, n.at+1, n.end)
	if at < 0 {
		return node{}, false
	}
	m := keyLine().FindStringSubmatchIndex(l.lines[at])
	if m[8] >= 0 {
		if inline := strings.TrimSpace(withoutComment(l.lines[at][m[8]:])); inline != "" {
			from := l.start(at) + m[8]
			v := l.valueAt(from, from+len(inline))
			v.at, v.end, v.indent = at, end, indent
			return v, true
		}
	}
	return node{at: at, end: end, indent: indent}, true
}

// valueAt is the value that begins at a place; to is its end if it is a text.
func (l *Lines) valueAt(from, to int) node {
	all := l.all()
	if from < len(all) && (all[from] == '{' || all[from] == '[') {
		if _, last := flowEnd(all, from); last > 0 {
			return node{flow: true, from: from, to: last}
		}
	}
	return node{scalar: true, from: from, to: to}
}

// find is the line of a key, the line behind what belongs to it, and its
// indentation, within some lines; at is -1 if it is not there, and indent then
// that of its siblings, or -1 without any.
func (l *Lines) find(key string, from, end int) (at, last, indent int) {
	indent = -1
	for i := from; i < end; i++ {
		m := keyLine().FindStringSubmatch(l.lines[i])
		if m == nil {
			continue
		}
		if indent < 0 {
			indent = len(m[1])
		}
		if len(m[1]) == indent && m[2]+m[3] == key {
			return i, l.endOf(i, end, indent), indent
		}
	}
	return -1, end, indent
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

// items are those of a list.
func (l *Lines) items(n node) []node {
	var out []node
	if n.flow {
		for _, p := range flowParts(l.all(), n.from) {
			out = append(out, l.valueAt(p.from, p.to))
		}
		return out
	}
	dash := l.dash(n)
	for i := n.at + 1; i < n.end && !n.scalar; i++ {
		text := strings.TrimLeft(l.lines[i], " ")
		in := len(l.lines[i]) - len(text)
		if in != dash || !strings.HasPrefix(text, "-") {
			continue
		}
		if n := len(out); n > 0 {
			out[n-1].end = i
		}
		inner := strings.TrimLeft(text[1:], " ")
		item := node{at: i - 1, end: n.end, indent: dash}
		if !keyLine().MatchString(l.lines[i]) {
			from := l.start(i) + len(l.lines[i]) - len(inner)
			item = l.valueAt(from, from+len(strings.TrimSpace(withoutComment(inner))))
			item.at, item.end = i-1, n.end
		}
		out = append(out, item)
	}
	return out
}

// dash is the indentation of a block list's items, or what it would be.
func (l *Lines) dash(n node) int {
	for i := n.at + 1; i < n.end; i++ {
		if text := strings.TrimLeft(l.lines[i], " "); strings.HasPrefix(text, "-") {
			return len(l.lines[i]) - len(text)
		}
	}
	return n.indent + 2
}

// open is the mapping of a key, made where it is not there yet.
func (l *Lines) open(n node, key string) (node, error) {
	c, ok := l.child(n, key)
	if !ok {
		value := ""
		if n.flow { // within braces nothing may stand below
			value = "{}"
		}
		if err := l.set(n, key, value); err != nil {
			return n, err
		}
		n.end++ // a block has the new line now
		c, _ = l.child(n, key)
	}
	if c.scalar {
		return n, fmt.Errorf("%s: %s has a value of its own: change it with an editor", l.file, key)
	}
	return l.grown(n, c, key), nil
}

// grown is a value that may have lines below its key: what is {} or [] there is
// taken away.
func (l *Lines) grown(parent, c node, key string) node {
	if text := l.all(); !c.flow || c.end == 0 || text[c.from:c.to] != "{}" && text[c.from:c.to] != "[]" {
		return c
	}
	l.splice(c.from, c.to, "")
	l.lines[c.at] = strings.TrimRight(l.lines[c.at], " ")
	c, _ = l.child(parent, key)
	return c
}

// list is the list of a key, made where it is not there yet.
func (l *Lines) list(n node, key string) (node, error) {
	c, ok := l.child(n, key)
	switch {
	case !ok && n.flow:
		if err := l.set(n, key, "[]"); err != nil {
			return n, err
		}
		c, _ = l.child(n, key)
	case !ok:
		return l.open(n, key)
	case c.scalar:
		return n, fmt.Errorf("%s: %s has a value of its own: change it with an editor", l.file, key)
	}
	return l.grown(n, c, key), nil
}

// add adds an item to a list.
func (l *Lines) add(list node, item string) {
	if list.flow {
		l.addFlow(list, item)
		return
	}
	l.insert(list.end, strings.Repeat(" ", l.dash(list))+"- "+item)
}

// block adds lines to a mapping or, with a dash before the first, to a list.
func (l *Lines) block(n node, text, dash string) error {
	if n.flow {
		text = inBraces(strings.Split(strings.TrimRight(text, "\n"), "\n"))
		if dash == "" { // a key with what belongs to it, instead of a mapping of its own
			text = strings.TrimSuffix(strings.TrimPrefix(text, "{"), "}")
		}
		text = strings.TrimSuffix(strings.TrimPrefix(text, "["), "]")
		l.addFlow(n, text)
		return nil
	}
	indent := l.dash(n)
	if dash == "" {
		indent = l.below(n)
	}
	var lines []string
	for _, line := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		lines = append(lines, strings.Repeat(" ", indent)+line)
	}
	l.insert(n.end, lines...)
	return nil
}

// below is the indentation of the keys of a block.
func (l *Lines) below(n node) int {
	if _, _, indent := l.find("", n.at+1, n.end); indent >= 0 {
		return indent
	}
	return n.indent + 2
}

// set gives a key of a mapping a value as YAML has it.
func (l *Lines) set(n node, key, value string) error {
	old, ok := l.child(n, key)
	switch {
	case ok && (old.flow || !old.scalar && old.end > old.at+1):
		return fmt.Errorf("%s: %s holds more than a text: change it with an editor", l.file, key)
	case ok && n.flow:
		l.splice(old.from, old.to, strings.Repeat(" ", 1-old.blank(l))+value)
	case ok:
		l.lines[old.at] = replaceValue(l.lines[old.at], value)
	case n.flow:
		l.addFlow(n, strings.TrimSpace(key+": "+value))
	default:
		l.insert(n.end, strings.TrimRight(strings.Repeat(" ", l.below(n))+key+": "+value, " "))
	}
	return nil
}

// remove takes a key with all that belongs to it away.
func (l *Lines) remove(n node, key string) {
	if !n.flow {
		if at, end, _ := l.find(key, n.at+1, n.end); at >= 0 {
			line := l.lines[at]
			comment := line[len(withoutComment(line)):]
			l.lines = append(l.lines[:at:at], l.lines[end:]...)
			if comment != "" { // it may speak of more than what goes
				l.insert(at, line[:len(line)-len(strings.TrimLeft(line, " "))]+comment)
			}
		}
		return
	}
	all := l.all()
	parts := flowParts(all, n.from)
	for i, p := range parts {
		m := flowKey().FindStringSubmatch(all[p.from:p.to])
		switch {
		case m == nil || m[1]+m[2]+m[3] != key:
		case i+1 < len(parts):
			l.splice(p.from, parts[i+1].from, "")
		case i > 0:
			l.splice(parts[i-1].to, p.to, "")
		default:
			l.splice(p.from, p.to, "")
		}
	}
}

// replaceValue puts a value behind the key of a line and keeps a comment.
func replaceValue(line, value string) string {
	m := keyLine().FindStringSubmatchIndex(line)
	colon := len(line)
	if m[8] >= 0 {
		colon = m[8]
	}
	head := strings.TrimRight(line[:colon], " \t")
	rest := line[colon:]
	comment := rest[len(withoutComment(rest)):]
	if comment != "" {
		comment = "  " + comment
	}
	return head + " " + value + comment
}
