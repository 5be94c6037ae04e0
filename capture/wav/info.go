package wav

// Encoding is how a sample is stored.
type Encoding string

// The encodings that are read.
const (
	PCM   Encoding = "pcm"    // integers; 8 bits and below unsigned, above signed
	Float Encoding = "float"  // IEEE 754 binary32 or binary64
	ALaw  Encoding = "a-law"  // ITU-T G.711
	MuLaw Encoding = "mu-law" // ITU-T G.711
)

// Codes of the notes that Parse leaves about a container.
const (
	HeaderRepaired = "header-repaired" // the header contradicts the file; what was read is right to the sample
	Truncated      = "truncated"       // samples that the header promises are not there
)

// Note tells what Parse found wrong and what it did about it.
type Note struct {
	Code string
	Text string
	AtS  []float64 // where in the sound, in seconds, if it has a place there
}

// Info is what a WAVE file says about its samples, after repair. Every offset
// and length in it lies inside the file.
type Info struct {
	Container string   // "riff", "rifx" or "rf64"
	Encoding  Encoding // how a sample is stored
	Bits      int      // valid bits a sample
	Bytes     int      // bytes one sample of one channel takes
	Channels  int      // 1 to MaxChannels
	Rate      int      // frames a second, 1 to MaxRate
	Offset    int64    // where the first frame begins
	Frames    int64    // whole frames present, at least 1
	BigEndian bool     // byte order of samples (RIFX)
	Notes     []Note   // what was repaired
}

// Bounds of what is read.
const (
	MaxChannels = 64
	MaxRate     = 768000
)

// FrameBytes is the length of one frame: one sample of every channel.
func (i Info) FrameBytes() int { return i.Bytes * i.Channels }

func (i *Info) note(code, text string) {
	i.Notes = append(i.Notes, Note{Code: code, Text: text})
}
