package simulate

import "math"

// Squelch is a gate that listens to the level at the aerial socket. Its
// zero value is a squelch that is always open. Because it acts on the level
// itself and not on measured noise, the times at which it opens and closes
// are known exactly. Full setting (a tight squelch) is a high OpenDBm; a set
// that a strong signal cannot open has one above every level.
type Squelch struct {
	On       bool
	OpenDBm  float64 // opens at or above
	CloseDBm float64 // closes below; the difference is the hysteresis
	AttackS  float64 // from the carrier's arrival to open audio
	TailS    float64 // from the carrier's loss to closed audio
	Chatter  int     // how often it shuts and opens again after each opening
	ChatterS float64 // length of each of these spells; 0 stands for 30 ms
	MuteDB   float64 // by how much closed audio is lowered; 0: silence
}

// SquelchEvent is a known answer: when the audio opened or closed, and when
// the signal came or went that made it do so (NaN for chatter).
type SquelchEvent struct {
	AtS    float64
	Open   bool
	CauseS float64
}

// gate silences volts where the squelch is closed, with a 1 ms ramp.
func (q Squelch) gate(volts []float64, line timeline) {
	if !q.On {
		return
	}
	const ramp = workRate / 1000
	shut := 0.0
	if q.MuteDB > 0 {
		shut = math.Pow(10, -q.MuteDB/20)
	}
	target, at := shut, 0
	if q.hears(line[0].dBm, false) {
		target = 1
	}
	gain := target
	run := func(to int) {
		for ; at < min(to, len(volts)); at++ {
			if gain < target {
				gain = min(target, gain+1.0/ramp)
			} else if gain > target {
				gain = max(target, gain-1.0/ramp)
			}
			volts[at] *= gain
		}
	}
	for _, e := range q.events(line) {
		run(int(math.Round(e.AtS * workRate)))
		target = shut
		if e.Open {
			target = 1
		}
	}
	run(len(volts))
}

// hears is the comparator with its hysteresis.
func (q Squelch) hears(dBm float64, open bool) bool {
	return dBm >= q.OpenDBm || open && dBm >= q.CloseDBm
}

// events lists when the gate changes. A change that is overtaken by the
// next one (a carrier gone before the attack is over) does not happen.
func (q Squelch) events(line timeline) []SquelchEvent {
	heard := q.hears(line[0].dBm, false)
	open := heard
	var turns []SquelchEvent // of the comparator
	start := 0.0
	for _, s := range line {
		if now := q.hears(s.dBm, heard); now != heard {
			heard = now
			turns = append(turns, SquelchEvent{start, now, start})
		}
		start = float64(s.end) / workRate
	}
	var out []SquelchEvent
	for i, e := range turns {
		next := start
		if i+1 < len(turns) {
			next = turns[i+1].AtS
		}
		if e.Open {
			e.AtS += q.AttackS
		} else {
			e.AtS += q.TailS
		}
		if e.Open == open || e.AtS >= next {
			continue
		}
		open = e.Open
		out = append(out, e)
		if open {
			out = q.chatter(out, next)
		}
	}
	return out
}

// chatter adds the spells after an opening that end before the next turn.
func (q Squelch) chatter(out []SquelchEvent, next float64) []SquelchEvent {
	spell, at := first(q.ChatterS, 0.03), out[len(out)-1].AtS
	for range q.Chatter {
		if at+2*spell >= next {
			break
		}
		out = append(out, SquelchEvent{at + spell, false, math.NaN()}, SquelchEvent{at + 2*spell, true, math.NaN()})
		at += 2 * spell
	}
	return out
}

// SquelchEvents is the known answer of a squelch recording: when the audio
// opens and closes, in seconds from the recording's start. It is empty for a
// set whose squelch is off.
func (b Bench) SquelchEvents(segments ...Segment) []SquelchEvent {
	if q := b.Set.squelch(); q.On {
		return q.events(b.timeline(segments))
	}
	return nil
}

// KeyTrack is a second channel that tells when the generator was on: a tone
// of 1 kHz at half of full scale while there is a carrier, silence otherwise.
func (b Bench) KeyTrack(segments ...Segment) []float64 {
	line, seconds := b.timeline(segments), 0.0
	for _, s := range segments {
		seconds += s.Seconds
	}
	out := make([]float64, int(math.Round(seconds*float64(b.Card.Rate))))
	rate := float64(b.Card.Rate) * (1 + b.Card.RateErrorPPM*1e-6)
	at := 0
	for i := range out {
		t := float64(i) / rate
		for at < len(line)-1 && t >= float64(line[at].end)/workRate {
			at++
		}
		if !math.IsInf(line[at].dBm, -1) {
			out[i] = 0.5 * math.Sin(2*math.Pi*1000*t)
		}
	}
	return out
}

// Keyed is a generator keyed on and off: off, then times over on and off.
func Keyed(levelDBm, onS, offS float64, times int) []Segment {
	out := []Segment{{Seconds: offS, Off: true}}
	for range times {
		out = append(out, Segment{Seconds: onS, LevelDBm: levelDBm}, Segment{Seconds: offS, Off: true})
	}
	return out
}

// LevelSteps is a generator stepped through levels, each held for a while.
func LevelSteps(seconds float64, dBm ...float64) []Segment {
	out := make([]Segment, len(dBm))
	for i, l := range dBm {
		out[i] = Segment{Seconds: seconds, LevelDBm: l}
	}
	return out
}
