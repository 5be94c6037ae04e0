package truth_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// A tone of 400 Hz stands on the eighth multiple of 50 Hz: it is the tone, and
// the hum is what the other lines hold.
func TestToneOnAMultipleOfTheMains(t *testing.T) {
	make := func(tone bool) signal {
		s := silence(8000, 2).tone(0.02, 50, 0).tone(0.03, 100, 1).tone(0.01, 150, 2)
		s.add(times(0.004, noise(seeded(21), 8000, len(s.x), between(30, 3900))))
		if tone {
			s.tone(0.3, 400, 0)
		}
		return s
	}
	m := make(true).measure(t, job.Reading{ToneHz: 400})
	assert.InDelta(t, db(2*(0.0002+0.00045+0.00005)), value(t, m, analyze.HumLevel), 0.05)
	assert.Len(t, m.HumLines, 3)
	assert.InDelta(t, db(0.09), value(t, m, analyze.ToneLevel), 0.01)
	nd := 16e-6 * 3100 / 3870
	assert.InDelta(t, db((0.045+nd)/nd), value(t, m, analyze.SINAD), 0.1)
	// Asked for 1 kHz, the 400 Hz tone is named all the same.
	assert.InDelta(t, 400, make(true).measure(t, job.Reading{}).OtherTone, 0.05)
	assert.Zero(t, make(false).measure(t, job.Reading{}).OtherTone)
}
