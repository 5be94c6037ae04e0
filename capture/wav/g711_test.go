package wav_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// ITU-T G.711 tables 1a and 2a: decoder output values, in 13 and 14 bits, at
// the last and first value of each segment (numbers from memory; every one of
// the 256 codes is compared with sox where the zoo is made).
func TestG711Tables(t *testing.T) {
	data := make([]byte, 256)
	for i := range data {
		data[i] = byte(i)
	}
	_, a := all(t, file(format(6, 1, 8000, 8), chunk("data", data)), 1)
	for n, y := range map[int]float64{1: 1, 33: 66, 49: 132, 65: 264, 81: 528, 97: 1056, 113: 2112, 128: 4032} {
		code := byte(0x80+n-1) ^ 0x55
		assert.Equal(t, y/4096, a[code], "A-law value number %d", n)
		assert.Equal(t, -y/4096, a[code^0x80], "A-law value number -%d", n)
	}
	_, mu := all(t, file(format(7, 1, 8000, 8), chunk("data", data)), 1)
	for n, y := range map[int]float64{1: 0, 2: 2, 17: 33, 33: 99, 49: 231, 65: 495, 81: 1023, 97: 2079, 113: 4191, 128: 8031} {
		code := byte(0xFF - (n - 1))
		assert.Equal(t, y/8192, mu[code], "mu-law value number %d", n)
		assert.Equal(t, -y/8192, mu[code^0x80], "mu-law value number -%d", n)
	}
}
