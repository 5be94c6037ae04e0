package jobfile

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/fuzzing"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
)

// bounded parses, and asserts what Go's fuzzing does not: time and memory.
func bounded(t *testing.T, data []byte) {
	var j *job.Job
	var err error
	fuzzing.Frugal(t, func() { j, err = Parse("job.yaml", data) })
	if err != nil {
		require.NotContains(t, err.Error(), "\n")
		require.Less(t, len(err.Error()), 1000)
		return
	}
	written, err := Marshal(j)
	require.NoError(t, err)
	again, err := Parse("job.yaml", written)
	require.NoError(t, err)
	require.Equal(t, j, again)
}

func FuzzParse(f *testing.F) {
	files, err := filepath.Glob(folder + "/*/*.yaml")
	require.NoError(f, err)
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(data)
	}
	for _, k := range job.Kinds() {
		f.Add(asJob(k.Sketch))
	}
	f.Fuzz(bounded)
}

// edits are those that fuzzing tries, each with the value that it may change.
func edits(i int, value string) []alteration {
	at := func(where string) string { return strings.Replace(where, "#", strconv.Itoa(i), 1) }
	return []alteration{
		set("customer", value, nil), set("set.serial", value, nil), set("rounds.as_found.conditions.channel", value, nil),
		{where: "rounds.as_left.tests", do: func(l *Lines) error { return l.Set("rounds.as_left.tests.hiss.note", value) }},
		{where: "work", do: func(l *Lines) error { return l.SetList("work", []string{value, "b"}) }},
		{where: "work", do: func(l *Lines) error { return l.Append([]string{"work"}, Text(value)) }},
		{where: "rounds.as_left.checks", do: func(l *Lines) error {
			return l.Append([]string{"rounds", "as_left", "checks"}, Flow("what", value, "answer", "no"))
		}},
		{where: at("work.#"), do: func(l *Lines) error { return l.Replace([]string{"work"}, i, Text(value)) }},
		{where: at("rounds.as_left.checks.#"), do: func(l *Lines) error {
			return l.Replace([]string{"rounds", "as_left", "checks"}, i, Flow("what", value))
		}},
		{where: "rounds.as_found", do: func(l *Lines) error {
			if l.at([]string{"rounds", "as_found"}) != nil {
				return l.AddTest("as_found", hum)
			}
			return l.AddRound("as_found", &job.Round{Tests: []job.Test{hum}, Checks: []job.Check{{What: value}}})
		}},
		{where: at("rounds.as_left.tests.#"), do: func(l *Lines) error { return l.SetTest("as_left", i, job.KeyNote, value) }},
		{where: at("rounds.as_left.tests.#"), do: func(l *Lines) error {
			return l.SetStretch("as_left", i, job.Take{File: value, To: 1})
		}},
		{where: at("rounds.as_left.tests.#"), do: func(l *Lines) error { return l.SetStepped("as_left", i, value, []string{"1 uV", "off"}) }},
		{where: at("rounds.as_left.tests.#"), do: func(l *Lines) error {
			j, err := Parse(Name, []byte(l.text))
			if err != nil || j.AsLeft == nil || i >= len(j.AsLeft.Tests) {
				return l.Record("as_left", i, job.Test{}, 0, job.Take{})
			}
			takes := append(j.AsLeft.Tests[i].AllTakes(), take("off", value))
			k := max(0, len(takes)-2) // the last that is there
			takes[k].File = value
			return l.Record("as_left", i, j.AsLeft.Tests[i], k, takes[k])
		}},
		{where: "equipment", do: func(l *Lines) error { return l.SetEquipment(job.Equipment{What: "counter", Note: value}) }},
	}
}

// FuzzEdit asserts that an edit leaves a job file, with all values but its own and all
// comments as they were.
func FuzzEdit(f *testing.F) {
	good, err := os.ReadFile(folder + "/good/job.yaml")
	require.NoError(f, err)
	for _, text := range []string{string(good), "job: a\nrounds:\n  as_left:\n    tests:\n      - hiss:\n      - quieting: {parts: [off, carrier]}\nwork: [a, b]\n"} {
		n, err := yamlfile.Parse(Name, []byte(text))
		require.NoError(f, err)
		for i, s := range styles() {
			if data := s.file(n); len(data) < 1000 || i%8 == 0 {
				f.Add(string(data), byte(i), byte(i%2), "a: b, \"c\" # d")
			}
		}
	}
	f.Fuzz(func(t *testing.T, text string, which, index byte, value string) {
		before, err := yamlfile.Parse(Name, []byte(text))
		if err != nil || !utf8.ValidString(value) {
			return
		}
		list := edits(int(index), value)
		a := list[int(which)%len(list)]
		data, err := changed(Name, []byte(text), func(data []byte) error { _, err := Parse(Name, data); return err }, a.do)
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			return
		}
		after, err := yamlfile.Parse(Name, data)
		require.NoError(t, err)
		was, is := map[string]string{}, map[string]string{}
		leaves(before, "", a.where, was)
		leaves(after, "", a.where, is)
		require.Equal(t, was, is, "%s", data)
		require.Equal(t, before.Comments(0, len(text)), after.Comments(0, len(data)), "%s", data)
		if key, named := strings.CutPrefix(a.name, "set "); named {
			require.Equal(t, value, at(after, key).Text, "%s", data)
		}
	})
}

func at(n *yamlfile.Node, key string) *yamlfile.Node {
	for step := range strings.SplitSeq(key, ".") {
		n = n.Child(step)
	}
	return n
}

// leaves are the texts of a file by their places, but for those below one of them.
func leaves(n *yamlfile.Node, path, but string, into map[string]string) {
	if path == "."+but {
		return
	}
	if n.Kind == yamlfile.Scalar {
		into[path] = strings.TrimSpace(n.Text) // as it is read
	}
	for _, k := range n.Keys {
		leaves(k.Value, path+"."+k.Name, but, into)
	}
	for i, item := range n.Items {
		leaves(item, path+"."+strconv.Itoa(i), but, into)
	}
}

// Bombs: what a megabyte of one pattern does.
func TestBombs(t *testing.T) {
	for _, size := range []int{1 << 20, 50_000} { // refused unread, and the most that is read
		for _, pattern := range []string{"[", "{", "- ", "a: ", "{a: ", "? ", "a: [", "\"", "'", "|\n ", "@", "#", "\n", "a: b\n", "[a, ", "!", "&a ", "*a ", "- - ", ": ", "\t", "é", "a:\n "} {
			bounded(t, []byte(strings.Repeat(pattern, size/len(pattern))))
		}
	}
	var indent strings.Builder
	for i := range 1400 {
		indent.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	bounded(t, []byte(indent.String()))
	laughs := "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\n"
	_, err := Parse("job.yaml", []byte(laughs))
	assert.ErrorContains(t, err, "an anchor (&) is not allowed")
}
