package reports_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/reports"
	"hisspoint/reports/internal/handmade"
)

// Two jobs with one generator: 1.96 sqrt(2) 0.15 dB of scatter is left (GUM 5.1.2);
// without, the generators' 0.58 dB count as well.
func TestWhatJobsShareCancels(t *testing.T) {
	side := func(label string) reports.Side {
		r := handmade.Whole()
		return reports.Side{Label: label, Facts: r.Facts, Round: r.Rounds[1]}
	}
	sides := []reports.Side{side("a"), side("b")}
	for same, half := range map[bool]float64{true: 0.4158, false: 1.6606} {
		c := reports.CompareJobs("1", sides, same, false)
		d := c.Differences[0]
		require.NotNil(t, d.Change)
		assert.InDelta(t, half, d.Change.High, 1e-3)
		assert.False(t, d.Significant)
		assert.Equal(t, same, c.Shared != "")
	}
	other := side("c")
	s := *other.Round.Tests[0].Result
	s.Setup.Criterion.Value = 20
	other.Round.Tests = append([]reports.Test{{Kind: other.Round.Tests[0].Kind, Result: &s}}, other.Round.Tests[1:]...)
	d := reports.CompareJobs("1", []reports.Side{sides[0], other}, true, false).Differences[0]
	assert.Nil(t, d.Change)
	assert.Equal(t, "the criteria differ", d.Why)
}

// -116, -117, -118: mean -117, s 1, t(2; 0.975) sqrt(4/3) = 4.9683.
func TestAgainstEarlierJobs(t *testing.T) {
	c := handmade.Earlier()
	s := c.Differences[0].Spread
	require.NotNil(t, s)
	assert.InDelta(t, -117, s.Mean, 1e-12)
	assert.InDelta(t, -117+4.9683, s.High, 1e-3)
	assert.True(t, s.Outside)
	var top map[string]any
	require.NoError(t, json.Unmarshal([]byte(written(t, c)), &top))
	assert.Equal(t, "compare", top["command"])
	assert.Len(t, top["sides"], 4)
	first := top["differences"].([]any)[0].(map[string]any)
	assert.Equal(t, true, first["spread"].(map[string]any)["outside"])
}

// What a spreadsheet would run is text, and what was typed can be had back.
func TestCellsAreNoFormulas(t *testing.T) {
	for typed, cell := range map[string]string{
		"=1+1": "'=1+1", "+1": "'+1", "-cmd": "'-cmd", "@SUM(A1)": "'@SUM(A1)", "\t=1": "'\t=1", " =1": "' =1", "'quoted": "''quoted", "\uff1d1": "'\uff1d1", "plain=1": "plain=1",
	} {
		r := handmade.Whole()
		r.Rounds[1].Tests[1].Name = typed
		var b bytes.Buffer
		require.NoError(t, reports.WriteSeriesCSV(&b, r.Rounds...))
		rows, err := csv.NewReader(strings.NewReader(b.String())).ReadAll()
		require.NoError(t, err)
		found := 0
		for _, row := range rows {
			if row[0] == reports.AsLeft && row[1] == "response" {
				assert.Equal(t, cell, row[2])
				found++
			}
		}
		assert.Equal(t, 1, found)
	}
}
