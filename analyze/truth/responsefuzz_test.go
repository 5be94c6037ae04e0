package truth_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/response"
	"hisspoint/capture"
	"hisspoint/reports"
)

// Whatever is in a recording, a response ends with points or a reason, and no
// figure of it is none (JSON has no words for those).
func FuzzResponse(f *testing.F) {
	f.Add([]byte{}, uint16(8000), 0.1, uint8(0), uint8(0))
	f.Add([]byte{1, 2, 200, 100, 0, 90}, uint16(8000), 0.1, uint8(1), uint8(3))
	f.Add([]byte{255, 0}, uint16(4000), 1e300, uint8(4), uint8(7))
	f.Add([]byte{128, 128, 128, 1}, uint16(11025), 1e-300, uint8(2), uint8(9))
	f.Add([]byte{10, 240}, uint16(1), 1.0, uint8(3), uint8(1))
	f.Fuzz(func(t *testing.T, b []byte, rate uint16, a float64, kind, every uint8) {
		r := max(1, int(rate))
		x := make([]float64, min(3*r, 60000)) // the bytes again and again, held and in steps of level
		for i := range x {
			if len(b) > 0 {
				x[i] = a * (float64(b[i/(1+int(every))%len(b)]) - 127.5) / 128 * math.Pow(10, -float64(5*i/len(x))/10)
			}
		}
		how := analyze.ResponseHow{Kind: analyze.ResponseKinds[int(kind)%len(analyze.ResponseKinds)], Against: analyze.ResponseAgainst[int(every)%3]}
		got, err := response.Measure([]capture.Recording{capture.FromSamples("x", r, x)}, how)
		require.NoError(t, err)
		require.True(t, (got.Why == "") == (len(got.Points) > 0), "%q with %d points", got.Why, len(got.Points))
		change := reports.ResponseChange{Before: got, Difference: response.Compare(got, got)}
		_, err = json.Marshal(reports.Response{Result: got, Change: &change})
		require.NoError(t, err)
	})
}
