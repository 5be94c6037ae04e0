package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"

	"hisspoint/capture"
)

// Generator is the RF signal generator and what lies between it and the set.
type Generator struct {
	ToneHz         float64 // modulating tone; 0 stands for 1000 Hz
	DeviationHz    float64 // peak deviation by the tone; FM sets hear it
	Depth          float64 // depth of amplitude modulation, 0 to 1; AM sets hear it
	OffsetHz       float64 // carrier frequency minus the set's channel
	SubToneHz      float64 // sub-audible tone; 0 for none
	SubDeviationHz float64 // peak deviation by the sub-audible tone
	LevelErrorDB   float64 // true output minus dial
	PadDB          float64 // pad and cable between generator and set
	LeakDBm        float64 // carrier that reaches the set past the cable, added in power; 0: none
	ResidualFMHz   float64 // RMS frequency noise between 300 and 3000 Hz; its density is flat
}

// Segment is a stretch of time in which the generator is left alone. Zero
// values of the frequencies stand for the generator's own settings, so a
// Segment with a level and a length is a steady, modulated carrier.
type Segment struct {
	Seconds     float64
	LevelDBm    float64 // dial level into 50 ohm
	Off         bool    // no carrier at all
	Down        bool    // dial fully down, cable ended in its load: only the leak is left
	Unmodulated bool    // carrier without tone (a sub-audible tone stays)
	ToneHz      float64
	DeviationHz float64
	Depth       float64 // of amplitude modulation
	OffsetHz    float64 // added to the generator's own offset
	VolumeDB    float64 // volume against the set's own setting; VolumeZero turns it right down
	// InterfererDBm is the level of the bench's second generator; 0: it is off.
	InterfererDBm float64
}

// VolumeZero is the Segment.VolumeDB of a volume control turned right down.
var VolumeZero = math.Inf(-1)

// Set is a radio set: it hears the generator and gives speaker volts. The
// kinds of sets live in this package: FM, AM and SSB.
type Set interface {
	// play gives the speaker voltage at workRate from time 0 to the end of
	// the timeline.
	play(line timeline, seed uint64) []float64
	// Describe says in one line what the set is.
	Describe() string
	// squelch is the set's gate; its zero value is always open.
	squelch() Squelch
}

// Bench is a whole simulated bench. It is a value: Record does not change it.
type Bench struct {
	Generator  Generator
	Interferer Interferer // a second generator; see Segment.InterfererDBm
	Set        Set
	GroundLoop GroundLoop // hum between set and card, whatever the set does
	Card       SoundCard
	Seed       uint64 // the same seed gives the same samples
}

// Record makes one recording while the generator is set to each segment in
// turn: one channel at Card.Rate samples a second, full scale +-1, rounded
// as the card rounds. The set has been on, in the state of the first
// segment, long before the recording starts.
func (b Bench) Record(segments ...Segment) []float64 {
	c, line := b.Card, b.timeline(segments)
	seconds := 0.0
	for _, s := range segments {
		seconds += s.Seconds
	}
	// The card's filter looks both ways, and a slow card takes longer over
	// its samples: the set plays from a little before to a little after.
	slow := math.Abs(c.RateErrorPPM) * 1e-6 * seconds
	volts := b.Set.play(line.padded(cardMargin, cardMargin+slow), b.Seed)
	b.GroundLoop.add(volts, b.Seed)
	return c.capture(volts, seconds, b.Seed)
}

// Take is a steady, modulated recording at one dial level.
func (b Bench) Take(levelDBm, seconds float64) []float64 {
	return b.Record(Segment{Seconds: seconds, LevelDBm: levelDBm})
}

// Recording is Record as a recording under a name.
func (b Bench) Recording(name string, segments ...Segment) capture.Recording {
	return capture.FromSamples(name, b.Card.Rate, b.Record(segments...))
}

// WithSeed is the same bench with other noise.
func (b Bench) WithSeed(seed uint64) Bench {
	b.Seed = seed
	return b
}

// Describe says what was simulated, for reports.
func (b Bench) Describe() string {
	return fmt.Sprintf("simulated, not recorded: %s; %s; seed %d", b.Set.Describe(), b.Card.Describe(), b.Seed)
}

// DBmFromMicrovoltPD is the level in dBm into 50 ohm of a potential
// difference in microvolts: 20 log10(uV) - 106.990.
func DBmFromMicrovoltPD(uV float64) float64 { return 20*math.Log10(uV) - 106.9897000433602 }

// MicrovoltPDFromDBm is the inverse of DBmFromMicrovoltPD.
func MicrovoltPDFromDBm(dBm float64) float64 { return math.Pow(10, (dBm+106.9897000433602)/20) }

// Random streams of one seed; each source of chance has its own, so that
// changing the card leaves the radio's noise as it was.
const (
	streamIF = iota + 1
	streamClicks
	streamPhases
	streamHum
	streamCard
	streamResidual
	streamAmplifier
	streamLoop
	streamInterferer
	streamHealthy
	streamMicrophone
)

// random is the stream of a seed. Neighbouring seeds, which bulk runs use,
// would leave the generator's lower word the same for all; stirring seed and
// stream into both words keeps their noise apart.
func random(seed uint64, stream uint64) *rand.Rand {
	return rand.New(rand.NewPCG(stir(seed+stream*0x9e3779b97f4a7c15), stir(^seed-stream)))
}

// stir is the finaliser of SplitMix64 (Steele, Lea and Flood, 2014).
func stir(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}
