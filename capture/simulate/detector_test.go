package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// bare is a bench without a card's faults.
func bare(set Set, g Generator) Bench {
	return Bench{Generator: g, Set: set, Card: SoundCard{Rate: workRate, FullScaleVolts: 20}}
}

// lines is the power in V^2 of each bin of a recording of 1 s of volts.
func lines(b Bench, segments ...Segment) []float64 {
	p := powers(b.Record(segments...))
	for i := range p {
		p[i] *= 2 * b.Card.FullScaleVolts * b.Card.FullScaleVolts
	}
	return p
}

func idealAM() AM {
	return AM{Name: "ideal set", IFBandwidthHz: 12000, Audio: AudioStage{OutputVolts: 1}}
}

func idealSSB() SSB {
	return SSB{Name: "ideal set", IFBandwidthHz: 2400, Audio: AudioStage{OutputVolts: 1}}
}

// S/N = m^2 C/(2 W N0) of an envelope detector well above the noise: the
// closed form of the textbooks, from memory. With m = 0.3, W = 3 kHz and
// N0 = k T0, C 60 dB over W N0 gives 60 - 13.468 dB = 46.53 dB.
func TestAMSignalToNoise(t *testing.T) {
	const w = 3000
	for _, cnr := range []float64{40, 60} { // C/(W N0) in dB
		level := NoiseDensityDBm + 10*math.Log10(w) + cnr
		b := bare(idealAM(), Generator{ToneHz: 1000, Depth: 0.3})
		parts, err := b.takes(level, Band(30, w), 2)
		assert.NoError(t, err)
		got := 10 * math.Log10(pool(parts, -1).tone/pool(parts, -1).rest)
		want := cnr + 10*math.Log10(0.3*0.3/2) - 10*math.Log10((w-30.0)/w)
		assert.InDelta(t, want, got, 0.05, "C/(W N0) %g dB", cnr)
	}
}

// S/N = C/(B N0) of a product detector: the same.
func TestSSBSignalToNoise(t *testing.T) {
	for lower, cnr := range map[bool]float64{false: 10, true: 30} {
		set := idealSSB()
		set.Lower, set.NoiseFigureDB, set.FrontLossDB = lower, 5, 3
		parts, err := bare(set, Generator{}).takes(set.NoiseFloorDBm()+cnr, Band(0, 12000), 2)
		assert.NoError(t, err)
		got := 10 * math.Log10(pool(parts, -1).tone/pool(parts, -1).rest)
		assert.InDelta(t, cnr, got, 0.06, "lower %v, C/(B N0) %g dB", lower, cnr)
		assert.InDelta(t, NoiseDensityDBm+10*math.Log10(2400)+8, set.NoiseFloorDBm(), 1e-9)
	}
}

// 1 V RMS at -47 dBm, and above the threshold one decibel for every ten of
// carrier; below it one for one.
func TestGainControl(t *testing.T) {
	agc := AGC{ThresholdDBm: -100, RatioDB: 10}
	am, ssb := idealAM(), idealSSB()
	am.AGC, ssb.AGC = agc, agc
	for _, set := range []Set{am, ssb} {
		b := bare(set, Generator{ToneHz: 1000, Depth: 0.3})
		tone := func(dBm float64) float64 { return dB(lines(b, Segment{Seconds: 1, LevelDBm: dBm})[1000]) }
		assert.InDelta(t, 0, tone(-47), 0.03, set.Describe())
		assert.InDelta(t, 3, tone(-67)-tone(-97), 0.05)
		assert.InDelta(t, 3, agc.OutputDB(-67)-agc.OutputDB(-97), 1e-9)
		assert.InDelta(t, 10, tone(-103)-tone(-113), 0.3, "below the threshold, in noise")
	}
	am.AGC.HeldDBm = -60
	held := bare(am, Generator{ToneHz: 1000, Depth: 0.3})
	rise := dB(lines(held, Segment{Seconds: 1, LevelDBm: -60})[1000] / lines(held, Segment{Seconds: 1, LevelDBm: -66})[1000])
	assert.InDelta(t, 6, rise, 0.01)
}

// Without a carrier the AGC opens up and lifts the hiss; held, it does not.
func TestHissWithoutCarrier(t *testing.T) {
	hiss := func(set SSB, s Segment) float64 {
		s.Seconds = 1
		sum := 0.0
		for k, p := range lines(bare(set, Generator{}), s) {
			if k >= 300 && k <= 2700 && k != 1000 {
				sum += p
			}
		}
		return dB(sum)
	}
	set := idealSSB()
	set.AGC = AGC{ThresholdDBm: set.NoiseFloorDBm() + 3, RatioDB: 20}
	level := set.NoiseFloorDBm() + 13
	assert.InDelta(t, 9.5, hiss(set, Segment{Off: true})-hiss(set, Segment{LevelDBm: level}), 0.8, "10 dB over the threshold is 9.5 dB of gain")
	set.AGC.HeldDBm = level
	assert.InDelta(t, 0, hiss(set, Segment{Off: true})-hiss(set, Segment{LevelDBm: level}), 0.4)
}

// The gain follows a step of the carrier with the time constants as stated.
func TestAttackAndDecay(t *testing.T) {
	set := idealSSB()
	set.AGC = AGC{ThresholdDBm: -100, RatioDB: 1e9, AttackS: 0.05, DecayS: 0.2}
	b := bare(set, Generator{})
	x := b.Record(Segment{Seconds: 1, LevelDBm: -60}, Segment{Seconds: 1, LevelDBm: -40}, Segment{Seconds: 2, LevelDBm: -60})
	level := func(at float64) float64 { // over 10 ms, ten cycles
		sum, part := 0.0, x[int(at*workRate)-120:int(at*workRate)+120]
		for _, v := range part {
			sum += v * v / 240
		}
		return math.Sqrt(sum)
	}
	// Envelope 1 to 10: held = 10 - 9 e^(-t/T); gain 1/held.
	for _, at := range []float64{0.02, 0.05, 0.1} {
		assert.InEpsilon(t, 10/(10-9*math.Exp(-at/0.05)), level(1+at)/level(0.5), 0.03)
	}
	// 10 to 1: the average falls with 50 ms, and what follows it with 200 ms
	// is 9/(1 - 50/200) (e^(-t/0.2) - 50/200 e^(-t/0.05)) above 1.
	for _, at := range []float64{0.1, 0.3} {
		held := 1 + 12*(math.Exp(-at/0.2)-math.Exp(-at/0.05)/4)
		assert.InEpsilon(t, 1/held, level(2+at)/level(0.5), 0.03)
	}
}

// A generator off frequency shifts an SSB set's tone, up or down with the
// side band, and leaves an AM set's where it is.
func TestOffsetMovesTheSSBTone(t *testing.T) {
	top := func(set Set) int {
		best := 0
		p := lines(bare(set, Generator{ToneHz: 1000, Depth: 0.5, OffsetHz: 130}), Segment{Seconds: 1, LevelDBm: -47})
		for k := 100; k < len(p); k++ {
			if p[k] > p[best] || best == 0 {
				best = k
			}
		}
		return best
	}
	upper, lower := idealSSB(), idealSSB()
	lower.Lower = true
	assert.Equal(t, 1130, top(upper))
	assert.Equal(t, 870, top(lower))
	assert.Equal(t, 1000, top(idealAM()))
	assert.InDelta(t, 870, lower.ToneHz(Generator{OffsetHz: 130}), 1e-9)
	upper.TuningErrorHz = 130
	assert.Equal(t, 1000, top(upper))
}

// The known response against what comes out: IF filter, coupling, audio.
func TestDetectedResponse(t *testing.T) {
	am, ssb := idealAM(), idealSSB()
	am.IFBandwidthHz, am.IFPoles = 6000, 4
	ssb.IFPoles = 6
	stage := AudioStage{OutputVolts: 1, CouplingHz: 200, LowPassHz: 3000, LowPassPoles: 2}
	am.Audio, ssb.Audio = stage, stage
	for _, set := range []interface {
		Set
		ResponseDB(hz float64) float64
	}{am, ssb} {
		at := func(hz float64) float64 {
			return dB(lines(bare(set, Generator{ToneHz: hz, Depth: 0.3}), Segment{Seconds: 1, LevelDBm: -47})[int(hz)])
		}
		unit := at(1000)
		assert.InDelta(t, 0, unit, 0.03)
		for _, hz := range []float64{400, 2500} {
			assert.InDelta(t, set.ResponseDB(hz), at(hz)-unit, 0.05, "%s at %g Hz", set.Describe(), hz)
		}
	}
}
