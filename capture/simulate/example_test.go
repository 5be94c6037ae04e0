package simulate_test

import (
	"fmt"
	"math"

	"hisspoint/capture/simulate"
)

// An AM set: one level with the modulation on and off, the carrier left on.
func ExampleAM() {
	b := simulate.Bench{Generator: simulate.StandardAMGenerator(), Set: simulate.Healthy27MHzAM(), Card: simulate.PlainCard(), Seed: 1}
	on := b.Record(simulate.Segment{Seconds: 0.5, LevelDBm: simulate.DBmFromMicrovoltPD(1)})
	off := b.WithSeed(2).Record(simulate.Segment{Seconds: 0.5, LevelDBm: simulate.DBmFromMicrovoltPD(1), Unmodulated: true})
	fmt.Println(len(on), len(off))
	// b.TrueOnOff(level, simulate.Band(300, 3400), 100) is the known answer.

	// Output: 24000 24000
}

// An SSB set: the carrier stands 1 kHz into the passband; a generator 50 Hz
// off moves the tone.
func ExampleSSB() {
	set := simulate.Healthy27MHzSSB()
	g := simulate.Generator{ToneHz: 1000, OffsetHz: 50}
	fmt.Printf("tone %g Hz, %.2f dB above the same at 600 Hz\n", set.ToneHz(g), -set.ResponseDB(600))
	set.AGC.HeldDBm = -100 // gain held: modulation on and off makes sense, with Segment.Off for off
	fmt.Printf("held, 10 dB of carrier are %.0f dB of audio\n", set.AGC.OutputDB(-90)-set.AGC.OutputDB(-100))

	// Output:
	// tone 1050 Hz, 0.13 dB above the same at 600 Hz
	// held, 10 dB of carrier are 10 dB of audio
}

// Gain control: recovered audio against RF level, and the figure of merit
// between two levels.
func ExampleAGC() {
	agc := simulate.Healthy27MHzAM().AGC
	fmt.Printf("%.2f dB\n", agc.OutputDB(-47)-agc.OutputDB(-107))

	// Output: 4.00 dB
}

// A keyed recording with a squelch: the known edges, and a second channel
// that tells when the carrier was on.
func ExampleBench_SquelchEvents() {
	b := simulate.HealthyFM(1)
	set := b.Set.(simulate.FM)
	set.Squelch = simulate.Squelch{On: true, OpenDBm: -118, CloseDBm: -121, AttackS: 0.06, TailS: 0.18, Chatter: 1, ChatterS: 0.05}
	b.Set = set
	keyed := simulate.Keyed(-100, 1, 0.5, 1) // off 0.5 s, on 1 s, off 0.5 s
	for _, e := range b.SquelchEvents(keyed...) {
		fmt.Printf("%.2f s open %v\n", e.AtS, e.Open)
	}
	// audio, key := b.Record(keyed...), b.KeyTrack(keyed...)
	// A stepped recording: b.Record(simulate.LevelSteps(1, -124, -121, -118, -121, -124)...)

	// Output:
	// 0.56 s open true
	// 0.61 s open false
	// 0.66 s open true
	// 1.68 s open false
}

// Volume steps up to clipping, and the bench floor with the volume down.
func ExampleSegment_volume() {
	b := simulate.HealthyFM(1)
	var steps []simulate.Segment
	for dB := -20.0; dB <= 12; dB += 4 {
		steps = append(steps, simulate.Segment{Seconds: 0.2, LevelDBm: -47, VolumeDB: dB})
	}
	floor := simulate.Segment{Seconds: 0.2, LevelDBm: -47, VolumeDB: simulate.VolumeZero}
	fmt.Println(len(b.Record(append(steps, floor)...)))

	// Output: 96000
}

// Centring: offsets of the generator against a detector that is off tune.
func ExampleDiscriminator() {
	fault, _ := simulate.FaultNamed("detuned discriminator")
	b := fault.On(simulate.HealthyFM(1))
	for _, hz := range []float64{-1000, 0, 1000} {
		b.Record(simulate.Segment{Seconds: 0.1, LevelDBm: -60, OffsetHz: hz})
	}
	fmt.Printf("the detector's middle is at %+.0f Hz\n", b.Set.(simulate.FM).Discriminator.ErrorHz)

	// Output: the detector's middle is at +1600 Hz
}

// A second generator: the wanted 3 dB over its 12 dB point, the interferer
// 12.5 kHz away stepped up.
func ExampleInterferer() {
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: simulate.PlainCard()}
	b.Interferer = simulate.Interferer{Kind: simulate.AdjacentChannel, OffsetHz: 12500}
	for _, dBm := range []float64{-90, -80, -70, -60} {
		b.Record(simulate.Segment{Seconds: 0.1, LevelDBm: -115, InterfererDBm: dBm})
	}
	fmt.Println(b.Interferer.Kind)

	// Output: adjacent channel
}

// Any fault on any healthy bench.
func ExampleFault() {
	fault, _ := simulate.FaultNamed("tired reservoir")
	b := fault.On(simulate.HealthyAM(7))
	b.Record(simulate.Segment{Seconds: 0.1, LevelDBm: -47})
	fmt.Printf("%s: %s\n", fault.Name, fault.Shows)

	// Output: tired reservoir: 100 or 120 Hz and multiples, not following the volume
}

// A transmitter with a fault, heard by a monitor with 6 dB/octave de-emphasis.
func ExampleTransmitBench() {
	b := simulate.HealthyTransmitter(3)
	b.Monitor = simulate.Monitor(simulate.DeemphasisSlope)
	fault, _ := simulate.TransmitFaultNamed("no pre-emphasis")
	b = fault.On(b)
	mic := make([]float64, 48000) // 1 s of samples at 48 kHz, +-1 being SourceVolts RMS of a sine
	for i := range mic {
		mic[i] = 0.05 * math.Sin(2*math.Pi*1000*float64(i)/48000) // standard modulation: 1.5 kHz
	}
	recorded := b.Record(mic, 48000)
	up, down := b.Peaks(mic, 48000, 0.5, 0.9)
	known := b.Substitute(1000, 1500, 0.5) // the monitor fed by a generator of 1.5 kHz deviation
	fmt.Printf("%d and %d samples\n", len(recorded), len(known))
	fmt.Printf("standard deviation reached: %v\n", up > 1400 && down < -1400)
	fmt.Printf("transmitter at 3 kHz %.1f dB, monitor %.1f dB re 1 kHz\n", b.Transmitter.ResponseDB(3000), b.MonitorDB(3000))

	// Output:
	// 48000 and 24000 samples
	// standard deviation reached: true
	// transmitter at 3 kHz -0.1 dB, monitor -9.5 dB re 1 kHz
}

// A sub-audible tone under the modulation, residual FM, and a carrier that
// leaks past the cable.
func ExampleGenerator() {
	b := simulate.HealthyFM(1)
	b.Generator.SubToneHz, b.Generator.SubDeviationHz = 88.5, 250
	b.Generator.ResidualFMHz = 3
	b.Generator.LeakDBm = -120 // still heard with Segment.Down, not with Segment.Off
	fmt.Println(len(b.Record(simulate.Segment{Seconds: 0.1, Down: true})))

	// Output: 4800
}
