package simulate

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// Healthy27MHzAM is an invented set in working order: a 27 MHz AM receiver,
// 10 dB (S+N)/N at 30 % near 0.6 uV PD.
func Healthy27MHzAM() AM {
	return AM{
		Name: "27 MHz AM set", NoiseFigureDB: 6, IFBandwidthHz: 6000, IFPoles: 4, StandardDepth: 0.3,
		AGC: AGC{ThresholdDBm: -110, RatioDB: 15, AttackS: 0.03, DecayS: 0.2},
		Audio: AudioStage{
			OutputVolts: 1, CouplingHz: 120, LowPassHz: 3200, LowPassPoles: 3, SecondPercent: 2, ThirdPercent: 1, ClipVolts: 6,
			Hum: Hum{MainsHz: 50, LinesDB: []float64{-62, -52, -70, -60}},
		},
		Immunity: Immunity{RejectionDB: 60, BlockingDBm: -25, InterceptDBm: -15},
	}
}

// Healthy27MHzSSB is an invented set in working order: a 27 MHz SSB
// receiver, 10 dB (S+N)/N near 0.13 uV PD.
func Healthy27MHzSSB() SSB {
	return SSB{
		Name: "27 MHz SSB set", NoiseFigureDB: 6, IFBandwidthHz: 2400, IFPoles: 8,
		AGC: AGC{ThresholdDBm: -108, RatioDB: 20, AttackS: 0.005, DecayS: 0.6},
		Audio: AudioStage{
			OutputVolts: 1, CouplingHz: 120, LowPassHz: 3400, LowPassPoles: 2, SecondPercent: 1.5, ThirdPercent: 0.8, ClipVolts: 6,
			Hum: Hum{MainsHz: 50, LinesDB: []float64{-62, -52, -70, -60}},
		},
		Immunity: Immunity{RejectionDB: 65, BlockingDBm: -25, InterceptDBm: -15},
	}
}

// StandardAMGenerator modulates 30 % with 1 kHz.
func StandardAMGenerator() Generator { return Generator{ToneHz: 1000, Depth: 0.3} }

// healthyDraw draws an invented receiver in working order and its bench, at
// random around what the trade takes for good (common practice, no source).
// The same seed draws the same bench; its noise is that of the seed, too.
//
//	sensitivity, FM          0.2 to 0.4 uV PD for 12 dB SINAD at 60 % of 2.5 kHz rated deviation
//	distortion               0.3 to 2 % second, 0.05 to 0.3 % third harmonic of the amplifier; clips 9 to 12 dB up
//	hum                      each line -75 to -50 dB of the output
//	detector off tune        at most 120 Hz of a curve with peaks at +-10 to 16 kHz
//	audio response           coupling corner 90 to 220 Hz, upper corner 3.2 to 3.8 kHz
//	amplifier's noise        1 to 3 mV beside 0.5 to 2 V of output
//	sensitivity, AM and SSB  0.4 to 1 uV and 0.1 to 0.2 uV PD for 10 dB (S+N)/N
//	generator                at most 30 Hz off, 1 to 4 Hz of residual FM
type healthyDraw struct{ r *rand.Rand }

// between is evenly spread from low to high.
func (h healthyDraw) between(low, high float64) float64 { return low + (high-low)*h.r.Float64() }

func (h healthyDraw) audio() AudioStage {
	volts := h.between(0.5, 2)
	mains := 50.0
	if h.r.Float64() < 0.5 {
		mains = 60
	}
	hum := make([]float64, 4)
	for i := range hum {
		hum[i] = h.between(-75, -50)
	}
	return AudioStage{
		OutputVolts: volts, CouplingHz: h.between(90, 220), LowPassHz: h.between(3200, 3800), LowPassPoles: 3,
		SecondPercent: h.between(0.3, 2), ThirdPercent: -h.between(0.05, 0.3), ClipVolts: volts * h.between(4, 5.5),
		NoiseVolts: h.between(0.001, 0.003), Hum: Hum{mains, hum},
	}
}

func (h healthyDraw) bench(set Set, g Generator, volts float64, seed uint64) Bench {
	g.OffsetHz = math.Round(h.between(-300, 300)) / 10 // an SSB set's tone stays on a bin of 0.1 Hz
	g.ResidualFMHz = h.between(1, 4)
	card := PlainCard()
	card.FullScaleVolts *= volts
	card.NoiseDBFS = h.between(-90, -80)
	card.RateErrorPPM = h.between(-60, 60)
	return Bench{Generator: g, Set: set, Card: card, Seed: seed}
}

func drawHealthy(seed uint64) healthyDraw { return healthyDraw{random(seed, streamHealthy)} }

// HealthyFM draws a healthy FM set on its bench: 2.5 kHz rated deviation,
// generator at 1.5 kHz.
func HealthyFM(seed uint64) Bench {
	h := drawHealthy(seed)
	set := FM{
		Name: fmt.Sprintf("healthy FM set %d", seed), NoiseFigureDB: h.between(5, 10), IFBandwidthHz: 7500 + 500*math.Floor(h.between(0, 4)), IFPoles: 5,
		Discriminator: Discriminator{PeakHz: h.between(10000, 16000), ErrorHz: h.between(-120, 120)},
		LimiterDBm:    h.between(-145, -137), OscillatorFMHz: h.between(1, 4),
		StandardDeviationHz: 1500, Audio: h.audio(),
		Immunity: Immunity{RejectionDB: h.between(60, 75), BlockingDBm: h.between(-30, -20), InterceptDBm: h.between(-20, -10)},
	}
	if h.r.Float64() < 0.3 {
		set.Deemphasis = Deemphasis750us
	}
	set.Squelch = h.squelch(set.NoiseFloorDBm() + 5)
	return h.bench(set, Generator{ToneHz: 1000, DeviationHz: 1500}, set.Audio.OutputVolts, seed)
}

// squelch draws a gate, switched off, that opens around a level.
func (h healthyDraw) squelch(dBm float64) Squelch {
	open := dBm + h.between(-1, 2)
	return Squelch{OpenDBm: open, CloseDBm: open - h.between(1.5, 4), AttackS: h.between(0.02, 0.12), TailS: h.between(0.05, 0.2)}
}

// HealthyAM draws a healthy AM set on its bench: 30 % at 1 kHz.
func HealthyAM(seed uint64) Bench {
	h := drawHealthy(seed)
	set := AM{
		Name: fmt.Sprintf("healthy AM set %d", seed), NoiseFigureDB: h.between(4, 9), IFBandwidthHz: h.between(5500, 7000), IFPoles: 4,
		StandardDepth: 0.3, Audio: h.audio(),
		AGC:      AGC{RatioDB: h.between(10, 25), AttackS: h.between(0.02, 0.05), DecayS: h.between(0.1, 0.4)},
		Immunity: Immunity{RejectionDB: h.between(50, 65), BlockingDBm: h.between(-30, -20), InterceptDBm: h.between(-20, -10)},
	}
	set.AGC.ThresholdDBm = set.NoiseFloorDBm() + h.between(15, 25)
	set.Squelch = h.squelch(set.NoiseFloorDBm() + 12)
	return h.bench(set, StandardAMGenerator(), set.Audio.OutputVolts, seed)
}

// HealthySSB draws a healthy SSB set on its bench: the carrier 1 kHz into
// the passband.
func HealthySSB(seed uint64) Bench {
	h := drawHealthy(seed)
	set := SSB{
		Name: fmt.Sprintf("healthy SSB set %d", seed), NoiseFigureDB: h.between(4, 9), IFBandwidthHz: h.between(2200, 2700), IFPoles: 8,
		Lower: h.r.Float64() < 0.5, Audio: h.audio(),
		AGC:      AGC{RatioDB: h.between(12, 30), AttackS: h.between(0.002, 0.01), DecayS: h.between(0.3, 1)},
		Immunity: Immunity{RejectionDB: h.between(55, 70), BlockingDBm: h.between(-30, -20), InterceptDBm: h.between(-20, -10)},
	}
	set.AGC.ThresholdDBm = set.NoiseFloorDBm() + h.between(10, 25)
	return h.bench(set, Generator{ToneHz: 1000}, set.Audio.OutputVolts, seed)
}
