package jobfile

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// SetStretch gives a test its one file with the part of it that is used and what
// was read while it was made.
func (l *Lines) SetStretch(round string, index int, take job.Take) error {
	for _, e := range stretch(take) {
		if e.value == "" {
			continue
		}
		s, err := l.stanza(round, index)
		if err != nil {
			return err
		}
		if err := l.set(s, e.key, e.value); err != nil {
			return err
		}
	}
	return nil
}

// SetOfFile gives a key of the recording that has a file a text: of an entry of a
// test's recordings, or of a test with that one file. round "" looks in all of them.
func (l *Lines) SetOfFile(round, file, key, value string) error {
	var found []node
	rounds, _ := l.child(l.top(), "rounds")
	for _, name := range []string{"as_found", "as_left"} {
		r, ok := l.child(rounds, name)
		tests, has := l.child(r, "tests")
		if !ok || !has || round != "" && round != name {
			continue
		}
		for _, item := range l.items(tests) {
			for _, k := range job.Kinds() {
				if s, ok := l.child(item, k.Name); ok && !s.scalar {
					found = append(found, l.withFile(s, file)...)
				}
			}
		}
	}
	switch {
	case len(found) == 0:
		return fmt.Errorf("%s: is no recording of the job; add it with hisspoint job add", file)
	case len(found) > 1:
		return fmt.Errorf("%s: stands in %d places of the job: name it with its test instead, as hisspoint job set tests.distortion.%s", file, len(found), key)
	}
	if slices.Contains([]string{job.KeyFrom, job.KeyTo, job.KeyVolts}, key) {
		v, err := unit.ParseNumber(strings.TrimRight(value, " sV"))
		if err != nil {
			return fmt.Errorf("%s: %q is no number; nothing was changed", key, value)
		}
		return l.set(found[0], key, number64(v))
	}
	return l.set(found[0], key, orEmpty(value))
}

// withFile are the entries of a stanza that have a file, or the stanza itself.
func (l *Lines) withFile(s node, file string) []node {
	var out []node
	if own, ok := l.child(s, job.KeyFile); ok && l.text(own) == file {
		out = append(out, s)
	}
	list, ok := l.child(s, job.KeyRecordings)
	if !ok || list.scalar {
		return out
	}
	for _, item := range l.items(list) {
		if own, ok := l.child(item, job.KeyFile); ok && l.text(own) == file {
			out = append(out, item)
		}
	}
	return out
}

// valueOf is a value as it is written: a figure without quotes where the key takes a
// plain number, else a text.
func valueOf(key, value string) string {
	number := key == job.KeyFrom || key == job.KeyTo || key == "reflection_factor"
	for _, ending := range []string{"_db", "_volts", "_ohms", "_mhz", "_hz", "_percent"} {
		number = number || strings.HasSuffix(key, ending)
	}
	if v, err := unit.ParseNumber(value); number && err == nil {
		return number64(v)
	}
	return orEmpty(value)
}

// SetStepped makes a test one file in which the generator was stepped through a list
// of levels, in the place of the recordings or levels that it had planned. index
// counts the tests of the round from 0.
func (l *Lines) SetStepped(round string, index int, file string, levels []string) error {
	for _, planned := range []string{job.KeyRecordings, "levels"} {
		s, err := l.stanza(round, index)
		if err != nil {
			return err
		}
		if _, there := l.child(s, planned); there {
			l.remove(s, planned)
		}
	}
	for _, e := range []entry{{job.KeyFile, scalar(file)}, {"levels", "[" + strings.Join(each(levels, orEmpty), ", ") + "]"}} {
		s, err := l.stanza(round, index)
		if err != nil {
			return err
		}
		if err := l.set(s, e.key, e.value); err != nil {
			return err
		}
	}
	return nil
}
