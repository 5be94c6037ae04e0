package simulate

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func healthyBench(seed uint64) Bench {
	return Bench{Generator: StandardGenerator(), Set: Healthy27MHzFM(), Card: PlainCard(), Seed: seed}
}

func TestSameSeedSameSamples(t *testing.T) {
	b := healthyBench(7)
	one, again, other := b.Take(-110, 0.5), b.Take(-110, 0.5), b.WithSeed(8).Take(-110, 0.5)
	require.Len(t, one, 24000)
	assert.Equal(t, one, again)
	assert.NotEqual(t, one, other)
}
