package job

import (
	"fmt"
	"slices"
)

// Kept is what a recording was when the job took it.
type Kept struct {
	File     string
	Bytes    int64
	SHA256   string // of the whole file, lower-case hex
	Recorded string // when the file was written last, UTC: 2026-11-02T10:15:00Z
	Meant    bool   // somebody said that it may be the same sound as another
}

// KeptOf is what a recording was when the job took it; ok is false if it kept nothing of it.
func (j *Job) KeptOf(file string) (Kept, bool) {
	return find(j.Kept, func(k Kept) bool { return k.File == file })
}

// Uses are the rounds and tests that use a file: "as_found, hum and noise".
func (j *Job) Uses(file string) (where []string) {
	for name, r := range j.Rounds() {
		for _, t := range r.Tests {
			if slices.Contains(t.Files(), file) {
				where = append(where, plainName(name)+", "+t.Label())
			}
		}
	}
	return where
}

// NotAsKept says what is wrong with the identity of a file that now has a sum: it changed
// since the job took it, or another recording of the job is the same sound byte for byte.
// Empty: nothing is known against it.
func (j *Job) NotAsKept(file, sum string) string {
	own, ok := j.KeptOf(file)
	if !ok || sum == "" {
		return ""
	}
	if own.SHA256 != sum {
		return fmt.Sprintf("%s is not the file that was added (of %s): if that was meant, hisspoint job replace %q %q", file, own.Recorded, file, file)
	}
	for _, k := range j.Kept {
		if k.File == file || k.SHA256 != sum || k.Meant || own.Meant {
			continue
		}
		if where := j.Uses(k.File); len(where) > 0 {
			return fmt.Sprintf("%s is the same sound, byte for byte, as %s (%s): name the right recording with hisspoint job replace %q NEW, or say that it was meant with %q in the place of NEW",
				file, k.File, where[0], file, file)
		}
	}
	return ""
}
