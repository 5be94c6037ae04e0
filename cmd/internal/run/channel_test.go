package run

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/capture/wav"
)

// The set is on the left; on the right there is a hum louder than the noise of
// the carrier. Modulation off has no tone to tell the channel by.
func TestOneChannelForAllRecordingsOfATest(t *testing.T) {
	dir := t.TempDir()
	const rate = 8000
	record := func(name string, tone, noise float64) job.Take {
		r := rand.New(rand.NewPCG(1, uint64(1000*tone)))
		left, right := make([]float64, 2*rate), make([]float64, 2*rate)
		for i := range left {
			at := 2 * math.Pi * float64(i) / rate
			left[i] = tone*math.Sin(1000*at) + noise*r.NormFloat64()
			right[i] = 0.1*math.Sin(100*at) + 1e-4*r.NormFloat64()
		}
		require.NoError(t, wav.WriteFile(filepath.Join(dir, name), wav.Format{Rate: rate, Bits: 24}, left, right))
		state := job.StateModulated
		if tone == 0 {
			state = job.StateCarrier
		}
		return job.Take{Level: unit.DBm(-47), Typed: "1 mV", State: state, File: name}
	}
	takes := []job.Take{record("car.wav", 0, 0.001), record("mod.wav", 0.3, 0.001)}
	t.Run("kind", func(t *testing.T) {
		r, err := Runner{Dir: dir}.Kind(job.Setup{Kind: job.KindHumNoise, Stanza: job.Stanza{Takes: takes}}, Use{})
		require.NoError(t, err)
		require.Empty(t, r.Why)
		assert.InDelta(t, 10*math.Log10(0.09/2/1e-6/0.895), r.Get(job.QuantityHumNoise).Value, 0.3, "white noise, of which wide passes 3580 of 4000 Hz")
	})
	t.Run("sensitivity", func(t *testing.T) {
		s, err := Runner{Dir: dir}.Kind(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySNN, Value: 10, Unit: "dB"}, Takes: takes}, Reading: job.Reading{Mode: job.AM}, Mode: job.AM}, Use{})
		require.NoError(t, err)
		for _, row := range s.Rows {
			assert.Equal(t, 1, row.Measured.Origin.Channel, row.Take.File)
		}
	})
	assert.Equal(t, "hiss.wav", telling([]job.Take{{State: job.StateCarrier, File: "c.wav"}, {State: job.StateOff, File: "hiss.wav"}}))
	assert.Empty(t, telling([]job.Take{{State: job.StateModulated, File: "a.wav"}, {State: job.StateModulated, File: "b.wav"}}))
}
