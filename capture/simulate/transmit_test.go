package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// plainTransmitter has nothing but its pre-emphasis: 60 % of 5 kHz for 10 mV.
func plainTransmitter(p Preemphasis) Transmitter {
	return Transmitter{Name: "plain transmitter", Preemphasis: p, StandardVolts: 0.01, Standard: 3000}
}

// micTone is samples of a tone of RMS volts at the microphone, with
// SourceVolts of 0.1.
func micTone(hz, volts, seconds float64, rate int) []float64 {
	x := make([]float64, int(math.Round(seconds*float64(rate))))
	addTone(x, volts/0.1, hz/float64(rate), -math.Pi/2)
	return x
}

func transmitBench(t Transmitter, curve Deemphasis, depth Depth) TransmitBench {
	monitor := ideal(16000, 0, 3000, depth)
	monitor.Deemphasis = curve
	return TransmitBench{Transmitter: t, Monitor: monitor, Card: SoundCard{Rate: workRate, FullScaleVolts: 20}}
}

// Pre-emphasis is the de-emphasis of the table turned round.
func TestPreemphasisAgainstTable(t *testing.T) {
	for _, row := range table(t, "deemphasis.csv")[1:] {
		hz := number(t, row[0])
		assert.InDelta(t, -number(t, row[1]), plainTransmitter(PreemphasisSlope).ResponseDB(hz), 0.001, "6 dB/octave at %g Hz", hz)
		assert.InDelta(t, -number(t, row[2]), plainTransmitter(Preemphasis750us).ResponseDB(hz), 0.001, "750 us at %g Hz", hz)
	}
}

// What is said of response and deviation is what comes out of the model and
// of the monitor, at every rate of the source and both depths.
func TestDeviationAndResponse(t *testing.T) {
	for _, p := range []Preemphasis{PreemphasisSlope, Preemphasis750us} {
		tx := plainTransmitter(p)
		tx.CouplingHz, tx.LowPassHz, tx.LowPassPoles, tx.InsertTiltDB = 200, 3500, 3, -1.5
		for _, depth := range []Depth{DepthAudio, DepthCarrier} {
			b := transmitBench(tx, Deemphasis750us, depth)
			unit := 0.0
			for _, hz := range []float64{1000, 300, 2500} {
				rate := map[float64]int{1000: 24000, 300: 48000, 2500: 44100}[hz]
				mic := micTone(hz, 0.004, 0.7, rate)
				up, down := b.Peaks(mic, rate, 0.2, 0.5)
				want := 1200 * math.Pow(10, tx.ResponseDB(hz)/20)
				assert.InEpsilon(t, want, up, 5e-4, "%g Hz up", hz)
				assert.InEpsilon(t, want, -down, 5e-4, "%g Hz down", hz)
				x := b.Record(mic, rate)
				assert.Equal(t, 16800, len(x))
				got := dB(powers(x[2400 : 2400+workRate/2])[int(hz/2)])
				if hz == 1000 {
					unit = got
					p := powers(b.Substitute(1000, 1200, 0.5))
					assert.InDelta(t, dB(p[500]), got, 0.01, "deviation by substitution")
				}
				assert.InDelta(t, b.ResponseDB(hz), got-unit, 0.02, "%v %g Hz depth %d", p, hz, depth)
			}
		}
	}
}

// The limiter clips at its level, and a tone clipped hard and low-passed is
// 4/pi of that (the square's fundamental).
func TestLimiter(t *testing.T) {
	tx := plainTransmitter(PreemphasisNone)
	tx.Limit = 4000
	b := transmitBench(tx, DeemphasisNone, DepthAudio)
	peak := func(hz, volts float64) float64 {
		up, _ := b.Peaks(micTone(hz, volts, 0.5, workRate), workRate, 0.2, 0.4)
		return up
	}
	assert.InEpsilon(t, 3000, peak(1000, 0.01), 1e-3)
	assert.InEpsilon(t, 4000, peak(200, 0.02), 0.05, "clipped, with the ripple of the band's end")
	tx.LimitDown = 3000
	b.Transmitter = tx
	up, down := b.Peaks(micTone(200, 0.1, 0.5, workRate), workRate, 0.2, 0.4)
	assert.InEpsilon(t, 4.0/3, -up/down, 0.03, "unequal halves")
	tx.LimitDown = 0
	tx.LowPassHz, tx.LowPassPoles = 3000, 12
	b.Transmitter = tx
	gain := magnitude(tx.after(2000)) / magnitude(tx.after(1000))
	assert.InEpsilon(t, 4000*4/math.Pi*gain, peak(2000, 1), 0.005, "20 dB and more over the limit")
}

// A gain control holds a tone to its ratio; until it acts, the limiter does.
func TestMicrophoneGainControl(t *testing.T) {
	tx := plainTransmitter(PreemphasisNone)
	tx.Compressor = Compressor{Threshold: 3000, RatioDB: 10, AttackS: 0.03, DecayS: 0.3}
	tx.Limit = 4800
	b := transmitBench(tx, DeemphasisNone, DepthAudio)
	mic := append(micTone(1000, 0.001, 0.5, workRate), micTone(1000, 0.1, 0.5, workRate)...)
	up, _ := b.Peaks(mic, workRate, 0.2, 0.45)
	assert.InEpsilon(t, 300, up, 1e-3)
	up, _ = b.Peaks(mic, workRate, 0.9, 0.98)
	assert.InEpsilon(t, 3000*math.Pow(10, 20*(0.1)/20), up, 0.01, "20 dB over gives 2 dB")
	up, _ = b.Peaks(mic, workRate, 0.5, 0.52)
	assert.InEpsilon(t, 4800, up, 0.15, "overshoot, held by the limiter")
}

// Microphone shorted: hum lines and noise as stated, against the standard tone.
func TestTransmitHumAndNoise(t *testing.T) {
	tx := plainTransmitter(PreemphasisSlope)
	tx.MainsHz, tx.Hum, tx.Noise = 50, []float64{0, 30}, 9
	b := transmitBench(tx, DeemphasisNone, DepthAudio)
	p := powers(b.Record(make([]float64, workRate), workRate))
	tone := powers(b.Substitute(1000, 3000, 1))[1000]
	assert.InDelta(t, -40, dB(p[100]/tone), 0.15)
	sum := 0.0
	for k := 300; k <= 3000; k++ {
		sum += p[k]
	}
	assert.InDelta(t, 20*math.Log10(9*math.Sqrt2/3000), dB(sum/tone), 0.25)
}

// AM depth of a tone, clipped at 100 % below and not above.
func TestAMTransmitter(t *testing.T) {
	tx := Transmitter{Name: "AM", AM: true, Preemphasis: PreemphasisNone, StandardVolts: 0.01, Standard: 0.6}
	monitor := idealAM()
	b := TransmitBench{Transmitter: tx, Monitor: monitor, Card: SoundCard{Rate: workRate, FullScaleVolts: 20}}
	mic := micTone(1000, 0.01, 1.2, workRate)
	up, down := b.Peaks(mic, workRate, 0.3, 0.9)
	assert.InDelta(t, 0.6, up, 1e-3)
	assert.InDelta(t, -0.6, down, 1e-3)
	p := powers(b.Record(mic, workRate)[2400 : 2400+workRate])
	assert.InDelta(t, dB(powers(b.Substitute(1000, 0.6, 1))[1000]), dB(p[1000]), 0.01)
	up, down = b.Peaks(micTone(200, 0.02, 0.6, workRate), workRate, 0.2, 0.5)
	assert.InDelta(t, 1.2, up, 0.02)
	assert.InDelta(t, -1, down, 0.05, "the carrier is gone")
}

// A monitor off tune, or with too narrow an IF, makes harmonics; one that
// clips, too. The tap at its detector shows unequal halves.
func TestMonitorFaults(t *testing.T) {
	b := transmitBench(plainTransmitter(PreemphasisSlope), DeemphasisSlope, DepthCarrier)
	mic := micTone(1000, 0.01, 1, workRate)
	harmonic := func(n int) float64 {
		p := powers(b.Record(mic, workRate))
		return dB(p[n*1000] / p[1000])
	}
	assert.Less(t, harmonic(2), -60.0)
	b.Transmitter.OffsetHz = 4000
	assert.Greater(t, harmonic(2), -40.0, "off tune")
	b.Transmitter.OffsetHz = 0
	set := b.Monitor.(FM)
	set.Audio.ClipVolts = 1
	b.Monitor = set
	assert.Greater(t, harmonic(3), -25.0, "clipping")
	set.Audio.ClipVolts, set.Discriminator = 0, Discriminator{PeakHz: 6000, ErrorHz: 2000}
	b.Monitor = DetectorTap(set)
	assert.Greater(t, harmonic(2), -25.0, "detector off tune")
}

// Response within the mask, deviation at 60 % and 20 dB above it within the
// rated 2.5 kHz, over 100 seeds by formula and by a few waves.
func TestHealthyTransmitters(t *testing.T) {
	for seed := range uint64(500) {
		tx := HealthyTransmitter(seed).Transmitter
		for hz := 300.0; hz <= 3000; hz += 100 {
			off := tx.ResponseDB(hz) - 20*math.Log10(hz/1000)
			if off > 1 || off < -3 {
				t.Fatalf("seed %d: %.2f dB off the slope at %g Hz", seed, off, hz)
			}
		}
	}
	for seed := range uint64(6) {
		b := HealthyTransmitter(seed)
		b.Transmitter.Noise, b.Transmitter.Hum = 0, nil
		loud := func(over float64) float64 {
			mic := micTone(1000, 0.1/(20*math.Sqrt2)*over*math.Sqrt2, 0.4, workRate)
			up, down := b.Peaks(mic, workRate, 0.1, 0.3)
			return max(up, -down)
		}
		assert.InEpsilon(t, 1500, loud(1), 0.04, "seed %d", seed)
		assert.Less(t, loud(10), 2600.0, "seed %d", seed)
	}
}

// Every fault of the list does what it says, by known answers and one wave.
func TestTransmitFaults(t *testing.T) {
	b := HealthyTransmitter(5)
	b.Monitor = Monitor(DeemphasisSlope)
	b.Card = SoundCard{Rate: workRate, FullScaleVolts: 20}
	tone := func(b TransmitBench, over float64) []float64 { // bin k is 2k Hz
		return powers(b.Record(micTone(1000, 0.005*over, 0.5, workRate), workRate))
	}
	peak := func(b TransmitBench, over float64) float64 {
		up, down := b.Peaks(micTone(1000, 0.005*over, 0.3, workRate), workRate, 0.1, 0.2)
		return max(up, -down)
	}
	shorted := func(b TransmitBench) []float64 { return powers(b.Record(make([]float64, workRate/2), workRate)) }
	tilt := func(b TransmitBench) float64 { return b.ResponseDB(2400) - b.ResponseDB(600) }
	healthy := tone(b, 1)
	second := func(p []float64) float64 { return dB(p[1000] / p[500]) }
	third := func(p []float64) float64 { return dB(p[1500] / p[500]) }
	hum := int(b.Transmitter.MainsHz)
	for name, shows := range map[string]func(f TransmitBench) bool{
		"no pre-emphasis":            func(f TransmitBench) bool { return math.Abs(tilt(b)-tilt(f)-12.04) < 0.01 },
		"dried coupling capacitor":   func(f TransmitBench) bool { return f.ResponseDB(300) < b.ResponseDB(300)-5 },
		"oversized bypass":           func(f TransmitBench) bool { return f.ResponseDB(2400) < b.ResponseDB(2400)-4 },
		"double de-emphasis":         func(f TransmitBench) bool { return math.Abs(tilt(b)-tilt(f)-12.04) < 0.01 },
		"wrong insert":               func(f TransmitBench) bool { return math.Abs(tilt(b)-tilt(f)-6) < 0.01 },
		"thin insert":                func(f TransmitBench) bool { return math.Abs(tilt(f)-tilt(b)-6) < 0.01 },
		"weak microphone":            func(f TransmitBench) bool { return math.Abs(peak(f, 0.5)/peak(b, 0.1)-1) < 0.02 },
		"limiter set high":           func(f TransmitBench) bool { return peak(f, 10) > 3000 && peak(b, 10) < 2600 },
		"no limiter":                 func(f TransmitBench) bool { return peak(f, 10) > 14000 },
		"limiter set low":            func(f TransmitBench) bool { return third(tone(f, 1)) > third(healthy)+10 },
		"transmit hum":               func(f TransmitBench) bool { return dB(shorted(f)[hum]/shorted(b)[hum]) > 20 },
		"noisy microphone amplifier": func(f TransmitBench) bool { return noise(shorted(f)) > noise(shorted(b))+15 },
		"distorting modulator":       func(f TransmitBench) bool { return second(tone(f, 1)) > second(healthy)+10 },
		"monitor off tune":           func(f TransmitBench) bool { return second(tone(f, 1)) > second(healthy)+3 },
		"monitor clips":              func(f TransmitBench) bool { return third(tone(f, 1)) > third(healthy)+10 },
	} {
		f, ok := TransmitFaultNamed(name)
		assert.True(t, ok, name)
		assert.True(t, shows(f.On(b)), name)
		assert.False(t, shows(b), "%s shows on a healthy bench", name)
		assert.Contains(t, f.On(b).Describe(), name)
	}
	assert.Len(t, TransmitFaults(), 15)
}
