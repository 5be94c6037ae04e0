package jobfile

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
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
	return edit(file, func(data []byte) error {
		_, err := Parse(slashed(file), data)
		return err
	}, change)
}

// EditShop is Edit for a shop file.
func EditShop(file string, change func(*Lines) error) error {
	return edit(file, func(data []byte) error {
		_, err := ParseShop(slashed(file), data)
		return err
	}, change)
}

func edit(file string, parse func([]byte) error, change func(*Lines) error) error {
	data, err := read(file)
	if err != nil {
		return err
	}
	if err := parse(data); err != nil {
		return err
	}
	l := &Lines{file: slashed(file), end: "\n", parse: parse}
	if strings.Contains(string(data), "\r\n") {
		l.end = "\r\n"
	}
	const mark = "\ufeff" // a byte-order mark is no part of the first key
	plain, marked := strings.CutPrefix(string(data), mark)
	l.lines = strings.Split(strings.TrimRight(strings.ReplaceAll(plain, "\r\n", "\n"), "\n"), "\n")
	if err := change(l); err != nil {
		return err
	}
	text := []byte(strings.Join(l.lines, l.end) + l.end)
	if marked {
		text = append([]byte(mark), text...)
	}
	if err := l.check(text); err != nil {
		return err
	}
	return replace(file, text)
}

// check reads back what the change has made of the file. What is no YAML any
// more is the way in which the file is written; anything else is the new value.
func (l *Lines) check(text []byte) error {
	if _, err := yamlfile.Parse(l.file, text); err != nil {
		return fmt.Errorf("%s: the change does not fit into the file as it is written, so nothing was changed; make it with an editor (%w)", l.file, err)
	}
	err := l.parse(text)
	var wrong *yamlfile.Error
	if errors.As(err, &wrong) {
		return fmt.Errorf("%s; nothing was changed", wrong.Text)
	}
	return err
}

// Lines are the lines of a job file while it is edited.
type Lines struct {
	file  string
	lines []string
	end   string
	parse func([]byte) error
}

func (l *Lines) insert(at int, lines ...string) {
	l.lines = append(l.lines[:at:at], append(lines, l.lines[at:]...)...)
}

// Set gives a key a text; keys with a dot go one deeper, as set.serial. Below
// tests a kind names its test, with the test's name behind a colon where it has
// one, as rounds.as_left.tests.distortion:speaker.limit. A comment behind the
// value stays.
func (l *Lines) Set(key, value string) error {
	n := l.top()
	path := strings.Split(key, ".")
	for i, name := range path[:len(path)-1] {
		var err error
		if i > 0 && path[i-1] == "tests" {
			n, err = l.testNamed(n, name)
		} else {
			n, err = l.open(n, name)
		}
		if err != nil {
			return err
		}
	}
	return l.set(n, path[len(path)-1], valueOf(path[len(path)-1], value))
}

// SetList gives a key of the top a list of texts, in the place of what it had.
func (l *Lines) SetList(key string, items []string) error {
	text := "[" + strings.Join(each(items, orEmpty), ", ") + "]"
	if old, ok := l.child(l.top(), key); ok && old.flow {
		l.splice(old.from, old.to, text)
		return nil
	}
	l.remove(l.top(), key)
	return l.set(l.top(), key, text)
}

// testNamed is the stanza of a test in a list of tests, by kind or kind:name.
func (l *Lines) testNamed(tests node, which string) (node, error) {
	kind, name, _ := strings.Cut(which, ":")
	for _, item := range l.items(tests) {
		stanza, ok := l.child(item, kind)
		if !ok {
			continue
		}
		own, _ := l.child(stanza, job.KeyName)
		if got := l.text(own); name == "" || strings.EqualFold(got, name) {
			return stanza, nil
		}
	}
	return node{}, fmt.Errorf("there is no test of %s in that round; nothing was changed", which)
}

// Append adds an item to a list below a path of keys, which is made where it is
// not there yet: Append([]string{"rounds", "as_left", "checks"}, "{...}").
func (l *Lines) Append(path []string, item string) error {
	n := l.top()
	for i, key := range path {
		var err error
		if i < len(path)-1 {
			n, err = l.open(n, key)
		} else {
			n, err = l.list(n, key)
		}
		if err != nil {
			return err
		}
	}
	l.add(n, item)
	return nil
}

// Replace puts another item in the place of one of a list, by its index.
func (l *Lines) Replace(path []string, index int, item string) error {
	n := l.top()
	for _, key := range path {
		var ok bool
		if n, ok = l.child(n, key); !ok {
			return fmt.Errorf("%s: has no %s", l.file, key)
		}
	}
	items := l.items(n)
	if index >= len(items) {
		return fmt.Errorf("%s: has no entry %d of %s", l.file, index+1, path[len(path)-1])
	}
	old := items[index]
	if !old.flow && !old.scalar { // a block of several lines gives way to one
		first := l.lines[old.at+1]
		dash := strings.Index(first, "- ")
		l.lines = append(l.lines[:old.at+1:old.at+1], append([]string{first[:dash] + "- " + item}, l.lines[old.end:]...)...)
		return nil
	}
	l.splice(old.from, old.to, item)
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

// Meter writes a meter reading as an item of a list.
func Meter(m job.MeterReading) string {
	limit := scalar(m.Limit)
	if m.Nominal != "" {
		limit = flow(entry{"nominal", scalar(m.Nominal)}, entry{"within", scalar(m.Within)})
	}
	return flow(entry{"what", scalar(m.What)}, entry{"value", scalar(m.Value)}, entry{"limit", limit}, entry{"note", scalar(m.Note)})
}

// AddRound writes a round below the others. It must not be there yet.
func (l *Lines) AddRound(name string, r *job.Round) error {
	rounds, err := l.open(l.top(), "rounds")
	if err != nil {
		return err
	}
	w := &writer{}
	w.round(name, r)
	return l.block(rounds, w.String(), "")
}

// AddTest adds a test to a round.
func (l *Lines) AddTest(round string, t job.Test) error {
	n := l.top()
	for _, key := range []string{"rounds", round} {
		var err error
		if n, err = l.open(n, key); err != nil {
			return err
		}
	}
	tests, err := l.list(n, "tests")
	if err != nil {
		return err
	}
	w := &writer{}
	w.test(t)
	return l.block(tests, w.String(), "- ")
}

// stanza is that of a test of a round, by its index.
func (l *Lines) stanza(round string, index int) (node, error) {
	n := l.top()
	for _, key := range []string{"rounds", round, "tests"} {
		var ok bool
		if n, ok = l.child(n, key); !ok {
			return n, fmt.Errorf("%s: has no %s", l.file, key)
		}
	}
	items := l.items(n)
	if index >= len(items) {
		return n, fmt.Errorf("%s: has no test %d in round %s", l.file, index+1, round)
	}
	for _, k := range job.Kinds() {
		s, ok := l.child(items[index], k.Name)
		if ok && s.scalar { // nothing, or a word for it
			l.splice(s.from, s.to, strings.Repeat(" ", 1-s.blank(l))+"{}")
			return l.stanza(round, index)
		}
		if ok {
			return s, nil
		}
	}
	return n, fmt.Errorf("%s: test %d of round %s cannot be found", l.file, index+1, round)
}

// SetTest gives a key of a test a text. index counts the tests of the round
// from 0.
func (l *Lines) SetTest(round string, index int, key, value string) error {
	s, err := l.stanza(round, index)
	if err != nil {
		return err
	}
	return l.set(s, key, valueOf(key, value))
}

// Record gives the entry i of a test's recordings its place and file, or adds
// one behind the last. index counts the tests of the round from 0. A list of
// places without a file becomes recordings first.
func (l *Lines) Record(round string, index int, t job.Test, i int, take job.Take) error {
	kind, _ := job.KindOf(t.Kind)
	s, err := l.stanza(round, index)
	if err != nil {
		return err
	}
	if _, listed := l.child(s, kind.AxisKey()); listed {
		l.remove(s, kind.AxisKey())
		for _, planned := range t.AllTakes() {
			list, err := l.recordings(round, index)
			if err != nil {
				return err
			}
			l.add(list, Recording(kind, planned))
		}
	}
	list, err := l.recordings(round, index)
	if err != nil {
		return err
	}
	if i >= len(l.items(list)) {
		l.add(list, Recording(kind, take))
		return nil
	}
	key := kind.Axis
	if key == "" {
		key = job.KeyPart
	}
	for _, e := range append([]entry{{key, kind.Place(take)}}, stretch(take)...) {
		if e.value == "" {
			continue
		}
		if list, err = l.recordings(round, index); err != nil {
			return err
		}
		item := l.items(list)[i]
		if old, ok := l.child(item, e.key); ok && l.text(old) == e.value {
			continue // as it was typed
		}
		value := e.value // written already, but for the place
		if e.key == key {
			value = orEmpty(e.value)
		}
		if err := l.set(item, e.key, value); err != nil {
			return err
		}
	}
	return nil
}

// recordings is the list of recordings of a test, made where it is not there yet.
func (l *Lines) recordings(round string, index int) (node, error) {
	s, err := l.stanza(round, index)
	if err != nil {
		return s, err
	}
	return l.list(s, job.KeyRecordings)
}
