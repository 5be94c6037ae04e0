package jobfile

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// SetStretch gives a test its one file with the part of it that is used and what
// was read while it was made.
func (l *Lines) SetStretch(round string, index int, take job.Take) error {
	s, err := l.stanza(round, index)
	if err != nil {
		return err
	}
	return l.setEach(s, stretch(take))
}

// setEach gives keys of a mapping values, but for empty ones.
func (l *Lines) setEach(path []string, list []entry) error {
	for _, e := range list {
		if e.value == "" {
			continue
		}
		if err := l.set(path, e.key, e.value); err != nil {
			return err
		}
	}
	return nil
}

// SetOfFile gives a key of the recording that has a file a text: of an entry of a
// test's recordings, or of a test with that one file. round "" looks in all of them.
func (l *Lines) SetOfFile(round, file, key, value string) error {
	found := l.places(round, file)
	switch {
	case len(found) == 0:
		return fmt.Errorf("%s: is not a recording of the job; add it with hisspoint job add", file)
	case len(found) > 1:
		return fmt.Errorf("%s: is in %d places of the job: name it with its test instead, as hisspoint job set tests.distortion.%s", file, len(found), key)
	}
	if slices.Contains([]string{job.KeyFrom, job.KeyTo, job.KeyVolts}, key) {
		v, err := unit.ParseNumber(strings.TrimRight(value, " sV"))
		if err != nil {
			return fmt.Errorf("%s: %q is not a number; nothing was changed", key, value)
		}
		return l.set(found[0], key, number64(v))
	}
	return l.set(found[0], key, orEmpty(value))
}

// withFile leads to the entries of a stanza that have a file, or to the stanza itself.
func (l *Lines) withFile(stanza []string, file string) [][]string {
	var out [][]string
	if textOf(l.at(stanza).Child(job.KeyFile)) == file {
		out = append(out, stanza)
	}
	list := slices.Concat(stanza, []string{job.KeyRecordings})
	if recordings := l.at(list); recordings != nil {
		for i, item := range recordings.Items {
			if textOf(item.Child(job.KeyFile)) == file {
				out = append(out, slices.Concat(list, []string{strconv.Itoa(i)}))
			}
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

// SetStepped makes a test one file in which the generator (or what its kind goes by) was
// stepped through a list of levels (or other places), in the place of what it had planned.
// index counts the tests of the round from 0.
func (l *Lines) SetStepped(round string, index int, file string, levels []string) error {
	s, err := l.stanza(round, index)
	if err != nil {
		return err
	}
	kind, _ := job.KindOf(s[len(s)-1])
	for _, planned := range []string{job.KeyRecordings, kind.AxisKey()} {
		if err := l.remove(s, planned); err != nil {
			return err
		}
	}
	return l.setEach(s, []entry{{job.KeyFile, scalar(file)}, {kind.AxisKey(), "[" + strings.Join(each(levels, orEmpty), ", ") + "]"}})
}

// MoveLevels gives the levels of a round that are not recorded yet other texts, as
// job.Test.Dialled does.
func (l *Lines) MoveLevels(round string, r *job.Round, as func(text string) string) error {
	for i, t := range r.Tests {
		kind, _ := job.KindOf(t.Kind)
		if t.Stanza == nil {
			continue
		}
		s, err := l.stanza(round, i)
		if err != nil {
			return err
		}
		if t.Planned() && t.Stanza.LevelTyped != "" {
			if err := l.reword(s, job.KeyLevel, as); err != nil {
				return err
			}
		}
		for n, k := range t.AllTakes() {
			at, key := slices.Concat(s, []string{job.KeyRecordings, strconv.Itoa(n)}), kind.Axis
			if key == "" {
				key = job.KeyPart
			}
			if t.OneFile() {
				at, key = slices.Concat(s, []string{kind.AxisKey()}), strconv.Itoa(n)
			}
			if k.File != "" || k.Typed == "" || l.at(at) == nil {
				continue
			}
			if err := l.reword(at, key, as); err != nil {
				return err
			}
		}
	}
	return nil
}

// reword gives the level in a text, which may have a state behind it, other words.
func (l *Lines) reword(in []string, key string, as func(text string) string) error {
	n := l.at(in).Child(key)
	if n == nil {
		return nil
	}
	text, state := textOf(n), ""
	if fields := strings.Fields(text); len(fields) > 1 && slices.Contains(job.States, strings.ToLower(fields[len(fields)-1])) {
		text, state = strings.Join(fields[:len(fields)-1], " "), " "+fields[len(fields)-1]
	}
	if as(text) == text {
		return nil
	}
	return l.write(n, orEmpty(as(text)+state), n.Flow || l.at(in).Flow)
}
