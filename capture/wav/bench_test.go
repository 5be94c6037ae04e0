package wav_test

import (
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/go-audio/audio"
	gowav "github.com/go-audio/wav"

	"hisspoint/capture/wav"
)

// tenSeconds writes a tone and says how many bytes of sound the file has.
func tenSeconds(b *testing.B, f wav.Format) (string, int64) {
	b.Helper()
	x := make([]float64, 10*f.Rate)
	for i := range x {
		x[i] = 0.5 * math.Sin(2*math.Pi*1000*float64(i)/float64(f.Rate))
	}
	channels := make([][]float64, f.Channels)
	for i := range channels {
		channels[i] = x
	}
	path := filepath.Join(b.TempDir(), "tone.wav")
	if err := wav.WriteFile(path, f, channels...); err != nil {
		b.Fatal(err)
	}
	return path, int64(len(x) * f.Channels * f.Bits / 8)
}

var formats = []wav.Format{
	{Rate: 48000, Channels: 1, Bits: 16},
	{Rate: 48000, Channels: 2, Bits: 16},
	{Rate: 48000, Channels: 1, Bits: 24},
	{Rate: 48000, Channels: 1, Bits: 32},
	{Rate: 48000, Channels: 1, Bits: 32, Float: true},
}

func (n formatName) String() string {
	kind := "int"
	if n.Float {
		kind = "float"
	}
	return fmt.Sprintf("%s%d-%dch", kind, n.Bits, n.Channels)
}

type formatName wav.Format

// BenchmarkRead is one channel of a ten-second file, from opening to the last
// sample; the bytes counted are those of the whole file.
func BenchmarkRead(b *testing.B) {
	for _, f := range formats {
		b.Run(formatName(f).String(), func(b *testing.B) {
			path, bytes := tenSeconds(b, f)
			b.SetBytes(bytes)
			b.ReportAllocs()
			for b.Loop() {
				file, err := os.Open(path)
				if err != nil {
					b.Fatal(err)
				}
				st, _ := file.Stat()
				info, err := wav.Parse(file, st.Size())
				if err != nil {
					b.Fatal(err)
				}
				for _, err := range wav.NewReader(file, info).Blocks(1, 0, info.Frames) {
					if err != nil {
						b.Fatal(err)
					}
				}
				file.Close()
			}
		})
	}
}

// BenchmarkReadGoAudio is the same through github.com/go-audio/wav in its
// fastest safe use: a canonical header, full reads, a reused buffer.
func BenchmarkReadGoAudio(b *testing.B) {
	for _, f := range formats {
		if f.Float {
			continue
		}
		b.Run(formatName(f).String(), func(b *testing.B) {
			path, size := tenSeconds(b, f)
			b.SetBytes(size)
			b.ReportAllocs()
			for b.Loop() {
				file, err := os.Open(path)
				if err != nil {
					b.Fatal(err)
				}
				if err := goAudio(file, func([]int) {}); err != nil {
					b.Fatal(err)
				}
				file.Close()
			}
		})
	}
}

// goAudio decodes a plain integer file block by block.
func goAudio(r io.ReadSeeker, use func([]int)) error {
	d := gowav.NewDecoder(fullReader{ReadSeeker: r})
	buf := &audio.IntBuffer{Data: make([]int, 1<<14)}
	for {
		n, err := d.PCMBuffer(buf)
		if err != nil {
			return err
		}
		if n == 0 {
			return nil
		}
		use(buf.Data[:n])
	}
}

// fullReader fills the slice it is given, as go-audio expects.
type fullReader struct{ io.ReadSeeker }

func (f fullReader) Read(b []byte) (int, error) {
	n, err := io.ReadFull(f.ReadSeeker, b)
	if err == io.ErrUnexpectedEOF {
		err = nil
	}
	return n, err
}

// BenchmarkWrite is a ten-second file written block by block, without the disk.
func BenchmarkWrite(b *testing.B) {
	block := make([]float64, 4800)
	for i := range block {
		block[i] = 0.5 * math.Sin(2*math.Pi*float64(i)/48)
	}
	for _, f := range formats {
		b.Run(formatName(f).String(), func(b *testing.B) {
			b.SetBytes(int64(480000 * f.Channels * f.Bits / 8))
			b.ReportAllocs()
			for b.Loop() {
				w, err := wav.NewWriter(sink{}, f)
				if err != nil {
					b.Fatal(err)
				}
				for range 100 * f.Channels {
					if err := w.Write(block); err != nil {
						b.Fatal(err)
					}
				}
				if err := w.Close(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
