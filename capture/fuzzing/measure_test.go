package fuzzing

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"hisspoint/analyze/reading"
	"hisspoint/analyze/soundness"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// FuzzMeasure takes any file the whole way that the measure command takes it:
// opened, its channels compared, one chosen, measured.
func FuzzMeasure(f *testing.F) {
	for i, b := range shortFiles() {
		f.Add(b, uint16(i))
	}
	for _, b := range zoo(f, "pcm*") {
		f.Add(b, uint16(0))
	}
	f.Fuzz(func(t *testing.T, b []byte, knobs uint16) {
		if len(b) < MostInput {
			Bounded(t, func() { measureFile(t, b, knobs) })
		}
	})
}

func measureFile(t *testing.T, b []byte, knobs uint16) {
	f, err := capture.Read(bytes.NewReader(b), int64(len(b)), "x")
	if err != nil {
		return
	}
	how := asked(knobs, f.Channels[0].Rate)
	for i := range f.Channels {
		o := &f.Channels[i].Origin
		o.Warnings = append(o.Warnings, soundness.CompareChannels(f.Channels)...)
	}
	held, err := reading.Channels(f.Channels, how)
	if err != nil {
		oneLine(t, err)
		return
	}
	i, _ := reading.Pick([][]reading.Held{held}, false)
	measured(t, f.Channels[i], how)
}

// asked turns a few bits into what a person may ask for.
func asked(knobs uint16, rate int) job.Reading {
	filters := []job.Filter{
		{Name: job.SpeechBand}, {Name: job.Psophometric}, {Name: job.CMessage}, {Name: job.AWeighting}, {Name: job.Wide},
		{Name: job.Band, Low: 1, High: 50}, {Name: job.Band, Low: 20, High: 1e6}, {},
	}
	modes := []string{"", job.FM, job.AM, job.SSB}
	how := job.Reading{Filter: filters[knobs&7], Mode: modes[knobs>>3&3]}
	how.ToneHz = []float64{0, 400, 0.125 * float64(rate), 0.4 * float64(rate)}[knobs>>5&3]
	how.MainsHz = []float64{0, 50, 60, 0}[knobs>>7&3]
	return how
}

func oneLine(t *testing.T, err error) {
	if strings.ContainsAny(err.Error(), "\n\r") {
		t.Fatalf("more than a line: %q", err)
	}
}

// measured checks what every result promises: numbers, in order, and times
// within the file. JSON has no word for NaN, so encoding finds any.
func measured(t *testing.T, r capture.Recording, how job.Reading) {
	m, err := reading.Measure(r, how)
	if err != nil {
		oneLine(t, err)
		return
	}
	if _, err := json.Marshal(m); err != nil {
		t.Fatalf("%v in %+v", err, m)
	}
	for _, x := range m.Readings {
		if x.HasInterval() && !(x.Low <= x.Value && x.Value <= x.High) {
			t.Fatalf("%+v", x)
		}
	}
	end := float64(r.Total) / float64(r.Rate)
	for _, w := range m.Warnings {
		for _, at := range w.AtS {
			if !(at >= 0 && at <= end+0.001) {
				t.Fatalf("%v s of %v: %+v", at, end, w)
			}
		}
	}
}

// FuzzSamples gives Measure any samples at all, over and over.
func FuzzSamples(f *testing.F) {
	f.Add([]byte{0, 255, 3, 7}, uint32(8000), uint16(900), uint16(0))
	f.Add([]byte{1, 2, 3, 250, 128, 128, 128, 9}, uint32(44100), uint16(5000), uint16(4))
	f.Fuzz(func(t *testing.T, wave []byte, rate uint32, length, knobs uint16) {
		if len(wave) == 0 || rate == 0 || rate > 768000 {
			return
		}
		x := make([]float64, length&0x1FFF)
		for i := range x {
			b := wave[i%len(wave)]
			x[i] = float64(int8(b)) / 128
			if b == 0x55 && wave[0] == 0x55 {
				x[i] = math.NaN()
			}
		}
		r := capture.FromSamples("any.wav", int(rate), x)
		Bounded(t, func() { measured(t, r, asked(knobs, int(rate))) })
	})
}

// shortFiles are WAVE files just long enough to be measured, with what the
// analysis looks for: a tone, harmonics, hum, noise, changes, gaps.
func shortFiles() [][]byte {
	const rate, n = 8000, 1200
	var out [][]byte
	add := func(tag, bits uint16, channels int, sound func(i int) float64) {
		b := header(tag, bits, channels, rate)
		for i := range n {
			for c := range channels {
				v := math.Max(-1, math.Min(1, sound(i)*float64(1-2*c)))
				switch bits {
				case 8:
					b = append(b, byte(128+127*v))
				case 16:
					b = binary.LittleEndian.AppendUint16(b, uint16(int16(32767*v)))
				case 32:
					b = binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
				}
			}
		}
		out = append(out, b)
	}
	at := func(hz float64, i int) float64 { return math.Sin(2 * math.Pi * hz * float64(i) / rate) }
	seed := uint32(1)
	noise := func() float64 {
		seed = seed*1664525 + 1013904223
		return float64(int32(seed)) / (1 << 31)
	}
	add(1, 16, 1, func(i int) float64 { return 0.3*at(1003, i) + 0.02*noise() })
	add(1, 8, 1, func(i int) float64 { return 0.9 * at(1000, i) })
	add(3, 32, 1, func(i int) float64 { return 3 * at(997, i) })
	add(1, 16, 2, func(i int) float64 { return 0.3*at(1000, i) + 0.1*at(50, i) + 0.05*at(150, i) })
	add(1, 8, 1, func(i int) float64 { return 0.4*at(1000, i) + 0.1*at(2000, i) + 0.1*at(3000, i) + 0.1 })
	add(1, 16, 1, func(i int) float64 { return 0.5 * noise() })
	add(1, 16, 1, func(i int) float64 { return 0.5 * at(1000, i+i/600*3) })
	add(1, 8, 1, func(i int) float64 { return 0.5 * at(400, i) * float64(i/300%2) })
	return out
}

// header is that of a WAVE file whose sizes say nothing.
func header(tag, bits uint16, channels, rate int) []byte {
	b := []byte("RIFF\xff\xff\xff\xffWAVEfmt \x10\x00\x00\x00")
	frame := channels * int(bits) / 8
	b = binary.LittleEndian.AppendUint16(b, tag)
	b = binary.LittleEndian.AppendUint16(b, uint16(channels))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate*frame))
	b = binary.LittleEndian.AppendUint16(b, uint16(frame))
	b = binary.LittleEndian.AppendUint16(b, bits)
	return append(b, "data\xff\xff\xff\xff"...)
}
