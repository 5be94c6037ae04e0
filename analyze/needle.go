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

// States of a needle. Each is a statement on the reading beside it, made anew with
// every reading, so none outlives what it says.
const (
	Better    = "better"         // the best so far, and rose within the last second
	AtBest    = "best"           // as good as the best so far, within the scatter
	Closer    = "closer"         // worse than the best, and rose within the last second
	ShortOf   = "below"          // worse than the best, and neither rising nor just fallen
	PastBest  = "past"           // worse than the best, and fell: turn back
	NoReading = "no value"       // nothing to aim by
	TooMuch   = "too much level" // clipped within the last second: the reading is not the set's
)

// Needle is how the aim stands. Places are shares of a fixed scale, 0 at its poor end
// and 1 at its good one.
type Needle struct {
	Aim       string
	Now       Reading // smoothed within its own scatter
	Best      Reading // no value: none yet
	BestAtS   float64 // seconds from the beginning of the sound, the middle of the part that gave it
	GapDB     float64 // how much worse than the best, in dB; for distortion 20 log10 of the ratio
	Poor      float64 // reading at the poor end of the scale
	Good      float64 // and at the good one
	Place     float64 // of Now
	BestPlace float64
	PitchHz   float64 // of the tone that tells the place; 0: silence
	Course    Course
	State     string
	ScatterDB float64 // 95 % half-width of the reading in dB; 0: not known
	Unsteady  string  // why the reading is not to be trusted; empty: it is
	Advice    string  // what would serve the aim better; empty: nothing
	Beside    *Needle // audio beside distortion
}

// Course is how the aim went in the last 60 s, four places a second, the newest last. It
// stands on a range of its own, so that a small turn is seen.
type Course struct {
	Places     []float64 // 0 to 1; below 0: no reading
	Poor, Good float64   // readings at 0 and 1
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
