package simulate

import (
	"fmt"
	"math"
)

// Preemphasis is a transmitter's rise with frequency, 0 dB at 1 kHz.
type Preemphasis int

const (
	// PreemphasisSlope rises 6 dB/octave: deviation as of a phase modulator.
	PreemphasisSlope Preemphasis = iota
	// Preemphasis750us is one zero of 750 us.
	Preemphasis750us
	// PreemphasisNone is flat: AM, and a fault in an FM transmitter.
	PreemphasisNone
	// PreemphasisReversed is a fault: it falls 6 dB/octave.
	PreemphasisReversed
)

func (p Preemphasis) response(f float64) complex128 {
	switch p {
	case PreemphasisSlope:
		return complex(0, f/1000)
	case Preemphasis750us:
		const tau = 750e-6
		return complex(1, 2*math.Pi*f*tau) / complex(math.Hypot(1, 2*math.Pi*1000*tau), 0)
	case PreemphasisReversed:
		return DeemphasisSlope.response(f)
	}
	return 1
}

func (p Preemphasis) String() string {
	return [...]string{"6 dB/octave pre-emphasis", "750 us pre-emphasis", "no pre-emphasis", "6 dB/octave the wrong way"}[p]
}

// Transmitter is a transmitter's audio from the microphone to the modulation:
//
//	insert, coupling capacitor, bypass capacitor, pre-emphasis, gain
//	microphone gain control (if any)
//	limiter: clips at +-Limit
//	low-pass behind the limiter
//	modulator: second and third harmonic, hum, noise
//
// Modulation is in hertz of deviation, or, of an AM transmitter, in depth
// with 1 for 100 %; no AM carrier goes below nothing.
type Transmitter struct {
	Name          string
	AM            bool
	InsertTiltDB  float64 // microphone insert: dB/octave about 1 kHz
	InsertLowHz   float64 // its lower corner, one pole; 0: none
	InsertHighHz  float64 // its upper corner, one pole; 0: none
	CouplingHz    float64 // corner of a coupling capacitor, one pole; 0: none
	BypassHz      float64 // corner above which a capacitor across the signal takes off, one pole; 0: none
	Preemphasis   Preemphasis
	StandardVolts float64 // RMS of a 1 kHz tone at the socket for Standard modulation
	Standard      float64 // modulation by that tone, peak: 60 % of the rated maximum in FM
	Limit         float64 // the limiter's clipping level as modulation; 0: no limiter
	LimitDown     float64 // the same of the downward half, where it differs; 0: as Limit
	LowPassHz     float64 // 0: none
	LowPassPoles  int     // Butterworth
	Compressor    Compressor
	SecondPercent float64   // harmonics of a tone at Standard modulation
	ThirdPercent  float64   //
	Noise         float64   // residual modulation, RMS between 300 and 3000 Hz; flat
	MainsHz       float64   // of Hum
	Hum           []float64 // peak modulation by line k at (k+1)*MainsHz
	OffsetHz      float64   // carrier off its channel
}

// Compressor is a microphone gain control ahead of the limiter. It listens to
// the mean of the rectified signal, pi/2 of which is a tone's peak, with the
// time constants of AGC; above Threshold a tone rises one decibel for RatioDB.
// While it has not yet acted the limiter clips: the attack's overshoot.
type Compressor struct {
	Threshold float64 // modulation, peak, by a 1 kHz tone; 0: no gain control
	RatioDB   float64
	AttackS   float64 // 0 stands for 20 ms
	DecayS    float64 // 0 stands for 200 ms
}

// before is everything linear ahead of the limiter, without gain.
func (t Transmitter) before(f float64) complex128 {
	h := t.Preemphasis.response(f)
	a := min(max(math.Abs(f), 50), 8000)
	h *= complex(math.Pow(a/1000, t.InsertTiltDB/(20*math.Log10(2))), 0)
	for _, corner := range []float64{t.CouplingHz, t.InsertLowHz} {
		if corner > 0 {
			h *= complex(0, f) / complex(corner, f)
		}
	}
	for _, corner := range []float64{t.BypassHz, t.InsertHighHz} {
		if corner > 0 {
			h /= complex(1, f/corner)
		}
	}
	return h
}

func (t Transmitter) after(f float64) complex128 {
	if t.LowPassHz == 0 {
		return 1
	}
	return butterworth(complex(0, f/t.LowPassHz), t.LowPassPoles)
}

// ResponseDB is the known response at hz against 1 kHz, below limiting:
// modulation for the same voltage at the microphone.
func (t Transmitter) ResponseDB(hz float64) float64 {
	at := func(f float64) float64 { return magnitude(t.before(f)) * magnitude(t.after(f)) }
	return decibels(at(hz) / at(1000))
}

// Describe says in one line what the transmitter is.
func (t Transmitter) Describe() string {
	kind := "FM"
	if t.AM {
		kind = "AM"
	}
	return fmt.Sprintf("%s (an invented %s transmitter, simulated: %s)", t.Name, kind, t.Preemphasis)
}

// modulate gives n samples of modulation at workRate for volts at the
// microphone socket, which begin 2*audioAfter samples before: both filters
// look back.
func (t Transmitter) modulate(volts []float64, n int, seed uint64) []float64 {
	gain := t.Standard / (t.StandardVolts * math.Sqrt2) / (magnitude(t.before(1000)) * magnitude(t.after(1000)))
	h := realBins(func(f float64) complex128 { return complex(gain*guard(f), 0) * t.before(f) })
	x := convolve(volts, limitTaps(h, audioAhead), n+tapSpan, audioAfter)
	t.Compressor.control(x)
	if t.Limit > 0 {
		down := -first(t.LimitDown, t.Limit)
		bend(x, min(t.Limit, -down), func(v float64) float64 { return min(max(v, down), t.Limit) })
	}
	h = realBins(func(f float64) complex128 { return complex(guard(f), 0) * t.after(f) })
	x = convolve(x, limitTaps(h, audioAhead), n, audioAfter)
	AudioStage{OutputVolts: t.Standard / math.Sqrt2, SecondPercent: t.SecondPercent, ThirdPercent: t.ThirdPercent}.amplify(x)
	if t.Noise > 0 {
		noise, size := random(seed, streamMicrophone), residualPerSample(t.Noise)
		for i := range x {
			x[i] += size * noise.NormFloat64()
		}
	}
	phases := random(seed, streamHum)
	for k, peak := range t.Hum {
		phase := 2 * math.Pi * phases.Float64()
		if t.MainsHz > 0 && peak > 0 {
			addTone(x, peak, t.MainsHz*float64(k+1)/workRate, phase)
		}
	}
	if t.AM {
		bend(x, 1, func(v float64) float64 { return max(v, -1) })
	}
	return x
}

func (c Compressor) control(x []float64) {
	if c.Threshold == 0 || c.RatioDB == 0 {
		return
	}
	attack := 1 - math.Exp(-1/(workRate*first(c.AttackS, 0.02)))
	decay := 1 - math.Exp(-1/(workRate*first(c.DecayS, 0.2)))
	mean, held, power := 0.0, 0.0, 1/c.RatioDB-1
	for i, v := range x {
		mean += attack * (math.Pi/2*math.Abs(v) - mean)
		held = max(mean, held+decay*(mean-held))
		if held > c.Threshold {
			x[i] *= math.Pow(held/c.Threshold, power)
		}
	}
}
