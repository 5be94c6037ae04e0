package main

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/cmd/internal/plan"
)

// question is one that is put on a terminal. An answer that does not fit is asked
// for once more; an empty one leaves it open.
type question struct {
	text string
	fits func(answer string) string // what is wrong with an answer, "" if nothing is; nil: any will do
	into *string
}

// put puts questions for everything that is not said yet. It ends with the answers.
func put(questions []question, in *bufio.Reader, out io.Writer) bool {
	for _, q := range questions {
		if q.into == nil || *q.into != "" {
			continue
		}
		for {
			fmt.Fprint(out, q.text+": ")
			line, err := in.ReadString('\n')
			*q.into = strings.TrimSpace(line)
			if err != nil {
				return false
			}
			if *q.into == "" || q.fits == nil {
				break
			}
			wrong := q.fits(*q.into)
			if wrong == "" {
				break
			}
			fmt.Fprintln(out, folded("  ", wrong))
		}
	}
	return true
}

// oneOf asks for one of some words.
func oneOf(text string, words []string, into *string) question {
	return question{text + " (" + strings.Join(words, ", ") + ")", func(answer string) string {
		if slices.Contains(words, strings.ToLower(answer)) {
			return ""
		}
		return answer + " is none of them"
	}, into}
}

// ask puts a question for everything that no flag has said.
func (f *jobNewFlags) ask(in *bufio.Reader, out io.Writer) {
	named := &f.plan
	if f.like != "" {
		named = nil // it is that of the earlier job
	}
	for f.number == "" { // there is no job without one
		if !put([]question{{"Number of the job", nil, &f.number}}, in, out) {
			return
		}
		if f.number == "" {
			fmt.Fprintln(out, folded("  ", "a job needs a number, as 0417"))
		}
	}
	if !put([]question{{"Set", nil, &f.set}, {"Serial number", nil, &f.serial}, oneOf("Mode", job.Modes, &f.mode),
		{"Customer", nil, &f.customer}, {"Fault reported", nil, &f.fault}, oneOf("Plan", []string{plan.Short, plan.Full}, named)}, in, out) {
		return
	}
	if f.like != "" || f.limits != "" {
		return
	}
	names := profilesFor(f.mode)
	fmt.Fprintln(out, folded("  ", "Limit profiles: "+strings.Join(names, ", ")))
	fits := func(answer string) string {
		if wrong := profilesFit(answer); wrong != "" {
			return wrong
		}
		return ofOtherMode(namesIn(answer), f.mode)
	}
	put([]question{{"Limits (empty: those of the shop, or none)", fits, &f.limits}}, in, out)
}

// ofOtherMode tells which built-in profile has no limit for a mode, and which have
// some; "" if none is of another mode.
func ofOtherMode(names []string, mode string) string {
	mode = strings.ToLower(mode)
	for _, name := range names {
		if p, err := limit.Lookup(name); err == nil && !slices.Contains(profilesFor(mode), p.Name) {
			return fmt.Sprintf("%s has no limit for %s; those that have: %s", name, mode, strings.Join(profilesFor(mode), ", "))
		}
	}
	return ""
}

// profilesFor are the built-in profiles with limits for a mode.
func profilesFor(mode string) []string {
	var names []string
	for _, p := range limit.Profiles() {
		if slices.ContainsFunc(p.Limits, func(l job.Limit) bool {
			return mode == "" || l.Conditions.Mode == "" || strings.EqualFold(l.Conditions.Mode, mode)
		}) {
			names = append(names, p.Name)
		}
	}
	return names
}

// profilesFit tells what is wrong with the names of limit profiles. Files are looked
// for when they are read.
func profilesFit(answer string) string {
	for _, name := range namesIn(answer) {
		if strings.HasSuffix(name, ".yaml") || strings.HasSuffix(name, ".yml") {
			continue
		}
		if _, err := limit.Lookup(name); err != nil {
			return name + " is none of them"
		}
	}
	return ""
}
