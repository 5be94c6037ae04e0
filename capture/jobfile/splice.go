package jobfile

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/capture/jobfile/yamlfile"
)

// splice puts text in the place of a stretch of the file, and reads it anew: nodes
// are good until then.
func (l *Lines) splice(from, to int, text string) error {
	l.text = l.text[:from] + text + l.text[to:]
	root, err := yamlfile.Parse(l.file, []byte(l.text))
	if err != nil {
		return fmt.Errorf("%w (%w)", l.unfit(), err)
	}
	if l.root = root; !root.Placed() {
		return l.unfit()
	}
	return nil
}

func (l *Lines) unfit() error {
	return fmt.Errorf("%s: the change does not fit into the file as it is written, so nothing was changed; make it with an editor", l.file)
}

// at is the value to which keys, and the indices of items, lead; nil if there is none.
func (l *Lines) at(path []string) *yamlfile.Node {
	n := l.root
	for _, step := range path {
		n = n.Child(step)
	}
	return n
}

// need is what at gives. What an edit has put there may have become part of something
// else, as behind a dash at the end of a file.
func (l *Lines) need(path []string) (*yamlfile.Node, error) {
	n := l.at(path)
	if n == nil {
		return nil, l.unfit()
	}
	return n, nil
}

// textOf is the text of a value, "" of none.
func textOf(n *yamlfile.Node) string {
	if n == nil {
		return ""
	}
	return strings.TrimSpace(n.Text)
}

// open makes sure that keys lead from a value to one that takes entries, and gives the
// path there. Where brackets are open around it, the last is made as empty says, {} or [].
func (l *Lines) open(path []string, empty string, keys ...string) ([]string, error) {
	for i, key := range keys {
		in, err := l.need(path)
		if err != nil {
			return nil, err
		}
		made := empty
		if i+1 < len(keys) {
			made = "{}"
		}
		path = slices.Concat(path, []string{key})
		n := l.at(path)
		switch {
		case n == nil && in.Flow:
			err = l.add(in, key+": "+made)
		case n == nil:
			err = l.add(in, key+":")
		case n.Kind == yamlfile.Scalar:
			err = fmt.Errorf("%s: %s has a value of its own: change it with an editor", l.file, key)
		case n.Kind == yamlfile.Null && in.Flow:
			err = l.write(n, made, true)
		case n.Kind == yamlfile.Null && n.From < n.To, !in.Flow && slices.Contains([]string{"{}", "[]"}, l.text[n.From:n.To]):
			err = l.write(n, "", false) // entries go on lines below the key
		}
		if err != nil {
			return nil, err
		}
	}
	_, err := l.need(path)
	return path, err
}

// ready puts braces into a stanza that has nothing in it and can have no lines below.
func (l *Lines) ready(stanza []string) ([]string, error) {
	if n := l.at(stanza); n.Kind == yamlfile.Null && (n.Flow || n.From < n.To) {
		return stanza, l.write(n, "{}", n.Flow)
	}
	return stanza, nil
}

// set gives a key of a mapping a value as YAML has it.
func (l *Lines) set(path []string, key, value string) error {
	in, err := l.need(path)
	if err != nil {
		return err
	}
	switch old := in.Child(key); {
	case old == nil:
		return l.add(in, key+": "+value)
	case old.Kind == yamlfile.Mapping || old.Kind == yamlfile.Sequence:
		return fmt.Errorf("%s: %s is not a single value: change it with an editor", l.file, key)
	default:
		return l.write(old, value, in.Flow)
	}
}

// write puts a value behind its key in the place of a text, or of nothing. A comment
// behind it stays. within tells that brackets are open around it.
func (l *Lines) write(n *yamlfile.Node, value string, within bool) error {
	from, rest := n.From, l.text[n.To:]
	before := strings.TrimRight(l.text[:from], " \t")
	switch first := l.column(len(before)) == 0; { // of its line
	case within && from == len(before):
		value = " " + value
	case within || first && value != "":
	case value == "":
		from = len(before)
	default:
		from, value = len(before), " "+value
	}
	if !within {
		rest = strings.TrimLeft(rest, " \t")
		comments := n.Comments(n.From, n.To) // before a text in lines of its own
		if strings.HasPrefix(rest, "#") {
			comments = append(comments, "")
		}
		for _, c := range comments {
			value += "  " + c
		}
	}
	return l.splice(from, len(l.text)-len(rest), value)
}

// replace puts anything in the place of a value with all that belongs to it, behind its
// key or dash. Comments within it come first.
func (l *Lines) replace(n *yamlfile.Node, value string) error {
	kept, lead := "", l.text[n.Lead:n.From]
	for _, c := range n.Comments(n.From, n.To) {
		kept += c + l.end + strings.Repeat(" ", l.column(n.Lead))
	}
	if strings.HasSuffix(lead, "-") || strings.HasSuffix(lead, ":") {
		lead += " "
	}
	if kept != "" && l.column(n.Lead) > 0 {
		kept = " " + kept
	}
	return l.splice(n.Lead, n.To, kept+lead+value)
}

// column is the number of bytes before a place on its line.
func (l *Lines) column(at int) int {
	return at - 1 - strings.LastIndexAny(l.text[:at], "\r\n")
}

// add puts entries, as lines that stand for themselves, behind those of a mapping or list.
func (l *Lines) add(n *yamlfile.Node, text string) error {
	if n.Flow {
		return l.addWithin(n, text)
	}
	last := n.To
	if n == l.root { // behind the last comment, too
		last = len(strings.TrimRight(l.text, " \t\r\n"))
	}
	at := yamlfile.LineEnd(l.text, last)
	lines := strings.Split(strings.TrimRight(text, " \n"), "\n")
	text = strings.Join(lines, l.end+strings.Repeat(" ", n.Indent))
	if strings.Trim(l.text, "\ufeff") == "" {
		return l.splice(at, at, text+l.end)
	}
	return l.splice(at, at, l.end+strings.Repeat(" ", n.Indent)+text)
}

// addWithin puts entries behind the last within brackets.
func (l *Lines) addWithin(n *yamlfile.Node, text string) error {
	entries, err := yamlfile.Parse(l.file, []byte(text))
	if err != nil {
		return err
	}
	text = inBrackets(entries, text)
	text = text[1 : len(text)-1]
	to := 0
	for _, k := range n.Keys {
		to = k.Value.To
	}
	for _, item := range n.Items {
		to = item.To
	}
	if to == 0 {
		return l.splice(n.To-1, n.To-1, text)
	}
	if !strings.ContainsRune("{[", rune(l.text[n.From])) { // a pair without braces in a list
		return l.splice(n.From, n.To, "{"+l.text[n.From:n.To]+", "+text+"}")
	}
	if rest := strings.TrimLeft(l.text[to:n.To-1], " \t\r\n"); strings.HasPrefix(rest, ",") { // one too many is allowed, and used
		return l.splice(n.To-len(rest), n.To-len(rest), " "+text)
	}
	return l.splice(to, to, ", "+text)
}

// inBrackets writes a value that stands in a text on one line.
func inBrackets(n *yamlfile.Node, text string) string {
	var parts []string
	for _, k := range n.Keys {
		parts = append(parts, strings.TrimRight(k.Name+": "+inBrackets(k.Value, text), " "))
	}
	for _, item := range n.Items {
		parts = append(parts, inBrackets(item, text))
	}
	switch {
	case n.Flow || parts == nil:
		return text[n.From:n.To]
	case n.Kind == yamlfile.Sequence:
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// remove takes a key of a mapping or an item of a list, if it is there, away with all
// that belongs to it.
// Comments stay: they may speak of more than what goes.
func (l *Lines) remove(path []string, key string) error {
	in, err := l.need(path)
	if err != nil {
		return err
	}
	n := in.Child(key)
	if n == nil {
		return nil
	}
	if in.Flow {
		return l.removeWithin(in, n)
	}
	from, end := len(strings.TrimRight(l.text[:n.Lead], " ")), yamlfile.LineEnd(l.text, n.To)
	kept := ""
	for _, c := range n.Comments(n.Lead, end) {
		kept += l.text[from:n.Lead] + c + l.end
	}
	rest := strings.TrimPrefix(strings.TrimPrefix(l.text[end:], "\r"), "\n")
	return l.splice(from, len(l.text)-len(rest), kept)
}

// removeWithin takes an entry out of braces.
func (l *Lines) removeWithin(in, n *yamlfile.Node) error {
	entries := slices.Clone(in.Items)
	for _, k := range in.Keys {
		entries = append(entries, k.Value)
	}
	i := slices.Index(entries, n)
	from, to := n.Lead, in.To-1
	switch {
	case i+1 < len(entries):
		to = entries[i+1].Lead
	case i > 0:
		from, to = entries[i-1].To, n.To
	}
	kept := ""
	for _, c := range n.Comments(from, to) {
		kept += " " + c + l.end + strings.Repeat(" ", l.column(from))
	}
	return l.splice(from, to, kept)
}
