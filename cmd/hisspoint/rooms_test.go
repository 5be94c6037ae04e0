package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// forbidden are imports that would break the flow capture -> analyze ->
// reports, which cmd wires, each with the reason. A trailing /... stands for
// the package and all below it. Test files are free to look across.
var forbidden = []struct {
	from, to, reason string
	but              string // a package of from that may
	besides          string // packages of to that anybody may
}{
	{from: "capture/...", to: "analyze/...", reason: "data flows from capture to analyze: a recording must not know what is read off it"},
	{from: "capture/...", to: "reports/...", reason: "data flows from capture to reports"},
	{from: "capture/...", to: "cmd/...", reason: "cmd wires, nothing wires cmd"},
	{from: "analyze/...", to: "reports/...", reason: "data flows from analyze to reports: a figure must not know how it is shown"},
	{from: "analyze/...", to: "cmd/...", reason: "cmd wires, nothing wires cmd"},
	{from: "reports/...", to: "cmd/...", reason: "cmd wires, nothing wires cmd"},

	{from: "analyze/...", to: "os", reason: "analysis takes recordings, not files"},
	{from: "analyze/...", to: "io/fs", reason: "analysis takes recordings, not files"},
	{from: "analyze/...", to: "path/filepath", reason: "analysis takes recordings, not files"},
	{from: "analyze/...", to: "hisspoint/capture/doors/...", but: "analyze/limit", reason: "analysis takes recordings, not files"},
	{from: "analyze/...", to: "log", reason: "what is to be said goes into the result"},
	{from: "analyze/...", to: "net", reason: "figures depend on the recording alone"},
	{from: "analyze/...", to: "time", reason: "figures depend on the recording alone: the same in, the same out"},
	{from: "analyze/internal/...", to: "hisspoint/capture/...", besides: "hisspoint/capture/dft", reason: "mathematics on blocks of numbers knows no recordings or jobs"},
	{from: "analyze/...", to: "hisspoint/capture/wav", reason: "analysis takes recordings, whatever file they came in"},
	{from: "analyze/...", to: "hisspoint/capture/jobfile/...", but: "analyze/limit", reason: "analysis takes the plain data of a job, not its file; a profile of limits is a file of its own"},
	{from: "analyze/...", to: "hisspoint/capture/simulate", reason: "the simulation is the yardstick of the analysis and may not be part of it"},
	{from: "capture/simulate", to: "hisspoint/analyze/...", reason: "a source of known answers shares no mathematics with what it checks; the transform, which both use, stands apart"},
	{from: "analyze/limit", to: "hisspoint/analyze/internal/...", reason: "judging needs results, not mathematics"},

	{from: "analyze/limit", to: "hisspoint/analyze/kind", reason: "a figure is judged by its name, whatever kind of test gave it"},

	{from: "capture/dft", to: "hisspoint/...", reason: "a transform is of numbers, whoever asks for it"},
	{from: "capture/doors/...", to: "hisspoint/capture/...", besides: "hisspoint/capture/doors/...", reason: "doors stand below all rooms"},
	{from: "capture/doors/...", to: "hisspoint/analyze/...", reason: "doors stand below all rooms"},
	{from: "reports/...", to: "hisspoint/capture/doors/read", reason: "a report reads no file"},
	{from: "reports/...", to: "hisspoint/capture/doors/write", reason: "a report is bytes; commands put them into files"},

	{from: "capture/unit", to: "hisspoint/...", reason: "units are the ground that all stand on"},
	{from: "capture/note", to: "hisspoint/...", reason: "a note is data that all may hold"},
	{from: "capture/note", to: "fmt", reason: "a note makes no words"},
	{from: "reports/sentence", to: "hisspoint/analyze/...", reason: "words know codes and figures, not how they were found"},
	{from: "reports/sentence", to: "hisspoint/reports/...", reason: "words do not know where they stand"},
	{from: "capture/wav", to: "hisspoint/capture/...", besides: "hisspoint/capture/doors/...", reason: "bytes to samples, without knowing what they mean"},
	{from: "capture/job", to: "hisspoint/capture/jobfile/...", reason: "a job is plain data, whatever file it stands in"},
	{from: "capture/job", to: "github.com/goccy/go-yaml", reason: "a job is plain data, whatever file it stands in"},

	{from: "reports/...", to: "hisspoint/capture/wav", reason: "reports read no audio"},
	{from: "reports/...", to: "hisspoint/capture/simulate", reason: "reports read no audio"},
	{from: "reports/...", to: "hisspoint/analyze/internal/...", reason: "reports show results and compute none"},
	{from: "reports", to: "hisspoint/reports/...", besides: "hisspoint/reports/sentence", reason: "the record does not know how it is shown"},
	{from: "reports/doc/...", to: "hisspoint/reports/text", reason: "a document does not know its renderers"},
	{from: "reports/doc", to: "hisspoint/...", reason: "shapes do not know what fills them"},
	{from: "reports/doc", to: "fmt", reason: "shapes hold texts and make none"},
	{from: "reports/doc/...", to: "strconv", but: "reports/doc/say", reason: "numbers become text in reports/doc/say, where the interval decides the digits"},
	{from: "reports/doc/report", to: "hisspoint/reports/doc/bench", reason: "a report is of tests that are done"},
	{from: "reports/text", to: "hisspoint/analyze/...", reason: "renderers know only the shapes of a document"},
	{from: "reports/text", to: "hisspoint/capture/...", besides: "hisspoint/capture/doors/print", reason: "renderers know only the shapes of a document"},
	{from: "reports/text", to: "strconv", reason: "numbers become text in reports/doc/say, where the interval decides the digits"},

	{from: "cmd/internal/run", to: "hisspoint/reports/doc/...", reason: "running collects the record; layout is for renderers"},
	{from: "cmd/internal/run", to: "hisspoint/reports/text", reason: "running collects the record; layout is for renderers"},
	{from: "cmd/internal/run", to: "hisspoint/analyze/internal/...", reason: "running calls the analysis and computes nothing"},
	{from: "cmd/internal/run", to: "hisspoint/capture/simulate", reason: "what is there is measured, simulated or not"},
	{from: "cmd/internal/run", to: "hisspoint/cmd/...", reason: "recordings are measured alike, whatever was planned and whatever is missing"},
	{from: "cmd/internal/plan", to: "hisspoint/cmd/internal/check", reason: "a plan is made before anything can be missing"},
	{from: "cmd/internal/plan", to: "hisspoint/cmd/internal/live", reason: "a plan is the same whoever records by it"},
	{from: "cmd/internal/plan", to: "hisspoint/reports/...", besides: "hisspoint/reports/sentence", reason: "a plan is data; commands show it"},
	{from: "cmd/internal/check", to: "hisspoint/cmd/internal/live", reason: "what a job lacks is told by its files"},
	{from: "cmd/internal/check", to: "hisspoint/reports/doc/...", reason: "what a job lacks is data; commands show it"},
	{from: "cmd/internal/plan", to: "hisspoint/cmd/internal/session", reason: "a plan is the same whoever records by it"},
	{from: "cmd/internal/check", to: "hisspoint/cmd/internal/session", reason: "what a job lacks is told by its files"},
	{from: "cmd/internal/session", to: "hisspoint/cmd/internal/plan", reason: "a session records what the job file asks for, whoever wrote it"},
	{from: "cmd/internal/session", to: "hisspoint/cmd/internal/check", reason: "a session records what the job file asks for, whoever wrote it"},
	{from: "cmd/internal/session", to: "github.com/spf13/cobra", reason: "flags are parsed before a session begins"},
	{from: "cmd/internal/live", to: "hisspoint/cmd/...", reason: "sound is heard and played alike, whoever asks for it"},
	{from: "cmd/...", to: "hisspoint/analyze/kind", but: "cmd/internal/run", reason: "each kind of test is run in one place"},
	{from: "cmd/hisspoint", to: "hisspoint/capture/wav", reason: "commands open recordings through cmd/internal/run"},
	{from: "cmd/hisspoint", to: "hisspoint/capture/simulate", reason: "only the demo simulates, in its own package"},
	{from: "cmd/hisspoint", to: "math", reason: "flags, wiring and exit codes: no mathematics"},
}

// floor is rooms that stand beside each other, with what breaks where that is not kept.
type floor struct{ rooms, reason string }

// floors are the rooms of a house from the ground up: a room uses those below its own
// floor, never one beside or above it.
var floors = map[string][]floor{"analyze": {
	{"internal/...", "mathematics knows nothing of what it is used for"},
	{".", "what a measurement says does not know how it was found"},
	{"budget soundness", "contributions are data, and a recording is trusted or not before anything is read off it"},
	{"reading", "one recording is measured without knowing of others"},
	{"parts response point change", "each is complete without the others, so each can be tested alone"},
	{"takes card hint", "rows do not know who asks; cards and hints look at results that are there"},
	{"watch kind limit", "live readings, kinds of tests and verdicts do not know of each other"},
}, "reports/doc": {
	{".", "shapes do not know what fills them"},
	{"say", "words do not know which document they stand in"},
	{"sheet bench", "one test does not know its job, and what stands at the bench no test that is done"},
	{"report customer", "a whole job is told last; the annex and the customer's pages do not know of each other"},
}}

// ground are the two packages of mathematics that the words of analyze stand on.
var ground = []string{"internal/audio", "internal/scatter"}

// shown are the rooms of analyze whose words a report may use.
var shown = []string{"analyze", "analyze/budget", "analyze/change", "analyze/limit"}

// floorOf is the floor of a package in a house; ok is false for what is no room of it.
func floorOf(house, path string) (at int, reason string, ok bool) {
	room, ok := strings.CutPrefix(path+"/", "hisspoint/"+house+"/")
	if !ok {
		return 0, "", false
	}
	room = cmp.Or(strings.TrimSuffix(room, "/"), ".")
	for i, f := range floors[house] {
		for _, r := range strings.Fields(f.rooms) {
			if within(r, room) {
				return i, f.reason, true
			}
		}
	}
	return -1, "", true
}

// upward are the imports of a package that do not lead down in a house, and those
// that reach into a room of it that is not theirs to know, with the reasons.
func upward(p goPackage) (found []string) {
	for house := range floors {
		own, reason, in := floorOf(house, p.ImportPath)
		for _, i := range p.Imports {
			floor, _, is := floorOf(house, i)
			if !is || i == p.ImportPath {
				continue
			}
			switch {
			case floor < 0:
				found = append(found, "imports "+i+", which stands on no floor")
			case in && floor >= max(own, 1):
				found = append(found, "imports "+i+": "+reason)
			case p.ImportPath == "hisspoint/analyze" && !slices.Contains(ground, strings.TrimPrefix(i, "hisspoint/analyze/")):
				found = append(found, "imports "+i+": the words of a measurement stand on "+strings.Join(ground, " and ")+" alone")
			case house == "analyze" && within("hisspoint/reports/...", p.ImportPath) && !slices.Contains(shown, strings.TrimPrefix(i, "hisspoint/")):
				found = append(found, "imports "+i+": reports show results and their verdicts, however they were found")
			}
		}
	}
	return found
}

func TestRoomsStandOnFloors(t *testing.T) {
	for _, p := range packages(t) {
		assert.Empty(t, upward(p), p.ImportPath)
		for house := range floors {
			if floor, _, in := floorOf(house, p.ImportPath); in && !strings.HasSuffix(p.ImportPath, "/truth") {
				assert.GreaterOrEqual(t, floor, 0, "%s stands on no floor", p.ImportPath)
			}
		}
	}
}

// Every floor can be left upward, and is told; what leads down is not.
func TestUpwardImportsAreFound(t *testing.T) {
	for house, rooms := range floors {
		path := func(room string) string {
			return strings.TrimSuffix("hisspoint/"+house+"/"+strings.ReplaceAll(room, "...", "curve"), "/.")
		}
		for i, f := range rooms {
			for _, from := range strings.Fields(f.rooms) {
				for j, above := range rooms {
					for _, to := range strings.Fields(above.rooms) {
						p := goPackage{ImportPath: path(from), Imports: []string{path(to)}}
						if up := j > i || j == i && from != to || house == "analyze" && i == 1 && j == 0; up {
							assert.NotEmpty(t, upward(p), "%s imports %s", from, to)
						} else {
							assert.Empty(t, upward(p), "%s imports %s", from, to)
						}
					}
				}
			}
		}
	}
	assert.Empty(t, upward(goPackage{ImportPath: "hisspoint/analyze", Imports: []string{"hisspoint/analyze/internal/scatter"}}))
	assert.NotEmpty(t, upward(goPackage{ImportPath: "hisspoint/reports/doc", Imports: []string{"hisspoint/analyze/kind"}}))
	assert.NotEmpty(t, upward(goPackage{ImportPath: "hisspoint/analyze/kind", Imports: []string{"hisspoint/analyze/unheard"}}))
	assert.NotEmpty(t, upward(goPackage{ImportPath: "hisspoint/cmd/hisspoint", Imports: []string{"hisspoint/reports/doc/unheard"}}))
}

type goPackage struct {
	ImportPath   string
	Imports      []string
	XTestGoFiles []string
}

func within(pattern, path string) bool {
	if base, ok := strings.CutSuffix(pattern, "/..."); ok {
		return path == base || strings.HasPrefix(path, base+"/")
	}
	return path == pattern
}

func packages(t *testing.T) []goPackage {
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", "hisspoint/...")
	out, err := cmd.Output()
	require.NoError(t, err)
	var all []goPackage
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p goPackage
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else {
			require.NoError(t, err)
		}
		all = append(all, p)
	}
}

func TestImportsKeepToTheFlow(t *testing.T) {
	all := packages(t)
	require.Greater(t, len(all), 10)
	for _, p := range all {
		assert.Empty(t, breaches(p), p.ImportPath)
	}
}

// breaches are the forbidden imports of a package, with their reasons.
func breaches(p goPackage) []string {
	var found []string
	room := strings.TrimPrefix(p.ImportPath, "hisspoint/")
	for _, rule := range forbidden {
		if !within(rule.from, room) || room == rule.but {
			continue
		}
		for _, i := range p.Imports {
			if i == p.ImportPath || rule.besides != "" && within(rule.besides, i) {
				continue
			}
			for _, to := range []string{rule.to, "hisspoint/" + rule.to} {
				if within(to, i) {
					found = append(found, "imports "+i+": "+rule.reason)
				}
			}
		}
	}
	return found
}

// One renderer never imports another, and knows of documents their shapes and words
// alone; every package beside doc is one, and curve, which draws for all that have
// a pen, is none.
func TestRenderersStandAlone(t *testing.T) {
	for _, p := range packages(t) {
		name, ok := strings.CutPrefix(p.ImportPath, "hisspoint/reports/")
		if !ok || name == "doc" || name == "topics" || strings.Contains(name, "internal") || strings.Contains(name, "/") {
			continue
		}
		for _, i := range p.Imports {
			other, ok := strings.CutPrefix(i, "hisspoint/reports/")
			if ok && !slices.Contains([]string{"doc", "doc/say", "curve"}, other) && !strings.HasPrefix(other, name+"/") {
				t.Errorf("%s imports %s: one renderer never imports another, and shapes and words are all it needs of doc", p.ImportPath, i)
			}
		}
	}
}

// Packages that only tests use are not part of the tool.
func TestTestHelpersStayInTests(t *testing.T) {
	for _, p := range packages(t) {
		assert.NotContains(t, p.Imports, "hisspoint/reports/internal/handmade", p.ImportPath)
		assert.NotContains(t, p.Imports, "hisspoint/capture/fuzzing", p.ImportPath)
		assert.NotContains(t, p.Imports, "hisspoint/capture/smalldisk", p.ImportPath)
	}
}

// The rules are of use only if they can be broken.
func TestForbiddenImportsAreFound(t *testing.T) {
	for _, rule := range forbidden {
		from := strings.TrimSuffix(rule.from, "/...")
		to := strings.TrimSuffix(rule.to, "/...")
		if strings.HasPrefix(rule.to, "analyze") || strings.HasPrefix(rule.to, "reports") || strings.HasPrefix(rule.to, "cmd") {
			to = "hisspoint/" + to
		}
		p := goPackage{ImportPath: "hisspoint/" + from, Imports: []string{to + "/below"}}
		if !strings.HasSuffix(rule.to, "/...") {
			p.Imports[0] = to
		}
		assert.NotEmpty(t, breaches(p), rule)
	}
}

// The go tool does not build, vet or test what lies under testdata.
func TestNoGoCodeUnderTestdata(t *testing.T) {
	err := filepath.WalkDir(filepath.Join("..", ".."), func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && strings.HasPrefix(d.Name(), ".") && d.Name() != ".." {
			return fs.SkipDir
		}
		// The project's own are looked at, not those of packages that a tool has put here.
		if strings.HasSuffix(path, ".go") && strings.Contains(filepath.ToSlash(path), "/testdata/") {
			t.Errorf("%s: Go code never goes under testdata", path)
		}
		return nil
	})
	require.NoError(t, err)
}
