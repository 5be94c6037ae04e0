package soundness

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/capture/job"
)

func TestEverySourceHasItsRow(t *testing.T) {
	for _, s := range job.Sources {
		_, ok := ways[s]
		assert.Equal(t, s != job.SourceCable, ok, s)
	}
	for name, w := range ways {
		assert.NotEmpty(t, w.words)
		last := 0.0
		for _, c := range w.columns {
			assert.Greater(t, c.upTo, last, name)
			last = c.upTo
		}
	}
	assert.Equal(t, Misread{}, MisreadOf("", 50))
}

// The next column holds from 2 dB below its beginning; beyond the last it is "at least".
func TestColumnsOfTheTable(t *testing.T) {
	assert.Equal(t, Misread{High: 0.1, Low: 0.9}, MisreadOf(job.SourceAAC, 12))
	assert.Equal(t, Misread{High: 0.1, Low: 1.3}, MisreadOf(job.SourceAAC, 15))
	assert.Equal(t, Misread{High: 0.1, Low: 1.3}, MisreadOf(job.SourceAAC, 17.9))
	assert.True(t, MisreadOf(job.SourceAAC, 18.1).Open)
	assert.False(t, MisreadOf(job.SourceMicrophone, 60).Open)
}
