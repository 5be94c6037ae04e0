package jobfile

import (
	"fmt"
	"slices"
	"strconv"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
)

// places leads to all entries of a round, or of all rounds (round empty), that have a file.
func (l *Lines) places(round, file string) [][]string {
	var found [][]string
	for _, name := range []string{job.AsFound, job.AsLeft} {
		tests := l.at([]string{"rounds", name, "tests"})
		if tests == nil || round != "" && round != name {
			continue
		}
		for i, test := range tests.Items {
			for _, kind := range test.Keys {
				found = append(found, l.withFile([]string{"rounds", name, "tests", strconv.Itoa(i), kind.Name}, file)...)
			}
		}
	}
	return found
}

// references leads to the stanzas that name a file as their reference.
func (l *Lines) references(round, file string) [][]string {
	var found [][]string
	for _, name := range []string{job.AsFound, job.AsLeft} {
		tests := l.at([]string{"rounds", name, "tests"})
		if tests == nil || round != "" && round != name {
			continue
		}
		for i, test := range tests.Items {
			for _, kind := range test.Keys {
				if textOf(kind.Value.Child(job.SettingReferenceFile)) == file {
					found = append(found, []string{"rounds", name, "tests", strconv.Itoa(i), kind.Name})
				}
			}
		}
	}
	return found
}

// RemoveFile takes a recording out of a round. A place that was planned stays, to be
// recorded; of a test that is after a point, whose levels show at the bench, the entry
// goes.
func (l *Lines) RemoveFile(round, file string) error {
	found := l.places(round, file)
	slices.Reverse(found) // so that those before keep their numbers
	for _, path := range found {
		kind, _ := job.KindOf(path[4])
		if kind.Point && len(path) > 5 {
			if err := l.Remove(path...); err != nil {
				return err
			}
			continue
		}
		for _, key := range []string{job.KeyFrom, job.KeyTo, job.KeyVolts, job.KeyFile} {
			if err := l.remove(path, key); err != nil {
				return err
			}
		}
	}
	references := l.references(round, file)
	for _, path := range references {
		if err := l.remove(path, job.SettingReferenceFile); err != nil {
			return err
		}
	}
	for _, path := range slices.Concat(found, references) {
		if err := l.braced(path[:5]); err != nil {
			return err
		}
	}
	if len(found)+len(references) == 0 {
		return fmt.Errorf("%s: is not a recording of the job; add it with hisspoint job add", file)
	}
	return nil
}

// braced writes a stanza, or a list of recordings, of which nothing is left as one.
func (l *Lines) braced(stanza []string) error {
	if list := append(slices.Clone(stanza), job.KeyRecordings); l.at(list) != nil && len(l.at(list).Items) == 0 {
		if err := l.remove(stanza, job.KeyRecordings); err != nil {
			return err
		}
	}
	if n := l.at(stanza); n != nil && n.Kind == yamlfile.Null {
		return l.write(n, "{}", n.Flow)
	}
	return nil
}

// ReplaceFile puts another file in the place of one, wherever the job has it.
func (l *Lines) ReplaceFile(old, fresh string) error {
	found, references := l.places("", old), l.references("", old)
	for _, path := range found {
		if err := l.set(path, job.KeyFile, orEmpty(fresh)); err != nil {
			return err
		}
	}
	for _, path := range references {
		if err := l.set(path, job.SettingReferenceFile, orEmpty(fresh)); err != nil {
			return err
		}
	}
	if len(found)+len(references) == 0 {
		return fmt.Errorf("%s: is not a recording of the job; add it with hisspoint job add", old)
	}
	return nil
}

// Keep writes down what a recording is, in the place of what was kept of it before.
func (l *Lines) Keep(k job.Kept) error {
	if list := l.root.Child("files"); list != nil {
		for i, item := range list.Items {
			if textOf(item.Child(job.KeyFile)) == k.File {
				return l.Replace([]string{"files"}, i, keptText(k))
			}
		}
	}
	return l.Append([]string{"files"}, keptText(k))
}

func keptText(k job.Kept) string {
	meant := ""
	if k.Meant {
		meant = "yes"
	}
	return flow(entry{job.KeyFile, orEmpty(k.File)}, entry{"bytes", strconv.FormatInt(k.Bytes, 10)}, entry{"sha256", quoted(k.SHA256)},
		entry{"recorded", scalar(k.Recorded)}, entry{"meant", meant})
}

// Forget takes what was kept of a recording away, if nothing of the job uses it any more.
func (l *Lines) Forget(file string) error {
	list := l.root.Child("files")
	if list == nil || len(l.places("", file))+len(l.references("", file)) > 0 {
		return nil
	}
	for i, item := range list.Items {
		if textOf(item.Child(job.KeyFile)) != file {
			continue
		}
		if len(list.Items) == 1 {
			return l.remove(nil, "files")
		}
		return l.remove([]string{"files"}, strconv.Itoa(i))
	}
	return nil
}
