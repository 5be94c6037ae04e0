package analyze

// What a person at the set may aim for.
const (
	AimSINAD      = "sinad"      // as much as possible
	AimAudio      = "audio"      // recovered audio: as much as possible
	AimHiss       = "hiss"       // noise on a carrier without modulation: as little as possible
	AimDistortion = "distortion" // as little as possible, the audio beside it
)

// Aims lists the aims in the order in which help shows them.
var Aims = []string{AimHiss, AimAudio, AimSINAD, AimDistortion}

// States of a needle.
const (
	AtBest    = "best"     // as good as the best so far, within the scatter
	ShortOf   = "below"    // worse than the best, and not falling from it
	PastBest  = "past"     // was at the best and falls: turn back
	NoReading = "no value" // nothing to aim by
)

// Needle is how the aim stands.
type Needle struct {
	Aim       string
	Now       Reading
	Best      Reading // no value: none yet
	BestAtS   float64 // seconds from the beginning of the sound, the middle of the part that gave it
	GapDB     float64 // how much worse than the best, in dB; for distortion 20 log10 of the ratio
	Share     float64 // 0 to 1: how far a bar is filled; 1 is the best so far
	State     string
	ScatterDB float64 // 95 % half-width of the reading in dB; 0: not known
	Unsteady  string  // why the reading is not to be trusted; empty: it is
	Advice    string  // what would serve the aim better; empty: nothing
	Beside    *Needle // audio beside distortion
}

// PlayedCheck tells how a test signal that was played while a recording was made
// has come into it.
type PlayedCheck struct {
	Heard     float64   // share of its pieces that were found, 0 to 1
	FromS     float64   // where it begins in the recording
	ToS       float64   // and ends
	LevelDBFS float64   // of the sound between these
	PeakDBFS  float64   // largest sample between these
	LostAtS   []float64 // where samples were lost or doubled: what follows comes too early or too late
}

// Found tells whether the signal is in the recording: some of its tones may lie
// where the set passes nothing.
func (p PlayedCheck) Found() bool { return p.Heard >= leastHeard }

const (
	leastHeard = 0.5
)
