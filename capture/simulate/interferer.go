package simulate

import "math"

// Interference is the way in which a second signal does harm.
type Interference int

const (
	// AdjacentChannel: what the IF filter's skirt, and noise of the set's
	// oscillator, let through of a signal Interferer.OffsetHz away.
	AdjacentChannel Interference = iota
	// Blocking: a strong signal far away lowers the front's gain.
	Blocking
	// Intermodulation: two equal signals, spaced so that their third-order
	// product falls on the channel; the level is that of each.
	Intermodulation
	// CoChannel: a signal on the channel itself.
	CoChannel
)

func (k Interference) String() string {
	return [...]string{"adjacent channel", "blocking", "intermodulation", "co-channel"}[k]
}

// Interferer is a second generator, joined to the first without loss. Its
// level is Segment.InterfererDBm, at the set.
//
// What reaches the IF is a power there, and the powers add:
//
//	adjacent channel   I - rejection, as noise
//	blocking           noise floor + (I - BlockingDBm), as noise: at BlockingDBm the carrier-to-noise ratio is 3 dB worse
//	intermodulation    3 I - 2 InterceptDBm, a carrier on the channel
//	co-channel         I, a carrier on the channel
//
// The carriers are modulated as stated here in an FM set at DepthCarrier;
// elsewhere they too count as noise of their power.
type Interferer struct {
	Kind        Interference
	OffsetHz    float64 // adjacent channel only
	ToneHz      float64 // 0 stands for 400 Hz
	DeviationHz float64
}

// Immunity says how a set withstands a second signal. Zero values withstand
// everything, but for what the IF filter itself lets through.
type Immunity struct {
	RejectionDB  float64 // of an adjacent channel, at best: the floor under the IF filter's skirt
	BlockingDBm  float64 // level that worsens the carrier-to-noise ratio by 3 dB
	InterceptDBm float64 // third-order intercept point at the aerial socket
}

// jamming is the interferer's power in the IF in dBm at the aerial socket,
// and whether it is a carrier on the channel. -Inf: none.
func (m Immunity) jamming(s *stretch, floorDBm float64, ifPower func(hz float64) float64) (dBm float64, carrier bool) {
	none := math.Inf(-1)
	if s.jam == nil {
		return none, false
	}
	switch s.jam.Kind {
	case Blocking:
		if m.BlockingDBm == 0 {
			return none, false
		}
		return floorDBm + s.jamDBm - m.BlockingDBm, false
	case Intermodulation:
		if m.InterceptDBm == 0 {
			return none, false
		}
		return 3*s.jamDBm - 2*m.InterceptDBm, true
	case CoChannel:
		return s.jamDBm, true
	}
	leak := ifPower(s.jam.OffsetHz)
	if m.RejectionDB > 0 {
		leak += math.Pow(10, -m.RejectionDB/10)
	}
	return s.jamDBm + 10*math.Log10(leak), false
}

// jamRatio is the interferer's power in the IF over the noise there.
func (m Immunity) jamRatio(s *stretch, floorDBm float64, ifPower func(hz float64) float64) (ratio float64, carrier bool) {
	dBm, carrier := m.jamming(s, floorDBm, ifPower)
	return math.Pow(10, (dBm-floorDBm)/10), carrier
}

// GroundLoop is hum that arises between set and card: it stays when the set
// is muted or off.
type GroundLoop struct {
	MainsHz float64
	Volts   []float64 // RMS of line k at (k+1)*MainsHz
}

func (g GroundLoop) add(volts []float64, seed uint64) {
	phases := random(seed, streamLoop)
	for k, rms := range g.Volts {
		phase := 2 * math.Pi * phases.Float64()
		if g.MainsHz > 0 && rms > 0 {
			addTone(volts, rms*math.Sqrt2, g.MainsHz*float64(k+1)/workRate, phase)
		}
	}
}
