package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
)

var (
	kindTable = regexp.MustCompile(`(\| test \| what to record \| what it gives \|\n\|---\|---\|---\|\n)(?:\|.*\n)*`)
	yamlBlock = regexp.MustCompile("(?s)```yaml\n(.*?)```\n")
	stanzaKey = regexp.MustCompile(`^- ([a-z_]+):`)
)

// README.md tells of every kind what its row says, and shows a stanza of each: that
// of the row, where nobody wrote one that shows more. All of them are one job.
func TestReadmeTellsOfEveryKind(t *testing.T) {
	path := filepath.Join("..", "..", "README.md")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	transmit := false
	want := kindTable.ReplaceAllStringFunc(string(text), func(table string) string {
		rows := kindTable.FindStringSubmatch(table)[1]
		for _, k := range job.Kinds() {
			if k.Transmit == transmit {
				rows += kindLine(k)
			}
		}
		transmit = true
		return rows
	})
	want = replaceFirst(yamlBlock, want, func(lines string) string {
		written := map[string]string{}
		for _, line := range strings.SplitAfter(lines, "\n") {
			if key := stanzaKey.FindStringSubmatch(line); key != nil {
				written[key[1]] += line
			}
		}
		all := ""
		for _, k := range job.Kinds() {
			if written[k.Name] == "" {
				written[k.Name] = "- " + k.Sketch + "\n"
			}
			all += written[k.Name]
		}
		return all
	})
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(want), 0o644))
	} else {
		assert.True(t, want == string(text), "README.md does not say what the rows of kinds do: go test ./cmd/hisspoint -run Readme -update")
	}
	stanzas := strings.ReplaceAll(strings.TrimSpace(yamlBlock.FindStringSubmatch(want)[1]), "\n", "\n      ")
	_, err = jobfile.Parse("README.md", []byte("job: \"1\"\nrounds:\n  as_left:\n    tests:\n      "+stanzas+"\n"))
	require.NoError(t, err)
}

func kindLine(k job.Kind) string {
	modes := ""
	if len(k.Modes) > 0 {
		modes = " (" + strings.ToUpper(strings.Join(k.Modes, ", ")) + ")"
	}
	return "| `" + k.Name + "`" + modes + " | " + k.Record + " | " + k.Gives + " |\n"
}

// replaceFirst replaces what the group of a pattern's first match holds.
func replaceFirst(pattern *regexp.Regexp, text string, with func(string) string) string {
	at := pattern.FindStringSubmatchIndex(text)
	return text[:at[2]] + with(text[at[2]:at[3]]) + text[at[3]:]
}
