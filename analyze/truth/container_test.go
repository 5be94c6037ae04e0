package truth_test

import (
	"bytes"
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// waveFile puts 16-bit channels into a WAVE file, its chunks in the order named: f is
// the format, d the sound, L a list of odd length, J filling.
func waveFile(order binary.AppendByteOrder, magic, chunks string, rate int, channels ...[]float64) []byte {
	var sound []byte
	for i := range channels[0] {
		for _, c := range channels {
			sound = order.AppendUint16(sound, uint16(int16(c[i]*32768)))
		}
	}
	format := order.AppendUint16(nil, 1)
	format = order.AppendUint16(format, uint16(len(channels)))
	format = order.AppendUint32(format, uint32(rate))
	format = order.AppendUint32(format, uint32(2*len(channels)*rate))
	format = order.AppendUint16(format, uint16(2*len(channels)))
	format = order.AppendUint16(format, 16)
	var body []byte
	add := func(id string, b []byte) {
		body = order.AppendUint32(append(body, id...), uint32(len(b)))
		body = append(body, b...)
		if len(b)%2 == 1 {
			body = append(body, 0)
		}
	}
	for _, c := range chunks {
		switch c {
		case 'f':
			add("fmt ", format)
		case 'd':
			add("data", sound)
		case 'L':
			add("LIST", []byte("INFOISFT\x05\x00\x00\x00tool\x00"))
		case 'J':
			add("JUNK", make([]byte, 1001))
		}
	}
	return append(append(order.AppendUint32([]byte(magic), uint32(len(body)+4)), "WAVE"...), body...)
}

// The same samples read the same in any container, order of chunks and channel;
// silence before them changes nothing beyond what an interval allows.
func TestReadingsAreThoseOfTheSamples(t *testing.T) {
	const rate = 8000
	s := silence(rate, 4).tone(0.3, 1003.3, 0).tone(0.003, 2006.6, 1)
	s.add(times(0.02, noise(seeded(8), rate, len(s.x), between(100, 3900))))
	x, other := to16(s.x), to16(times(0.1, noise(seeded(9), rate, len(s.x), between(100, 3900))))
	measure := func(b []byte, channel int) analyze.Measured {
		f, err := capture.Read(bytes.NewReader(b), int64(len(b)), "x.wav")
		require.NoError(t, err)
		m, err := reading.Measure(f.Channels[channel-1], job.Reading{})
		require.NoError(t, err)
		return m
	}
	le, be := binary.LittleEndian, binary.BigEndian
	want := measure(waveFile(le, "RIFF", "fd", rate, x), 1)
	require.True(t, want.Get(analyze.SINAD).OK())
	for name, got := range map[string]analyze.Measured{
		"sound before the format": measure(waveFile(le, "RIFF", "df", rate, x), 1),
		"lists and filling":       measure(waveFile(le, "RIFF", "JLfLJdL", rate, x), 1),
		"big-endian":              measure(waveFile(be, "RIFX", "fLd", rate, x), 1),
		"second of two":           measure(waveFile(le, "RIFF", "fd", rate, other, x), 2),
		"third of three":          measure(waveFile(be, "RIFX", "fd", rate, other, other, x), 3),
	} {
		assert.Equal(t, want.Readings, got.Readings, name)
		assert.Equal(t, want.Harmonics, got.Harmonics, name)
		assert.Empty(t, got.Warnings, name)
	}
	late := measure(waveFile(le, "RIFF", "fd", rate, append(make([]float64, rate), x...)), 1)
	assert.GreaterOrEqual(t, late.From, 1.0)
	for _, name := range []string{analyze.SINAD, analyze.SNR, analyze.ToneLevel, analyze.ToneFrequency, analyze.Level} {
		w, l := want.Get(name), late.Get(name)
		require.True(t, l.OK(), "%s: %s", name, l.Why)
		assert.InDelta(t, w.Value, l.Value, max(w.High-w.Low, 1e-6), name)
	}
}
