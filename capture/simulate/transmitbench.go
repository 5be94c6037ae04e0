package simulate

import (
	"fmt"
	"math"

	"hisspoint/capture"
)

// ModulationRate is the rate in Hz of TransmitBench.Modulation.
const ModulationRate = workRate

// TransmitBench is a transmitter on a dummy load, its microphone socket fed
// from a sound card or a talker, and a monitor receiver that is recorded.
//
// The monitor is any receiver of this package. An FM monitor at DepthAudio
// passes the deviation on as it is, bent by its detector's curve, with the
// noise of a strong carrier; one at DepthCarrier has the IF filter's distortion
// too, off tune or at too much deviation.
type TransmitBench struct {
	Transmitter Transmitter
	Monitor     Set
	LevelDBm    float64 // carrier at the monitor; 0 stands for -47
	VolumeDB    float64 // the monitor's volume against its own setting
	SourceVolts float64 // RMS volts at the microphone socket of a sine that just reaches +-1; 0 stands for 0.1
	Card        SoundCard
	Seed        uint64
}

// Modulation is what the transmitter makes of samples played into its
// microphone socket: deviation in Hz, or depth, at ModulationRate from the
// first sample on. It is the known answer of deviation.
func (b TransmitBench) Modulation(mic []float64, rate int) []float64 {
	n := int(math.Ceil(float64(len(mic)) * workRate / float64(rate)))
	return b.modulation(mic, rate, 0, n)
}

// modulation gives n samples, the first lead samples before the microphone's.
func (b TransmitBench) modulation(mic []float64, rate, lead, n int) []float64 {
	volts := toWorkRate(mic, rate, lead+audioAfter+audioAfter, n+2*tapSpan)
	gain := first(b.SourceVolts, 0.1) * math.Sqrt2
	for i := range volts {
		volts[i] *= gain
	}
	return b.Transmitter.modulate(volts, n, b.Seed)
}

// Peaks is the highest and lowest modulation between two times, as the wave
// runs between its samples: peak deviation up and down in Hz, down negative.
func (b TransmitBench) Peaks(mic []float64, rate int, fromS, toS float64) (up, down float64) {
	return peaks(b.Modulation(mic, rate), fromS, toS)
}

func peaks(wave []float64, fromS, toS float64) (up, down float64) {
	rows := kernel(bendHalf, 1)
	up, down = math.Inf(-1), math.Inf(1)
	span := make([]float64, 2*bendHalf)
	for i := max(0, int(fromS*workRate)); i < min(len(wave), int(toS*workRate)); i++ {
		for j := range span {
			span[j] = 0
			if k := i - bendHalf + 1 + j; k >= 0 && k < len(wave) {
				span[j] = wave[k]
			}
		}
		for p := range bendSteps {
			v := dot(span, rows[p*kernelPhases/bendSteps])
			up, down = max(up, v), min(down, v)
		}
	}
	return up, down
}

// Record is the monitor's recording of samples played into the microphone
// socket: as long as they, at Card.Rate.
func (b TransmitBench) Record(mic []float64, rate int) []float64 {
	seconds := float64(len(mic)) / float64(rate)
	slow := math.Abs(b.Card.RateErrorPPM) * 1e-6 * seconds
	// The monitor's filters and gain control begin before the recording.
	const lead, tail = settle + 2*tapSpan, 2 * tapSpan
	n := lead + int(math.Ceil((seconds+slow)*workRate)) + tail
	s := stretch{dBm: first(b.LevelDBm, referenceDBm), toneHz: 1000, offsetHz: b.Transmitter.OffsetHz, volume: math.Pow(10, b.VolumeDB/20),
		wave: b.modulation(mic, rate, lead, n), waveFrom: -lead, end: int64(math.Round(seconds * workRate))}
	line := timeline{s}.padded(cardMargin, cardMargin+slow)
	return b.Card.capture(b.Monitor.play(line, b.Seed), seconds, b.Seed)
}

// Recording is Record as a recording under a name.
func (b TransmitBench) Recording(name string, mic []float64, rate int) capture.Recording {
	return capture.FromSamples(name, b.Card.Rate, b.Record(mic, rate))
}

// Generator is the same monitor fed by a generator of known deviation (or
// depth) instead of the transmitter, for deviation by substitution.
func (b TransmitBench) Generator(g Generator) Bench {
	return Bench{Generator: g, Set: b.Monitor, Card: b.Card, Seed: b.Seed}
}

// Substitute is one recording of it: a tone of known deviation or depth.
func (b TransmitBench) Substitute(toneHz, modulation, seconds float64) []float64 {
	g := Generator{ToneHz: toneHz, DeviationHz: modulation}
	if b.Transmitter.AM {
		g = Generator{ToneHz: toneHz, Depth: modulation}
	}
	return b.Generator(g).Record(Segment{Seconds: seconds, LevelDBm: first(b.LevelDBm, referenceDBm), VolumeDB: b.VolumeDB})
}

// ResponseDB is the known response of transmitter and monitor together
// against 1 kHz, below limiting; MonitorDB is the monitor's share.
func (b TransmitBench) ResponseDB(hz float64) float64 {
	return b.Transmitter.ResponseDB(hz) + b.MonitorDB(hz)
}

// MonitorDB is the monitor's own response at hz against 1 kHz.
func (b TransmitBench) MonitorDB(hz float64) float64 {
	if r, ok := b.Monitor.(interface{ ResponseDB(hz float64) float64 }); ok {
		return r.ResponseDB(hz)
	}
	return 0
}

// WithSeed is the same bench with other noise.
func (b TransmitBench) WithSeed(seed uint64) TransmitBench {
	b.Seed = seed
	return b
}

// Describe says what was simulated, for reports.
func (b TransmitBench) Describe() string {
	return fmt.Sprintf("simulated, not recorded: %s; heard by %s; %s; seed %d", b.Transmitter.Describe(), b.Monitor.Describe(), b.Card.Describe(), b.Seed)
}

// toWorkRate resamples n samples to workRate, the first lead before the
// input's; what lies beside the input is silent.
func toWorkRate(in []float64, rate, lead, n int) []float64 {
	out := make([]float64, n)
	if rate == workRate {
		copy(out[min(lead, n):], in)
		return out
	}
	cut := min(1, workRate/float64(rate))
	half := int(math.Ceil(kernelSteep / cut))
	rows := kernel(half, cut)
	padded := make([]float64, len(in)+2*half)
	copy(padded[half:], in)
	step := float64(rate) / workRate
	for i := range out {
		x := step*float64(i-lead) + float64(half)
		whole := int(math.Floor(x))
		at := whole - half + 1
		if at < 0 || at+2*half > len(padded) {
			continue
		}
		part := (x - float64(whole)) * kernelPhases
		row := int(part)
		out[i] = dotBetween(padded[at:at+2*half], rows[row], rows[min(row+1, kernelPhases)], part-float64(row))
	}
	return out
}
