package soundness

import (
	"math"

	"hisspoint/analyze/internal/grid"
	"hisspoint/capture/job"
)

// Misread is by how much SINAD of sound that came some way may read wrong, in dB.
type Misread struct {
	High, Low float64 // too high, too low, at most
	Open      bool    // more too low than that is possible: it is "at least"
}

// column holds up to a SINAD, in dB, as read.
type column struct{ upTo, high, low float64 }

// way is what sound of one source was seen to do to SINAD, by how much it read;
// beyond the last column it is "at least".
type way struct {
	words   string
	quiet   bool // hum, noise and quieting cannot be told from it either
	columns []column
}

// unknown is of AAC and Vorbis together, at the rates in common use, as nobody says
// which and how much.
var unknown = []column{{16, 0.4, 1.0}, {18, 0.4, 1.3}}

// ways are the errors of SINAD seen when receivers of six kinds were coded and decoded
// again (SINAD before and after within 300 to 3400 Hz, FFmpeg's coders, 3 to 8 sounds
// each; own trials). Of each family the lowest bit rate in common use counts: 64
// kbit/s of AAC, 32 of MP3, 24 of Opus; of speech coders 12 to 24, but not GSM, which
// is worse. A microphone half a metre away hears the room as well: its row is common
// practice and simulated rooms, whose tone lies 12 dB over its reverberation.
var ways = map[string]way{
	grid.AACOrVorbis:     {"AAC or Vorbis", true, unknown},
	grid.MP3:             {"MP3", true, mp3},
	grid.Opus:            {"Opus", true, []column{{16, 0.9, 0.6}, {17, 0.9, 2.1}}},
	job.SourcePhone:      {"a phone's memo", true, unknown},
	job.SourceMP3:        {"MP3", true, mp3},
	job.SourceAAC:        {"AAC", true, []column{{16, 0.1, 0.9}, {18, 0.1, 1.3}}},
	job.SourceVorbis:     {"Vorbis", true, []column{{16, 0.4, 0.1}, {25, 0.4, 0.1}, {33, 0.4, 0.3}}},
	job.SourceOpus:       {"Opus", true, []column{{10, 0.9, 0.6}, {16, 0.9, 2}}},
	job.SourceSpeech:     {"a speech coder", true, []column{{9, 1, 1.5}, {15, 1.2, 4}}},
	job.SourceMuLaw:      {"µ-law or A-law", false, []column{{16, 0.1, 0.1}, {25, 0.1, 0.2}, {30, 0.1, 0.7}}},
	job.SourceMicrophone: {"a microphone in the air", true, []column{{math.MaxFloat64, 3, 3}}},
}

var mp3 = []column{{16, 0.1, 0.6}, {18, 0.1, 1.3}}

// nearEdge is how near the end of a column, in dB, the next one holds as well.
const nearEdge = 2

// openLow is how much more than in its last column SINAD may well read too low beyond
// it; nothing bounds it.
const openLow = 10

// MisreadOf is how SINAD may read wrong by the way its sound came; an empty way is none.
func MisreadOf(source string, sinad float64) Misread {
	w, ok := ways[source]
	if !ok {
		return Misread{}
	}
	var m Misread
	for _, c := range w.columns {
		m.High, m.Low = c.high, c.low
		if sinad <= c.upTo-nearEdge {
			return m
		}
	}
	last := w.columns[len(w.columns)-1]
	if sinad > last.upTo {
		m.Low, m.Open = last.low+openLow, true
	}
	return m
}

// LosesNoise tells that sound from there has lost or gained so much noise that hum,
// noise and quieting are not judged from it.
func LosesNoise(source string) bool { return ways[source].quiet }

// Words of a source, for people: "MP3".
func Words(source string) string { return ways[source].words }
