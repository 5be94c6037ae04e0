package main

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
)

func answers(text string) *bufio.Reader { return bufio.NewReader(strings.NewReader(text)) }

// A person at a terminal: what flags said is not asked for, and an answer that
// does not fit is asked for again.
func TestQuestionsOfANewJob(t *testing.T) {
	var asked strings.Builder
	f := jobNewFlags{serial: "9"}
	f.ask(answers("\n0417\ninvented set \ncw\nFM\n\nhears nothing\nlong\nfull\nfm-nothing\nam-27mhz\nfm-typical\n"), &asked)
	assert.Equal(t, jobNewFlags{number: "0417", set: "invented set", serial: "9", mode: "FM", fault: "hears nothing", plan: "full", limits: "fm-typical"}, f)
	assert.NotContains(t, asked.String(), "Serial")
	assert.Equal(t, 2, strings.Count(asked.String(), "Mode (fm, am, ssb): "))
	assert.Equal(t, 2, strings.Count(asked.String(), "Plan (short, full): "))
	assert.Equal(t, 2, strings.Count(asked.String(), "Number of the job: "))
	assert.Contains(t, asked.String(), "cw is none of them")
	assert.Contains(t, asked.String(), "am-27mhz has no limit for fm")
	assert.Contains(t, asked.String(), "fm-land-mobile-12k5")
	assert.NotContains(t, asked.String(), "marine-mf-am", "limits of another mode")

	asked.Reset()
	f = jobNewFlags{like: "0417"}
	f.ask(answers("0418\n"), &asked) // and then the input ends
	assert.Equal(t, jobNewFlags{number: "0418", like: "0417"}, f)
	assert.NotContains(t, asked.String(), "Plan")
}

// The questions on a real terminal, which script(1) of util-linux makes.
func TestQuestionsOnATerminal(t *testing.T) {
	if _, err := exec.LookPath("script"); err != nil {
		if os.Getenv("HISSPOINT_CI") == "1" {
			t.Fatal("script is not installed: it is part of util-linux")
		}
		t.Skip("script (util-linux) is not installed")
	}
	dir := t.TempDir()
	type typed struct{ command, keys string }
	for _, one := range []typed{
		{"hisspoint job shop", "Invented Workshop\nA. Invented\nG1\n2026-3-1\n2026-03-01\n1\n5\n\n\n\nvalue\n"},
		{"hisspoint job new", "0417\ninvented set\n9\nfm\nA. Invented\n\nlong\nshort\nfm-27mhz\n"},
	} {
		c := exec.Command("script", "-qec", one.command, os.DevNull)
		c.Dir, c.Stdin = dir, strings.NewReader(one.keys)
		screen, err := c.CombinedOutput()
		require.NoError(t, err, "%s", screen)
		assert.Contains(t, string(screen), "Written: ")
	}
	j, err := jobfile.Load(filepath.Join(dir, "0417"))
	require.NoError(t, err)
	assert.Equal(t, job.Set{Description: "invented set", Serial: "9", Mode: job.FM}, j.Set)
	assert.Equal(t, []string{"fm-27mhz"}, j.AllLimits())
	assert.Equal(t, "Invented Workshop", j.Shop.Heading)
	assert.Equal(t, job.ByValue, j.Rule())
	require.Len(t, j.AllEquipment(), 1, "nothing was said of a sound card")
	e := j.AllEquipment()[0]
	assert.Equal(t, []any{"G1", "2026-03-01", 1.0, 5.0}, []any{e.Serial, e.Calibrated, *e.LevelUncertaintyDB, *e.DeviationPercent})
}

func TestAnsweredQuestionsMakeAJob(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	f := jobNewFlags{}
	f.ask(answers("0417\ninvented set\n12\nAM\n\n\n\n\n"), &strings.Builder{})
	var out strings.Builder
	a := &app{stdin: strings.NewReader(""), stdout: bufio.NewWriter(&out), stderr: &strings.Builder{}}
	require.NoError(t, a.jobNew(nil, f))
	j, err := jobfile.Load("0417")
	require.NoError(t, err)
	assert.Equal(t, job.Set{Description: "invented set", Serial: "12", Mode: job.AM}, j.Set)
	assert.NotEmpty(t, j.AsFound.Tests)
	require.NoError(t, os.WriteFile("shop.yaml", []byte("heading: Invented Workshop\n"), 0o644))
	require.NoError(t, a.jobNew([]string{filepath.Join("deep", "0418")}, jobNewFlags{number: "0418"}))
	j, err = jobfile.Load(filepath.Join("deep", "0418"))
	require.NoError(t, err)
	assert.Empty(t, j.ShopFile, "a shop's file that lies elsewhere is none of the job's")
	require.NoError(t, a.jobNew(nil, jobNewFlags{number: "0419"}))
	j, err = jobfile.Load("0419")
	require.NoError(t, err)
	assert.Equal(t, "Invented Workshop", j.Shop.Heading)
}

func TestFoldedLinesFit(t *testing.T) {
	text := strings.Repeat("0.5 µV PD carrier, ", 12)
	out := folded("  next: ", text)
	for i, line := range strings.Split(out, "\n") {
		assert.LessOrEqual(t, utf8.RuneCountInString(line), 80)
		assert.True(t, i == 0 || strings.HasPrefix(line, "        "))
	}
	assert.Equal(t, strings.Fields("  next: "+text), strings.Fields(out))
}
