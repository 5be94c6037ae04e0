package jobfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
)

const typed = `# typed by hand
job: 0417   # from the book
set: {description: "hand-held, FM", serial: 0012345}
customer:   A. Invented
work: [realigned]
rounds:
    # before
    as_found:
        tested: 2026-11-02
        tests:
            - sensitivity:
                  criterion: sinad 12 dB
                  recordings:
                      - {level: 1 uV, file: a.wav} # doubtful
        checks:
            - {what: display, answer: yes}
`

func edited(t *testing.T, text string, change func(*Lines) error) string {
	dir := t.TempDir()
	file := filepath.Join(dir, Name)
	require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
	require.NoError(t, Edit(dir, "hisspoint job test", change))
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	return string(data)
}

// Every line that was typed is still there, in its order, but for the one that
// was asked to change.
func TestEditsTouchTheirOwnLinesOnly(t *testing.T) {
	for _, c := range []struct {
		name, gone, want string
		change           func(*Lines) error
	}{
		{"set", "customer:   A. Invented", "customer: \"B: Invented\"\nwork:", func(l *Lines) error { return l.Set("customer", "B: Invented") }},
		{"set with comment", "job: 0417   # from the book", "job: \"0418\"  # from the book\n", func(l *Lines) error { return l.Set("job", "0418") }},
		{"set in braces", "set: {description: \"hand-held, FM\", serial: 0012345}", "set: {description: \"hand-held, FM\", serial: \"007\"}\n", func(l *Lines) error { return l.Set("set.serial", "007") }},
		{"set anew", "", "outcome: repaired\n", func(l *Lines) error { return l.Set("outcome", "repaired") }},
		{"set below", "", "        conditions:\n          channel: \"20\"\n", func(l *Lines) error { return l.Set("rounds.as_found.conditions.channel", "20") }},
		{"list in brackets", "work: [realigned]", "work: [realigned, \"cleaned, dried\"]\n", func(l *Lines) error { return l.Append([]string{"work"}, Text("cleaned, dried")) }},
		{"new list", "", "parts:\n  - {ref: C31, fitted: 47 µF}\n", func(l *Lines) error { return l.Append([]string{"parts"}, Flow("ref", "C31", "fitted", "47 µF")) }},
		{"item", "", "answer: yes}\n            - {what: air test, answer: no}\n", func(l *Lines) error {
			return l.Append([]string{"rounds", "as_found", "checks"}, Flow("what", "air test", "answer", "no"))
		}},
		{"recording", "", "# doubtful\n                      - {level: 0.5 uV, file: b.wav}\n", func(l *Lines) error {
			return l.Record("as_found", 0, job.Test{Kind: job.KindSensitivity, Stanza: &job.Stanza{}}, 1, job.Take{Typed: "0.5 uV", File: "b.wav"})
		}},
		{"list", "work: [realigned]", "work: [a, \"b, c\"]\n", func(l *Lines) error { return l.SetList("work", []string{"a", "b, c"}) }},
		{"limit of a test", "", "                  limit: 0.5 uV PD\n", func(l *Lines) error { return l.Set("rounds.as_found.tests.sensitivity.limit", "0.5 uV PD") }},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := edited(t, typed, c.change)
			assert.Contains(t, got, c.want)
			at := 0
			for _, line := range strings.Split(strings.TrimSpace(typed), "\n") {
				if line == c.gone {
					continue
				}
				i := strings.Index(got[at:], line+"\n")
				require.GreaterOrEqual(t, i, 0, "%q is lost in\n%s", line, got)
				at += i
			}
			_, err := Parse(Name, []byte(got))
			require.NoError(t, err)
			crlf := edited(t, strings.ReplaceAll(typed, "\n", "\r\n"), c.change)
			assert.Equal(t, strings.ReplaceAll(got, "\n", "\r\n"), crlf)
		})
	}
}

func TestEditsThatDoNotFit(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, Name)
	require.NoError(t, os.WriteFile(file, []byte(typed), 0o644))
	for _, change := range []func(*Lines) error{
		func(l *Lines) error { return l.Set("mode", "fm") },
		func(l *Lines) error { return l.Set("outcome", "lost") },
		func(l *Lines) error { return l.Set("work", "x") },
		func(l *Lines) error { return l.Append([]string{"customer"}, "x") },
	} {
		assert.Error(t, Edit(dir, "hisspoint job test", change))
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, typed, string(data))
	}
}

// One stanza in several spellings: what is added to it has to read back alike.
func TestRecordingsInAnySpelling(t *testing.T) {
	const head = "job: \"1\"\nrounds:\n"
	for name, text := range map[string]string{
		"block":     head + "  as_left:\n    tests:\n      - hiss:\n      - hum_and_noise:\n          recordings:\n            - {part: carrier}  # soon\n            - part: 1 mV modulated\n",
		"flow":      head + "  as_left:\n    tests:\n      - hiss: {}\n      - hum_and_noise: {recordings: [{part: carrier}, # a, comment\n                         {part: 1 mV modulated},\n                        ]}\n",
		"list":      head + "  as_left:\n    tests:\n    - hiss:\n    - hum_and_noise:\n        parts: [carrier, 1 mV modulated]  # planned\n",
		"flow list": head + "  as_left: {tests: [{hiss: {}}, {hum_and_noise: {parts: [carrier,\n       1 mV modulated]}}]}\n",
		"one line":  "job: \"1\"\nrounds: {as_left: {tests: [{hiss: }, {hum_and_noise: {filter: wide, parts: [carrier, 1 mV modulated]}}]}}\n",
	} {
		t.Run(name, func(t *testing.T) {
			old, err := Parse(Name, []byte(text))
			require.NoError(t, err)
			test := old.AsLeft.Tests[1]
			got := edited(t, text, func(l *Lines) error {
				for i, take := range test.AllTakes() {
					take.File = string(rune('a'+i)) + ", b.wav"
					if i == 0 {
						take.Typed = "2 uV"
					}
					if err := l.Record("as_left", 1, test, i, take); err != nil {
						return err
					}
				}
				if err := l.Record("as_left", 1, test, 2, job.Take{State: job.StateOff, File: "off.wav"}); err != nil {
					return err
				}
				if err := l.SetTest("as_left", 0, job.KeyFile, "hiss.wav"); err != nil {
					return err
				}
				return l.Append([]string{"rounds", "as_left", "checks"}, Flow("what", "air test", "answer", "yes"))
			})
			j, err := Parse(Name, []byte(got))
			require.NoError(t, err, got)
			require.Len(t, j.AsLeft.Tests, 2)
			assert.Equal(t, "hiss.wav", j.AsLeft.Tests[0].Stanza.Takes[0].File)
			takes := j.AsLeft.Tests[1].Stanza.Takes
			require.Len(t, takes, 3, got)
			var said []string
			for _, k := range takes {
				said = append(said, k.Part()+" "+k.File)
			}
			assert.Equal(t, []string{"2 uV carrier a, b.wav", "1 mV modulated b, b.wav", "off off.wav"}, said)
			assert.Equal(t, strings.Count(text, "#"), strings.Count(got, "#"), "a comment is lost in\n%s", got)
			assert.Len(t, j.AsLeft.Checks, 1)
		})
	}
}

// Every kind, as a person writes it and as this package does.
func TestKeysOfAnyTestAreSet(t *testing.T) {
	for _, k := range job.Kinds() {
		j, err := Parse(Name, asJob(k.Sketch))
		require.NoError(t, err)
		block, err := Marshal(j)
		require.NoError(t, err)
		for _, text := range []string{string(asJob(k.Sketch)), string(block), string(asJob(k.Name + ":")), string(asJob(k.Name + ": {}"))} {
			got := edited(t, text, func(l *Lines) error {
				if err := l.SetTest("as_left", 0, job.KeyNote, "tight, then open"); err != nil {
					return err
				}
				return l.Set("rounds.as_left.tests."+k.Name+".name", "speaker")
			})
			j, err := Parse(Name, []byte(got))
			require.NoError(t, err, got)
			test := j.AsLeft.Tests[0]
			assert.Equal(t, "speaker", test.Name)
			if test.Stanza != nil {
				assert.Equal(t, "tight, then open", test.Stanza.Note)
			} else {
				assert.Equal(t, "tight, then open", test.Stanza.Note)
			}
		}
	}
}

func TestRoundsAndTestsAreAdded(t *testing.T) {
	hum := job.Test{Kind: job.KindHumNoise, Name: "x", Stanza: &job.Stanza{Takes: []job.Take{{State: job.StateCarrier, File: "a.wav"}}}}
	for _, text := range []string{
		typed,
		"job: \"1\"\n",
		"job: \"1\"\nrounds:\n  as_found: {}\ncustomer: a\n",
		"job: \"1\"\nrounds:\n  as_found:\n    tests: []\ncustomer: a\n",
		"job: \"1\"\nrounds: {}\n",
	} {
		before, err := Parse(Name, []byte(text))
		require.NoError(t, err)
		tests := 0
		if before.AsFound != nil {
			tests = len(before.AsFound.Tests)
		}
		got := edited(t, text, func(l *Lines) error {
			if err := l.AddTest("as_found", hum); err != nil {
				return err
			}
			return l.AddRound("as_left", &job.Round{Tested: "2026-11-04", Tests: []job.Test{hum}})
		})
		j, err := Parse(Name, []byte(got))
		require.NoError(t, err, got)
		require.NotNil(t, j.AsLeft, got)
		assert.Len(t, j.AsFound.Tests, tests+1)
		assert.Equal(t, "2026-11-04", j.AsLeft.Tested)
		assert.Equal(t, "a.wav", j.AsLeft.Tests[0].Stanza.Takes[0].File)
		assert.Equal(t, before.Customer, j.Customer)
	}
}

func TestReplacedItems(t *testing.T) {
	for _, list := range []string{"[{what: a, value: 1 V}, {what: b, value: 2 V}]", "\n      - {what: a, value: 1 V}\n      - {what: b, value: 2 V} # two", "\n    - what: a\n      value: 1 V\n    - what: b\n      value: 2 V"} {
		text := "job: \"1\"\nrounds:\n  as_left:\n    meter_readings: " + list + "\n    tested: 2026-11-02\n"
		got := edited(t, text, func(l *Lines) error {
			return l.Replace([]string{"rounds", "as_left", "meter_readings"}, 1, Meter(job.MeterReading{What: "b", Value: "3 V", Nominal: "3 V", Within: "1 V"}))
		})
		j, err := Parse(Name, []byte(got))
		require.NoError(t, err, got)
		assert.Equal(t, []job.MeterReading{{What: "a", Value: "1 V"}, {What: "b", Value: "3 V", Nominal: "3 V", Within: "1 V"}}, j.AsLeft.MeterReadings)
		assert.Equal(t, "2026-11-02", j.AsLeft.Tested)
	}
}

// A wrong value is told as such, without advice that does not help.
func TestWrongValuesAreNamed(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, Name), []byte(typed), 0o644))
	err := Edit(dir, "hisspoint job test", func(l *Lines) error { return l.Set("outcome", "lost") })
	assert.EqualError(t, err, `outcome "lost" is not known: use repaired, no fault found, not repairable, estimate, worse than before or returned; nothing was changed`)
	err = Edit(dir, "hisspoint job test", func(l *Lines) error { return l.Set("rounds.as_found.tests.sensitivity.filter", "telephone") })
	assert.ErrorContains(t, err, `filter "telephone" is not known`)
	err = Edit(dir, "hisspoint job test", func(l *Lines) error { return l.Set("rounds.as_found.tests.hiss.file", "a.wav") })
	assert.EqualError(t, err, "there is no test of hiss in that round; nothing was changed")
}

// A file that is written in braces takes tests and rounds of any kind, too, and
// reads as what was added.
func TestBracesTakeRoundsAndTests(t *testing.T) {
	rf, db := 27.78125, 1.0
	round := &job.Round{Tested: "2026-11-04", Conditions: job.RoundConditions{RFMHz: &rf, Controls: "squelch open, blanker off", RFPadDB: 10},
		MeterReadings: []job.MeterReading{{What: "S9 at", Value: "60 uV PD", Nominal: "S9", Within: "6 dB"}, {What: "supply", Limit: "at most 1,5 A: sheet 3"}},
		Checks:        []job.Check{{What: "air test", Open: true}, {What: "display", Yes: true, Note: "dim # a little"}}}
	for i, k := range job.Kinds() {
		test, err := ParseTest(k.Sketch, "")
		require.NoError(t, err)
		test.Name = []string{"", "first: {of} [two], \"quoted\""}[i%2]
		if test.Stanza != nil {
			test.Stanza.Uncertainty = []job.Contribution{{What: "cable, long", DB: db}}
		}
		round.Tests = append(round.Tests, test)
	}
	for _, text := range []string{
		"job: \"1\"\nrounds: {as_found: {tests: [{hiss: {}}]}} # all in one\n",
		"{job: \"1\", rounds: {as_found: {tests: []}}}\n",
		"job: \"1\"\nrounds:\n  as_found: {tested: 2026-11-02}\n",
	} {
		got, err := Parse(Name, []byte(edited(t, text, func(l *Lines) error {
			if err := l.AddRound("as_left", round); err != nil {
				return err
			}
			return l.AddTest("as_found", round.Tests[3])
		})))
		require.NoError(t, err, text)
		want, err := Marshal(&job.Job{ID: "1", AsLeft: round})
		require.NoError(t, err)
		plain, err := Parse(Name, want)
		require.NoError(t, err)
		assert.Equal(t, plain.AsLeft, got.AsLeft, text)
		require.NotEmpty(t, got.AsFound.Tests)
		assert.Equal(t, plain.AsLeft.Tests[3], got.AsFound.Tests[len(got.AsFound.Tests)-1])
	}
}
