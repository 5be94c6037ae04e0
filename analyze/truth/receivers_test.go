package truth_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// ofReceiver is a recording of a real receiver; testdata/real/README.md says where each
// is from, under which licence, and how its truth was found.
func ofReceiver(t *testing.T, name string) capture.Recording {
	t.Helper()
	f, err := capture.Open(filepath.Join("..", "..", "testdata", "real", name+".flac"))
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return f.Channels[0]
}

// warned is the warning of a code; empty if there is none.
func warned(m analyze.Measured, code capture.Code) capture.Warning {
	for _, w := range m.Warnings {
		if w.Code == code {
			return w
		}
	}
	return capture.Warning{}
}

// What real receivers recorded draws no claim that their truth does not hold: nothing
// was lost, no gain was moved, no tone stands from end to end.
func TestRealReceivers(t *testing.T) {
	for name, truth := range map[string]struct {
		level float64
		zeros []float64 // s, where runs of zeros in the midst of sound begin
		last  float64   // ms, the longest of them
		other float64   // Hz of a tone that stands for seconds at another frequency
		noHum bool
	}{
		"satellite-bursts":  {level: -26.84, zeros: []float64{0.4925, 10.6072}, last: 9853.2},
		"fm-afsk":           {level: -14.21, noHum: true},
		"weather-alert":     {level: -10.02, zeros: []float64{0.8838, 2.7676}, last: 1000},
		"ssb-band":          {level: -11.31, zeros: []float64{0.8166}, last: 25.3},
		"scanner-long-tone": {level: -11.89, zeros: []float64{3.8333}, last: 235.9},
		"scanner-two-tone":  {level: -9.92, zeros: []float64{12.4414}, last: 237.2, other: 1180.06},
	} {
		m, err := reading.Measure(ofReceiver(t, name), job.Reading{})
		require.NoError(t, err)
		assert.InDelta(t, truth.level, value(t, m, analyze.Level), 0.02, name)
		noSINAD(t, m, name)
		assert.False(t, truth.noHum && m.Get(analyze.HumLevel).OK(), name)
		assert.InDelta(t, truth.other, m.OtherTone, 0.1, name)
		assert.NotContains(t, codes(m), capture.DroppedSamples, name)
		assert.NotContains(t, codes(m), capture.GainChanged, name)
		zeros := warned(m, capture.ZeroRun)
		require.Len(t, zeros.AtS, len(truth.zeros), "%s: %v", name, m.Warnings)
		for i, at := range truth.zeros {
			assert.InDelta(t, at, zeros.AtS[i], 0.001, name)
		}
		if truth.zeros != nil {
			assert.InDelta(t, truth.last, float64(zeros.Says.Parts[0].(note.MS)), 0.2, name)
		}
	}
}

// The steady tones in them, between the times that the truth names.
func TestRealTonesInPart(t *testing.T) {
	for _, truth := range []struct {
		name            string
		from, to        float64
		tone, hz, sinad float64
		clippedWhole    bool
	}{
		{name: "scanner-long-tone", from: 0.3, to: 3, tone: 1000, hz: 1004, sinad: 33.86, clippedWhole: true},
		{name: "scanner-two-tone", from: 8, to: 10.5, tone: 1180, hz: 1180.06, sinad: 34.75, clippedWhole: true},
	} {
		whole, how := ofReceiver(t, truth.name), job.Reading{ToneHz: truth.tone}
		rate := float64(whole.Rate)
		part, err := whole.Cut(int64(truth.from*rate), int64((truth.to-truth.from)*rate))
		require.NoError(t, err)
		m, err := reading.Measure(part, how)
		require.NoError(t, err)
		assert.InDelta(t, truth.hz, value(t, m, analyze.ToneFrequency), 0.01, truth.name)
		assert.InDelta(t, truth.sinad, value(t, m, analyze.SINAD), 0.05, truth.name)
		for _, w := range m.Warnings { // whether it was coded or suppressed on its way is not known
			assert.Contains(t, []capture.Code{capture.ProcessedAudio, capture.CodedAudio}, w.Code, truth.name)
		}
		around, err := reading.Around(part, how)
		require.NoError(t, err)
		assert.Empty(t, around, "what lies outside of the part is none of its faults")
		all, err := reading.Measure(whole, how)
		require.NoError(t, err)
		assert.Equal(t, truth.clippedWhole, has(all, "clipped"), truth.name)
	}
}
