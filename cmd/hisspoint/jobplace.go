package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"hisspoint/capture/jobfile"
)

// placed are the job commands that take a job by --job.
var placed = []string{"add", "set", "part", "note", "reading", "check", "remove", "move", "replace", "undo"}

// placeNotFlag lets a job be named first behind a job command, as --job does:
// job check 0612.
func placeNotFlag(args []string) []string {
	if len(args) < 3 || args[0] != "job" || !slices.Contains(placed, args[1]) || slices.ContainsFunc(args, func(a string) bool { return a == "--job" || strings.HasPrefix(a, "--job=") }) {
		return args
	}
	if !isJob(args[2]) {
		return args
	}
	return slices.Concat(args[:2], []string{"--job", args[2]}, args[3:])
}

// isJob tells whether a word names a job: its folder, or its file.
func isJob(word string) bool {
	if filepath.Base(word) == jobfile.Name {
		info, err := os.Stat(word)
		return err == nil && !info.IsDir()
	}
	info, err := os.Stat(filepath.Join(word, jobfile.Name))
	return err == nil && !info.IsDir()
}

var numbered = regexp.MustCompile(`^([^0-9]*)([0-9]+)-([^0-9]*)([0-9]+)$`)

// mostInRange is more than anybody replaces, or takes in, at once.
const mostInRange = 100

// ranged are words with their ranges written out: C1-C3 is C1, C2, C3, and 0612-0614 is
// 0612, 0613, 0614. The second name may leave its letters out.
func ranged(words []string) ([]string, error) {
	var out []string
	for _, w := range words {
		m := numbered.FindStringSubmatch(w)
		if m == nil || m[3] != "" && m[3] != m[1] {
			out = append(out, w)
			continue
		}
		first, errA := strconv.Atoi(m[2])
		last, errB := strconv.Atoi(m[4])
		if errA != nil || errB != nil || last < first || last-first >= mostInRange {
			return nil, fmt.Errorf("%s: is no range of up to %d; name them one by one", w, mostInRange)
		}
		for n := first; n <= last; n++ {
			out = append(out, fmt.Sprintf("%s%0*d", m[1], len(m[2]), n))
		}
	}
	return out, nil
}

// dateKeys are those that take a day.
var dateKeys = []string{"tested", "received", "issued", "calibrated"}

// dated is a value with the word today written as the day that it is.
func dated(key, value string) string {
	if slices.Contains(dateKeys, key[strings.LastIndexByte(key, '.')+1:]) && strings.EqualFold(value, "today") {
		return time.Now().Format(time.DateOnly)
	}
	return value
}
