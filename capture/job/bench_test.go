package job

import (
	"maps"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestRoundsByName(t *testing.T) {
	j := &Job{AsLeft: &Round{}}
	assert.Nil(t, j.Round(AsFound))
	assert.Nil(t, j.Round("as left"))
	assert.Same(t, j.AsLeft, j.Round(AsLeft))
	assert.Equal(t, map[string]*Round{AsLeft: j.AsLeft}, maps.Collect(j.Rounds()))

	j.AsFound = &Round{}
	var names []string
	for name := range j.Rounds() {
		names = append(names, name)
	}
	assert.Equal(t, []string{AsFound, AsLeft}, names, "in the order in which they are measured")
}
