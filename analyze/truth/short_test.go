package truth_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// A recording that was cut off is refused in one line, whatever its length.
func TestTooShortIsRefused(t *testing.T) {
	for _, rate := range []int{8000, 48000} {
		for n := 0; n < rate/10; n += 1 + n/7 {
			s := silence(rate, 1).tone(0.3, 1000.3, 0)
			_, err := reading.Measure(capture.FromSamples("cut.wav", rate, s.x[:n:n]), job.Reading{})
			require.Error(t, err, "%d samples at %d", n, rate)
			assert.Contains(t, err.Error(), "cut.wav: only ")
		}
	}
}

// What a short recording says must not depend on what was measured before it:
// buffers are kept and used again, with other recordings behind their end.
func TestShortRecordingsOweNothingToOthers(t *testing.T) {
	loud := silence(48000, 2).tone(0.9, 1700, 0)
	loud.add(times(0.1, noise(seeded(5), 48000, len(loud.x), between(20, 20000))))
	for n := 800; n < 9000; n += 97 {
		s := silence(8000, 2).tone(0.2, 1003, 1)
		s.add(times(0.01, noise(seeded(6), 8000, len(s.x), between(20, 3900))))
		r := capture.FromSamples("short.wav", 8000, s.x[:n:n])
		before, err := reading.Measure(r, job.Reading{})
		require.NoError(t, err)
		_, err = reading.Measure(capture.FromSamples("loud.wav", 48000, loud.x), job.Reading{})
		require.NoError(t, err)
		after, err := reading.Measure(r, job.Reading{})
		require.NoError(t, err)
		require.Equal(t, before, after, "%d samples", n)
	}
}
