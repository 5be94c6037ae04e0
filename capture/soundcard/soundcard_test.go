package soundcard

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var bench = []Device{
	{ID: "usb_in", Name: "USB line in", Format: Format{Rate: 48000, Channels: 2, Bits: 16}},
	{ID: "mic", Name: "Built-in microphone", Default: true, Format: Format{Rate: 44100, Channels: 1, Bits: 16}},
	{ID: "usb_out.monitor", Name: "USB line out", Hears: "usb_out"},
}

func TestPick(t *testing.T) {
	for _, c := range []struct{ name, want, err string }{
		{"", "mic", ""},
		{"usb line in", "usb_in", ""},
		{"LINE IN", "usb_in", ""},
		{"mic", "mic", ""},
		{"usb", "", `"usb" is part of 2 sound inputs: "USB line in", "USB line out"; give more of the name`},
		{"radio", "", `no sound input is called "radio"; there is "USB line in", "Built-in microphone", "USB line out"`},
	} {
		d, err := Pick(bench, c.name, "input")
		if c.err != "" {
			assert.EqualError(t, err, c.err)
			continue
		}
		require.NoError(t, err)
		assert.Equal(t, c.want, d.ID)
	}
	_, err := Pick(nil, "", "input")
	assert.ErrorContains(t, err, "there is no sound input")
}

func TestAnotherRateIsRefused(t *testing.T) {
	assert.NoError(t, AtRate(bench[0], 0))
	assert.NoError(t, AtRate(bench[0], 48000))
	assert.ErrorContains(t, AtRate(bench[0], 44100), "USB line in: runs at 48000 Hz, not at 44100")
}

// Full scale and single steps of each format, as IEC 61606 and the WAVE
// specification have them: two's complement, full scale at 2^(bits-1).
func TestRawSamples(t *testing.T) {
	le := binary.LittleEndian
	for _, c := range []struct {
		f    Format
		b    []byte
		want []float64
	}{
		{Format{48000, 1, 16, false}, []byte{0, 0x80, 0xff, 0x7f, 1, 0}, []float64{-1, 32767.0 / 32768, 1.0 / 32768}},
		{Format{48000, 2, 24, false}, []byte{0, 0, 0x80, 1, 0, 0}, []float64{-1, 1.0 / (1 << 23)}},
		{Format{48000, 1, 32, false}, le.AppendUint32(nil, 1<<30), []float64{0.5}},
		{Format{48000, 1, 32, true}, le.AppendUint32(nil, math.Float32bits(-0.25)), []float64{-0.25}},
	} {
		in, err := Raw(iotest.OneByteReader(bytes.NewReader(c.b)), c.f)
		require.NoError(t, err)
		var got []float64
		block := make([]float64, 16)
		for {
			n, err := in.Read(block)
			assert.Zero(t, n%c.f.Channels, "frames stay whole")
			got = append(got, block[:n]...)
			if err == io.EOF {
				break
			}
			require.NoError(t, err)
		}
		assert.Equal(t, c.want, got, c.f)
	}
	_, err := Raw(nil, Format{Rate: 48000, Channels: 1, Bits: 12})
	assert.EqualError(t, err, "standard input: samples of 12 bits cannot be read; say --bits 16, 24, 32 or float")
}

func TestQueueHandsOutWhatCameBeforeTheFault(t *testing.T) {
	q := newQueue(bench[0], bench[0].Format, func() error { return nil })
	q.put([]float64{1, 2, 3, 4})
	q.fail(vanishedNow)
	block := make([]float64, 3)
	n, err := q.Read(block)
	require.NoError(t, err)
	assert.Equal(t, []float64{1, 2}, block[:n], "whole frames only")
	n, err = q.Read(block)
	require.NoError(t, err)
	assert.Equal(t, []float64{3, 4}, block[:n])
	_, err = q.Read(block)
	assert.ErrorIs(t, err, vanishedNow)
}

var vanishedNow = io.ErrUnexpectedEOF

// A device that sends nothing any more is noticed within a second, whatever the
// backend says.
func TestQueueNoticesSilenceOnTheWire(t *testing.T) {
	assert.Less(t, Patience, time.Second)
	asked := 0
	q := newQueue(bench[0], bench[0].Format, func() error { asked++; return vanishedNow })
	_, err := q.Read(make([]float64, 2))
	assert.ErrorIs(t, err, vanishedNow)
	assert.Equal(t, 1, asked)
}

func TestQueueNeverDropsInSilence(t *testing.T) {
	q := newQueue(bench[0], Format{Rate: 10, Channels: 1}, nil)
	q.put(make([]float64, 10*queueSeconds))
	q.put([]float64{1})
	n, err := q.Read(make([]float64, 1000))
	require.NoError(t, err)
	assert.Equal(t, 10*queueSeconds, n)
	_, err = q.Read(make([]float64, 10))
	assert.ErrorContains(t, err, "USB line in: samples were lost")
}

// The pitch is counted by its zero crossings; past the best it falls silent between two
// beeps, two pairs a second.
func TestBeepSoundsAtItsPitch(t *testing.T) {
	f := Format{Rate: 48000, Channels: 1}
	played := func(hz float64, past bool) []float64 {
		b := NewBeep(f)
		b.Set(hz, past)
		x := make([]float64, 48000)
		b.Next(x[:4800]) // reach the pitch
		assert.Equal(t, len(x), b.Next(x))
		return x
	}
	for _, hz := range []float64{220, 440, 2217} {
		x, rising := played(hz, false), 0
		for i := 1; i < len(x); i++ {
			if x[i-1] < 0 && x[i] >= 0 {
				rising++
			}
			assert.LessOrEqual(t, math.Abs(x[i]), beepLevel)
		}
		assert.InDelta(t, hz, rising, 2)
	}
	beeps, was := 0, false
	for x := played(440, true); len(x) >= 480; x = x[480:] { // 10 ms
		peak := 0.0
		for _, v := range x[:480] {
			peak = math.Max(peak, math.Abs(v))
		}
		if is := peak > beepLevel/2; is && !was {
			beeps++
			was = true
		} else {
			was = is
		}
	}
	assert.InDelta(t, 4, beeps, 1)
	silent := NewBeep(f)
	silent.Set(0, false)
	x := make([]float64, 100)
	silent.Next(x)
	assert.Equal(t, make([]float64, 100), x)
}
