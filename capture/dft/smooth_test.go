package dft

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func smooth(n int) bool {
	if n%2 != 0 {
		return false
	}
	for _, p := range []int{2, 3, 5} {
		for n%p == 0 {
			n /= p
		}
	}
	return n == 1
}

func TestSmoothByTrial(t *testing.T) {
	want := 2
	for n := 1; n <= 100000; n++ {
		for want < n || !smooth(want) {
			want++
		}
		if got := Smooth(n); got != want {
			t.Fatalf("Smooth(%d) is %d, want %d", n, got, want)
		}
	}
}

// Long lengths by trial too, near where recordings are cut.
func TestSmoothOfLongLengths(t *testing.T) {
	for _, n := range []int{441000, 480000, 960000, 1<<20 - 1, 1 << 20, 1<<20 + 1} {
		want := n
		for !smooth(want) {
			want++
		}
		assert.Equal(t, want, Smooth(n))
	}
}
