package wav_test

import (
	"bytes"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The direct decoder of 16 bits against github.com/go-audio/wav, which reads
// the other widths: all 65536 values and random bytes of all widths.
func TestAgreesWithGoAudio(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, bits := range []int{8, 16, 24, 32} {
		data := make([]byte, 2<<16*bits/8)
		for i := range data {
			data[i] = byte(rng.Uint32())
		}
		if bits == 16 {
			for i := range 1 << 16 {
				data[2*i], data[2*i+1] = byte(i), byte(i>>8)
			}
		}
		b := file(format(1, 1, 8000, bits), chunk("data", data))
		_, got := all(t, b, 1)
		full := float64(int64(1) << (bits - 1))
		var want []float64
		require.NoError(t, goAudio(bytes.NewReader(b), func(ints []int) {
			for _, v := range ints {
				if bits == 8 {
					v -= 128
				}
				want = append(want, float64(v)/full)
			}
		}))
		assert.Equal(t, want, got, "%d bits", bits)
	}
}
