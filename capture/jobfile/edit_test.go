package jobfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
	require.NoError(t, Edit(dir, change))
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
		{"recording", "", "# doubtful\n                      - {level: 0.5 uV, file: b.wav}\n", func(l *Lines) error { return l.Recording("as_found", "0.5 uV", "b.wav") }},
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
		assert.Error(t, Edit(dir, change))
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, typed, string(data))
	}
}
