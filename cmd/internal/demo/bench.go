package demo

import (
	"hisspoint/capture/signal"
	"hisspoint/capture/simulate"
	"hisspoint/reports"
)

// round is what is simulated in one round: a receiver and a transmitter, and the
// seed of their noise.
type round struct {
	levels      []string // of the sensitivity, µV PD on the generator's dial: pad and set come behind it
	receiver    simulate.FM
	transmitter simulate.Transmitter
	seed        uint64
}

// rounds are the set as found, deaf by 10 dB, with hum of its supply and without
// pre-emphasis, and the same set in working order.
var rounds = map[string]round{
	reports.AsFound: {levels: []string{"1", "1.4", "2", "2.8", "4", "5.6", "8", "16", "100", "3000"}, receiver: found(), transmitter: dull(), seed: 1000},
	reports.AsLeft:  {levels: []string{"0.4", "0.56", "0.7", "0.8", "1", "1.4", "2", "4", "30", "3000"}, receiver: squelched(simulate.Healthy27MHzFM()), transmitter: right(), seed: 2000},
}

func found() simulate.FM {
	set := squelched(simulate.Deaf27MHzFM())
	set.Audio.Hum = simulate.ReservoirHum(50, -30)
	return set
}

// right holds its 2 kHz with room to spare.
func right() simulate.Transmitter {
	t := simulate.Healthy27MHzTransmitter()
	t.Limit = 1380
	return t
}

func dull() simulate.Transmitter {
	t := right()
	t.Preemphasis = simulate.PreemphasisNone
	return t
}

// squelched gives a set a squelch, switched off: it opens 3 dB above the level
// of its 12 dB SINAD, wherever that is. Its oscillator is as quiet as those of
// good sets.
func squelched(set simulate.FM) simulate.FM {
	set.OscillatorFMHz = 3
	open := -115 + set.FrontLossDB
	set.Squelch = simulate.Squelch{OpenDBm: open, CloseDBm: open - 3, AttackS: 0.06, TailS: 0.15, MuteDB: 70}
	return set
}

// bench is the simulated bench around the receiver.
func (r round) bench() simulate.Bench {
	g := simulate.StandardGenerator()
	g.PadDB = padDB
	return simulate.Bench{Generator: g, Set: r.receiver, Card: simulate.PlainCard()}
}

// muted is that bench with the squelch in use.
func (r round) muted() simulate.Bench {
	set := r.receiver
	set.Squelch.On = true
	r.receiver = set
	return r.bench()
}

// transmit is the bench of the transmitter: a monitor with 750 us de-emphasis.
func (r round) transmit() simulate.TransmitBench {
	return simulate.TransmitBench{Transmitter: r.transmitter, Monitor: simulate.Monitor(simulate.Deemphasis750us), Card: simulate.PlainCard()}
}

// received makes a recording of the receiver's audio.
func received(b simulate.Bench, segments ...simulate.Segment) func(seed uint64) (int, int, []float64) {
	return func(seed uint64) (int, int, []float64) {
		return b.Card.Rate, b.Card.Bits, b.WithSeed(seed).Record(segments...)
	}
}

// microphone makes a recording of the transmitter through the monitor.
func (r round) microphone(s signal.Signal) func(seed uint64) (int, int, []float64) {
	b := r.transmit()
	return func(seed uint64) (int, int, []float64) {
		return b.Card.Rate, b.Card.Bits, b.WithSeed(seed).Record(s.Samples, s.Rate)
	}
}

// substitute makes the monitor's recording of a generator of known deviation.
func (r round) substitute(hz float64) func(seed uint64) (int, int, []float64) {
	b := r.transmit()
	return func(seed uint64) (int, int, []float64) {
		return b.Card.Rate, b.Card.Bits, b.WithSeed(seed).Substitute(1000, hz, 2)
	}
}
