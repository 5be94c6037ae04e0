package simulate

import "fmt"

// Healthy27MHzTransmitter is an invented FM transmitter in working order:
// 2 kHz rated deviation, 60 % for 5 mV at 1 kHz.
func Healthy27MHzTransmitter() Transmitter {
	return Transmitter{
		Name: "27 MHz FM transmitter", InsertLowHz: 80, CouplingHz: 100, Preemphasis: PreemphasisSlope,
		StandardVolts: 0.005, Standard: 1200, Limit: 1550, LowPassHz: 3200, LowPassPoles: 4,
		SecondPercent: 0.8, ThirdPercent: 0.8, Noise: 5, MainsHz: 50, Hum: []float64{1, 3},
	}
}

// Healthy27MHzAMTransmitter is an invented AM transmitter in working order:
// 60 % for 5 mV at 1 kHz, 90 % at most below, where the limiter holds it.
func Healthy27MHzAMTransmitter() Transmitter {
	return Transmitter{
		Name: "27 MHz AM transmitter", AM: true, InsertLowHz: 80, CouplingHz: 150, Preemphasis: PreemphasisNone,
		StandardVolts: 0.005, Standard: 0.6, Limit: 0.75, LowPassHz: 3200, LowPassPoles: 3,
		SecondPercent: 2, ThirdPercent: 1.5, Noise: 0.002, MainsHz: 50, Hum: []float64{0.0005, 0.0015},
	}
}

// HealthyTransmitter draws a healthy FM transmitter and its monitor at
// random, as HealthyFM draws a receiver: 2.5 kHz rated deviation.
//
//	standard modulation      1.5 kHz for 2 to 15 mV
//	limiter                  clips at 1.85 to 1.95 kHz; a square's fundamental is 4/pi of that
//	response                 within +1/-3 dB of 6 dB/octave from 300 to 3000 Hz
//	distortion               0.2 to 1.5 %
//	residual FM, hum         4 to 10 Hz RMS; lines of 0.5 to 4 Hz
//	monitor                  750 us, 6 dB/octave or flat, with little noise
func HealthyTransmitter(seed uint64) TransmitBench {
	h := drawHealthy(seed)
	mains := 50.0
	if h.r.Float64() < 0.5 {
		mains = 60
	}
	t := Transmitter{
		Name: fmt.Sprintf("healthy FM transmitter %d", seed), InsertTiltDB: h.between(-0.4, 0.4), InsertLowHz: h.between(40, 90),
		CouplingHz: h.between(60, 130), Preemphasis: PreemphasisSlope, StandardVolts: h.between(0.002, 0.015), Standard: 1500,
		Limit: h.between(1850, 1950), LowPassHz: h.between(3500, 4200), LowPassPoles: 4,
		SecondPercent: h.between(0.2, 1.5), ThirdPercent: h.between(0.2, 1.5), Noise: h.between(4, 10),
		MainsHz: mains, Hum: []float64{h.between(0.5, 4), h.between(0.5, 4)}, OffsetHz: h.between(-100, 100),
	}
	curves := []Deemphasis{DeemphasisSlope, Deemphasis750us, DeemphasisNone}
	b := TransmitBench{Transmitter: t, Monitor: Monitor(curves[h.r.IntN(3)]), SourceVolts: 20 * t.StandardVolts, Card: PlainCard(), Seed: seed}
	b.Card.RateErrorPPM = h.between(-60, 60)
	return b
}

// TransmitFault is a fault of a transmitter or of the monitor that hears it.
type TransmitFault struct {
	Name  string
	Shows string // common practice, no source
	apply func(b *TransmitBench)
}

// On is the bench with the fault.
func (f TransmitFault) On(b TransmitBench) TransmitBench {
	b.Transmitter.Name += ", " + f.Name
	f.apply(&b)
	return b
}

// TransmitFaultNamed is a fault of TransmitFaults.
func TransmitFaultNamed(name string) (TransmitFault, bool) {
	for _, f := range TransmitFaults() {
		if f.Name == name {
			return f, true
		}
	}
	return TransmitFault{}, false
}

func inTransmitter(change func(*Transmitter)) func(*TransmitBench) {
	return func(b *TransmitBench) { change(&b.Transmitter) }
}

// inMonitor changes an FM monitor; any other stays as it was.
func inMonitor(change func(*FM)) func(*TransmitBench) {
	return func(b *TransmitBench) {
		if set, ok := b.Monitor.(FM); ok {
			change(&set)
			b.Monitor = set
		}
	}
}

// TransmitFaults lists the faults.
func TransmitFaults() []TransmitFault {
	return []TransmitFault{
		{"no pre-emphasis", "falls 6 dB/octave below its due: bassy", inTransmitter(func(t *Transmitter) { t.Preemphasis = PreemphasisNone })},
		{"dried coupling capacitor", "loss below a corner far above 300 Hz: thin", inTransmitter(func(t *Transmitter) { t.CouplingHz = 1200 })},
		{"oversized bypass", "falls above a corner in the speech band: bassy", inTransmitter(func(t *Transmitter) { t.BypassHz = 700 })},
		{"double de-emphasis", "the monitor's audio falls twice: bassy, whatever transmits", inMonitor(func(r *FM) {
			if r.Deemphasis == Deemphasis750us {
				r.Deemphasis = Deemphasis750usTwice
			} else {
				r.Deemphasis = DeemphasisSlopeTwice
			}
		})},
		{"wrong insert", "tilt of -3 dB/octave: bassy", inTransmitter(func(t *Transmitter) { t.InsertTiltDB -= 3 })},
		{"thin insert", "tilt of +3 dB/octave: thin", inTransmitter(func(t *Transmitter) { t.InsertTiltDB += 3 })},
		{"weak microphone", "needs 14 dB more for its deviation, clean", inTransmitter(func(t *Transmitter) { t.StandardVolts *= 5 })},
		{"limiter set high", "deviates beyond the rated maximum", inTransmitter(func(t *Transmitter) { t.Limit *= 1.6 })},
		{"no limiter", "deviation follows the input without end", inTransmitter(func(t *Transmitter) { t.Limit = 0 })},
		{"limiter set low", "clips at standard modulation", inTransmitter(func(t *Transmitter) { t.Limit = 0.6 * t.Standard })},
		{"transmit hum", "100 or 120 Hz with the microphone shorted", inTransmitter(func(t *Transmitter) { t.Hum = []float64{0.002 * t.Standard, 0.1 * t.Standard} })},
		{"noisy microphone amplifier", "hiss with the microphone shorted", inTransmitter(func(t *Transmitter) { t.Noise = 0.06 * t.Standard })},
		{"distorting modulator", "second harmonic", inTransmitter(func(t *Transmitter) { t.SecondPercent = 12 })},
		{"monitor off tune", "even harmonics that are not the transmitter's", inMonitor(func(r *FM) {
			r.Depth = DepthCarrier
			r.Discriminator = Discriminator{PeakHz: 6000}
			r.TuningErrorHz = 2500
		})},
		{"monitor clips", "odd harmonics that are not the transmitter's", inMonitor(func(r *FM) { r.Audio.ClipVolts = 0.3 * r.Audio.OutputVolts })},
	}
}
