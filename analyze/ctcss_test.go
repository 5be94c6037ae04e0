package analyze

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every tone of the published list is known, and nothing else.
func TestStandardTonesAreThePublishedOnes(t *testing.T) {
	f, err := os.Open("../testdata/reference/ctcss_tones.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, standardTones, len(rows)-1)
	for i, row := range rows[1:] {
		hz, err := strconv.ParseFloat(row[0], 64)
		require.NoError(t, err)
		assert.Equal(t, hz, standardTones[i])
		near, within := StandardTone(hz * 1.004)
		assert.Equal(t, hz, near)
		assert.True(t, within)
	}
	_, within := StandardTone(80.9)
	assert.False(t, within)
}
