package plan

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// transmitWords begin a word in the names of transmit recordings.
var transmitWords = []string{"tx", "transmit"}

// wordsOf are the words in the name of a file, without its folders and ending.
func wordsOf(file string) []string {
	base := strings.ToLower(file[strings.LastIndexAny(file, `/\`)+1:])
	if dot := strings.LastIndexByte(base, '.'); dot > 0 {
		base = base[:dot]
	}
	return strings.FieldsFunc(base, func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
}

func begins(word string, beginnings []string) bool {
	return slices.ContainsFunc(beginnings, func(b string) bool { return strings.HasPrefix(word, b) })
}

// guess is the test of a round that the name of a file speaks of, -1 if it
// speaks of none.
func guess(r *job.Round, file string) (int, error) {
	words := wordsOf(file)
	transmit := slices.ContainsFunc(words, func(w string) bool { return begins(w, transmitWords) })
	best, most, twice := -1, 0, false
	for i, t := range r.Tests {
		k, _ := job.KindOf(t.Kind)
		if k.Transmit != transmit {
			continue
		}
		score := 0
		for _, w := range words {
			if begins(w, k.Words) {
				score += 2
			}
			if score > 0 && slices.Contains(wordsOf(t.Name), w) {
				score++
			}
		}
		switch {
		case score > most:
			best, most, twice = i, score, false
		case score == most && score > 0:
			twice = true
		}
	}
	if twice {
		return -1, fmt.Errorf("%s: its name fits several tests: say which with --test, as --test %s", file, TypedTest(r.Tests[best]))
	}
	return best, nil
}

// TypedTest is a test as --test takes it.
func TypedTest(t job.Test) string {
	if t.Name == "" {
		return t.Kind
	}
	return t.Kind + ":" + t.Name
}

func isReference(file string) bool {
	return slices.ContainsFunc(wordsOf(file), func(w string) bool { return begins(w, []string{"monitor", "ref"}) })
}

// stateInName is the state of the signal that the name of a file speaks of, ""
// for none.
func stateInName(file string) string {
	words := wordsOf(file)
	joined := strings.Join(words, "")
	switch {
	case slices.Contains(words, job.StateOff) || slices.Contains(words, "nosignal"):
		return job.StateOff
	case strings.Contains(joined, "nomod"), strings.Contains(joined, "unmod"), strings.Contains(joined, "modoff"), begins(joined, []string{"carrier"}), slices.Contains(words, "carrier"), slices.Contains(words, "shorted"):
		return job.StateCarrier
	case slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(w, "mod") }):
		return job.StateModulated
	}
	return ""
}

var (
	nameFrequency = unit.LazyPattern(`(?i)(?:^|[^0-9.,+-])([+-]?)([0-9]+(?:[.,][0-9]+)?)[ _]?(k?hz)(?:[^a-z0-9]|$)`) // a '-' is a sign
	nameInput     = unit.LazyPattern(`(?i)(?:^|[^a-z0-9.,])(?:([0-9]+(?:[.,][0-9]+)?)[ _]?([um]?v)|([+-][0-9]+(?:[.,][0-9]+)?)[ _]?db)(?:[^a-z0-9]|$)`)
	nameVolume    = unit.LazyPattern(`(?i)(?:^|[^a-z])vol(?:ume)?[ _-]*(min|max|[0-9]+(?:[.,][0-9]+)?)(?:[^a-z0-9]|$)`)
)

// placeInName is the place that the name of a file carries for a kind of test,
// as a person would type it; "" if it carries none.
func placeInName(k job.Kind, file string, level unit.LevelKind) (string, error) {
	base := file[strings.LastIndexAny(file, `/\`)+1:]
	switch k.Axis {
	case job.AxisLevel:
		text, ok, err := unit.DialledInFileName(file)
		if !ok || err != nil {
			return "", err
		}
		return unit.WithKind(text, level), nil
	case job.AxisTone, job.AxisOffset:
		m := nameFrequency().FindStringSubmatch(base)
		if m == nil {
			return "", nil
		}
		text := m[2] + " " + map[string]string{"hz": "Hz", "khz": "kHz"}[strings.ToLower(m[3])]
		if k.Axis == job.AxisOffset {
			text = m[1] + text
		}
		return text, nil
	case job.AxisInput:
		m := nameInput().FindStringSubmatch(base)
		switch {
		case m == nil:
			return "", nil
		case m[3] != "":
			return m[3] + " dB", nil
		}
		return m[1] + " " + map[string]string{"uv": "uV", "mv": "mV", "v": "V"}[strings.ToLower(m[2])], nil
	case job.AxisVolume:
		if m := nameVolume().FindStringSubmatch(base); m != nil {
			return strings.ToLower(m[1]), nil
		}
		return "", nil
	}
	state := stateInName(file)
	if !k.States || state == "" || state == job.StateOff {
		return state, nil
	}
	text, ok, err := unit.DialledInFileName(file)
	if !ok || err != nil {
		return state, err
	}
	return unit.WithKind(text, level) + " " + state, nil
}
