package jobfile

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
)

// Edit changes a job file and leaves every line alone that it does not have to
// touch: comments, order and the way things are written stay as a person typed
// them. change gets the lines of the file. What comes out has to be a job file
// again, or nothing is written.
//
// command is what the journal calls it: hisspoint job undo takes it back.
func Edit(fileOrFolder, command string, change func(*Lines) error) error {
	file := fileOf(fileOrFolder)
	return edit(file, command, func(data []byte) error {
		_, err := Parse(slashed(file), data)
		return err
	}, change)
}

// fileOf is a job's file, named itself or by its folder.
func fileOf(fileOrFolder string) string {
	if info, err := os.Stat(fileOrFolder); err == nil && info.IsDir() {
		return filepath.Join(fileOrFolder, Name)
	}
	return fileOrFolder
}

// EditShop is Edit for a shop file.
func EditShop(file string, change func(*Lines) error) error {
	return edit(file, "", func(data []byte) error {
		_, err := ParseShop(slashed(file), data)
		return err
	}, change)
}

// edit changes a file; without a command, no journal is kept of it.
func edit(file, command string, parse func([]byte) error, change func(*Lines) error) error {
	return wrote(file, write.Change(file, read, func(turn *write.Turn, before []byte) ([]byte, error) {
		data, err := changed(slashed(file), before, parse, change)
		if err == nil && command != "" && string(data) != string(before) {
			err = note(turn, file, command, before, data)
		}
		return data, err
	}))
}

// wrote tells of a failure of writing; other errors name the file already.
func wrote(file string, err error) error {
	var failed write.Failure
	if errors.As(err, &failed) {
		return unwritten(file, failed)
	}
	return err
}

// unchanged is the error of a change that would have spoilt its file. The line and
// column are those of a file that was never written, and are left out.
type unchanged struct{ why *yamlfile.Error }

func (u unchanged) Error() string { return u.why.Text + "; nothing was changed" }
func (u unchanged) Unwrap() error { return u.why }

// changed is what a change makes of a file.
func changed(file string, data []byte, parse func([]byte) error, change func(*Lines) error) ([]byte, error) {
	if err := parse(data); err != nil {
		return nil, err
	}
	l := &Lines{file: file, end: "\n"}
	if strings.Contains(string(data), "\r\n") {
		l.end = "\r\n"
	}
	if err := l.splice(0, 0, string(data)); err != nil {
		return nil, err
	}
	if err := change(l); err != nil {
		return nil, err
	}
	err := parse([]byte(l.text))
	var wrong *yamlfile.Error
	if errors.As(err, &wrong) {
		return nil, unchanged{wrong}
	}
	return []byte(l.text), err
}

// Lines are the lines of a job file while it is edited.
type Lines struct {
	file, text string
	end        string // of lines that are added
	root       *yamlfile.Node
}

// Set gives a key a text; keys with a dot go one deeper, as set.serial. Below
// tests a kind names its test, with the test's name behind a colon where it has
// one, as rounds.as_left.tests.distortion:speaker.limit. A comment behind the
// value stays.
func (l *Lines) Set(key, value string) error {
	var path []string
	keys := strings.Split(key, ".")
	key = keys[len(keys)-1]
	for i, name := range keys[:len(keys)-1] {
		var err error
		if i > 0 && keys[i-1] == "tests" {
			path, err = l.testNamed(path, name)
		} else {
			path, err = l.open(path, "{}", name)
		}
		if err != nil {
			return err
		}
	}
	return l.set(path, key, valueOf(key, value))
}

// SetList gives a key of the top a list of texts, in the place of what it had.
func (l *Lines) SetList(key string, items []string) error {
	return l.setItems(key, each(items, orEmpty))
}

// SetComplaints writes what the customer reported, in the place of what is there.
func (l *Lines) SetComplaints(all []job.Complaint) error {
	return l.setItems("complaints", each(all, Complaint))
}

func (l *Lines) setItems(key string, items []string) error {
	text := "[" + strings.Join(items, ", ") + "]"
	if old := l.root.Child(key); old != nil && old.Flow {
		return l.replace(old, text)
	}
	if err := l.remove(nil, key); err != nil {
		return err
	}
	return l.add(l.root, key+": "+text)
}

// testNamed leads to the stanza of a test in a list of tests, by kind or kind:name.
func (l *Lines) testNamed(tests []string, which string) ([]string, error) {
	kind, name, _ := strings.Cut(which, ":")
	for i, item := range l.at(tests).Items {
		stanza := item.Child(kind)
		if stanza != nil && (name == "" || strings.EqualFold(textOf(stanza.Child(job.KeyName)), name)) {
			return l.ready(slices.Concat(tests, []string{strconv.Itoa(i), kind}))
		}
	}
	return nil, fmt.Errorf("there is no test of %s in that round; nothing was changed", which)
}

// Append adds an item to a list below a path of keys, which is made where it is
// not there yet: Append([]string{"rounds", "as_left", "checks"}, "{...}").
func (l *Lines) Append(path []string, item string) error {
	list, err := l.open(nil, "[]", path...)
	if err != nil {
		return err
	}
	return l.add(l.at(list), "- "+item)
}

// Replace puts another item in the place of one of a list, by its index.
func (l *Lines) Replace(path []string, index int, item string) error {
	for i := range path {
		if l.at(path[:i+1]) == nil {
			return fmt.Errorf("%s: has no %s", l.file, path[i])
		}
	}
	old := l.at(path).Child(strconv.Itoa(index))
	if old == nil {
		return fmt.Errorf("%s: has no entry %d of %s", l.file, index+1, path[len(path)-1])
	}
	return l.replace(old, item)
}

// Remove takes an item of a list, by its index, or a key of a mapping away.
func (l *Lines) Remove(path ...string) error {
	in := path[:len(path)-1]
	for i := range in {
		if l.at(in[:i+1]) == nil {
			return fmt.Errorf("%s: has no %s", l.file, in[i])
		}
	}
	return l.remove(in, path[len(path)-1])
}

// Job is the job as its lines are now; neither shop nor limit files are read.
func (l *Lines) Job() (*job.Job, error) { return Parse(l.file, []byte(l.text)) }

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
	rounds, err := l.open(nil, "{}", "rounds")
	if err != nil {
		return err
	}
	w := &writer{}
	w.round(name, r)
	return l.add(l.at(rounds), w.String())
}

// AddTest adds a test to a round.
func (l *Lines) AddTest(round string, t job.Test) error {
	tests, err := l.open(nil, "[]", "rounds", round, "tests")
	if err != nil {
		return err
	}
	w := &writer{}
	w.test(t)
	return l.add(l.at(tests), w.String())
}

// stanza leads to that of a test of a round, by its index from 0.
func (l *Lines) stanza(round string, index int) ([]string, error) {
	path := []string{"rounds", round, "tests"}
	for i := range path {
		if l.at(path[:i+1]) == nil {
			return nil, fmt.Errorf("%s: has no %s", l.file, path[i])
		}
	}
	path = append(path, strconv.Itoa(index))
	test := l.at(path)
	if test == nil || len(test.Keys) != 1 {
		return nil, fmt.Errorf("%s: has no test %d in round %s", l.file, index+1, round)
	}
	return l.ready(append(path, test.Keys[0].Name))
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
	var planned []job.Take
	if l.at(s).Child(kind.AxisKey()) != nil {
		planned = t.AllTakes()
		if err := l.remove(s, kind.AxisKey()); err != nil {
			return err
		}
	}
	list, err := l.open(s, "[]", job.KeyRecordings)
	if err != nil {
		return err
	}
	for _, p := range planned {
		if err := l.add(l.at(list), "- "+Recording(kind, p)); err != nil {
			return err
		}
	}
	item := append(list, strconv.Itoa(i))
	if l.at(item) == nil {
		return l.add(l.at(list), "- "+Recording(kind, take))
	}
	key := kind.Axis
	if key == "" {
		key = job.KeyPart
	}
	for _, e := range append([]entry{{key, kind.Place(take)}}, stretch(take)...) {
		if e.value == "" || e.value == textOf(l.at(item).Child(e.key)) { // as it was typed
			continue
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
