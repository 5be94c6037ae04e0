package live

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"time"

	"hisspoint/capture/job"
	"hisspoint/capture/signal"
	"hisspoint/capture/soundcard"
	"hisspoint/capture/unit"
)

// OutputNone is the name of the output on which nothing is played.
const OutputNone = "none"

// Player plays test signals on an output of the card that is recorded with.
type Player struct {
	Device soundcard.Device
	Loop   bool // the input hears this output itself
	card   soundcard.Card
}

// Player opens an output by name, or by a part of it, and remembers it. Without a
// name it is the one chosen last, else the system's choice.
func (o *Opened) Player(name string) (*Player, error) {
	if o.Card == nil {
		return nil, errors.New("raw samples come in, so there is no sound card to play on")
	}
	all, err := o.Card.Outputs()
	if err != nil {
		return nil, err
	}
	d, err := pickOutput(all, name)
	if err != nil {
		return nil, err
	}
	if d.Muted {
		return nil, fmt.Errorf("%s: is muted; switch it on in the system's sound settings", d.Name)
	}
	return &Player{Device: d, Loop: d.ID == o.Device().Hears, card: o.Card}, nil
}

func pickOutput(all []soundcard.Device, name string) (soundcard.Device, error) {
	known, err := LoadSettings()
	if err != nil && name == "" {
		return soundcard.Device{}, err
	}
	if name == "" && known.Output != nil {
		for _, d := range all {
			if d.ID == known.Output.Device {
				return d, nil
			}
		}
		return soundcard.Device{}, fmt.Errorf("%s: the output chosen last is not there; plug it in, or choose another with --output (hisspoint card --list)", known.Output.Name)
	}
	d, err := soundcard.Pick(all, name, "output")
	if err != nil || name == "" {
		return d, err
	}
	if known.Output == nil || known.Output.Device != d.ID {
		known.Output = &Chosen{Device: d.ID, Name: d.Name}
		return d, known.Save()
	}
	return d, nil
}

// held is how much sound is kept ready: a busy computer plays without a gap.
const held = 500 * time.Millisecond

func (p *Player) play(latency time.Duration, next func() (float64, bool)) (soundcard.Output, error) {
	f := soundcard.Format{Rate: p.Device.Format.Rate, Channels: max(1, min(2, p.Device.Format.Channels)), Bits: 32, Float: true}
	return p.card.Play(p.Device, f, latency, func(block []float64) int {
		n := 0
		for n+f.Channels <= len(block) {
			v, more := next()
			if !more {
				break
			}
			for range f.Channels {
				block[n] = v
				n++
			}
		}
		return n
	})
}

// Play plays a signal once, on all channels alike.
func (p *Player) Play(x []float64) (soundcard.Output, error) {
	at := 0
	return p.play(held, func() (float64, bool) {
		if at == len(x) {
			return 0, false
		}
		at++
		return x[at-1], true
	})
}

// Steady is a tone that sounds until it is closed.
type Steady struct {
	soundcard.Output
	mutex sync.Mutex
	want  float64 // amplitude
}

// Tone begins a tone at a level in dBFS.
func (p *Player) Tone(hz, dBFS float64) (*Steady, error) {
	s := &Steady{}
	s.Level(dBFS)
	rate := float64(p.Device.Format.Rate)
	slew := 1 - math.Exp(-1/(0.008*rate)) // 8 ms: no click at a change
	phase, now, n, want := 0.0, 0.0, 0, 0.0
	out, err := p.play(held/2, func() (float64, bool) {
		if n%256 == 0 {
			s.mutex.Lock()
			want = s.want
			s.mutex.Unlock()
		}
		n++
		now += (want - now) * slew
		phase = math.Mod(phase+hz/rate, 1)
		return now * math.Sin(2*math.Pi*phase), true
	})
	s.Output = out
	return s, err
}

// Level changes its level.
func (s *Steady) Level(dBFS float64) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.want = math.Pow(10, dBFS/20)
}

// Where a test signal goes.
const (
	IntoGenerator  = "generator"  // its input for external modulation
	IntoMicrophone = "microphone" // the set's microphone socket
)

// Wanted is the test signal that a step wants played while it is recorded.
type Wanted struct {
	Into     string
	Kind     string  // of signal.Kind
	Hz       float64 // of a tone
	File     string  // as the set of test signals calls it; empty: it is not among them
	Steady   bool    // a tone that sounds before the recording begins and after it has ended
	Own      bool    // its levels stand in the job: no other can be chosen
	Seconds  float64 // how long it lasts; 0: as long as is recorded
	TopDBFS  float64 // of Own: the highest level
	make     func(rate int, dBFS float64) signal.Signal
	ofLevels []float64 // dB of each place relative to the level chosen, or dBFS where Own
}

// Levels in dBFS between which test signals are played, and the one they begin at:
// some millivolts from a line output behind a divider of 20 dB.
const (
	LowestPlayed  = -80.0
	LoudestPlayed = -1.0
	FirstPlayed   = -40.0
)

// How long each of several tones or levels lasts, and other signals, as in the set
// of test signals.
const (
	toneSeconds      = 1.5
	multitoneSeconds = 10
)

// WantedFor is what a step wants played, if anything. volts is what a full-scale
// sine gives where the signal goes, 0 if that is not known: inputs in volts need it.
func WantedFor(step Step, t job.Test, volts float64) (Wanted, bool) {
	w := Wanted{Into: IntoGenerator, Kind: signal.KindTone, Hz: 1000}
	if step.Kind.Transmit {
		w.Into = IntoMicrophone
	}
	if t.Stanza == nil {
		return w, false
	}
	if t.Stanza.ToneHz > 0 {
		w.Hz = t.Stanza.ToneHz
	}
	switch k := step.Kind; {
	case k.Axis == job.AxisTone:
		return w.response(step, strings.ToLower(t.Stanza.Setting(job.SettingSignal)))
	case k.Axis == job.AxisInput:
		return w.inputs(step, volts)
	case k.Holds == job.HoldsSpeech:
		return w.response(step, "speech")
	case k.Transmit && len(step.Places) == 0:
		w.Steady = true
		return w, k.Holds == job.HoldsTone || step.Take.State == job.StateModulated
	}
	return w, false
}

// response is the signal of an audio response.
func (w Wanted) response(step Step, kind string) (Wanted, bool) {
	switch {
	case step.Take.At > 0:
		w.Steady, w.Hz = true, step.Take.At
		return w, true
	case len(step.Places) > 1 || len(step.Places) == 1 && step.Places[0].At > 0:
		var tones []float64
		for _, k := range step.Places {
			tones = append(tones, k.At)
		}
		w.Kind = signal.KindStepped
		w.make = func(rate int, dBFS float64) signal.Signal { return signal.Stepped(rate, tones, dBFS, toneSeconds) }
	case kind == "sweep":
		w.Kind, w.File = signal.KindSweep, "sweep"
		w.make = func(rate int, dBFS float64) signal.Signal {
			return signal.SweepSignal(rate, signal.StandardSweep(), dBFS, 0.5)
		}
	case kind == "multitone":
		w.Kind, w.File, w.Seconds = signal.KindMultitone, "multitone", multitoneSeconds
		w.make = func(rate int, dBFS float64) signal.Signal {
			return signal.Multitone(rate, signal.StandardMultitone(), dBFS, multitoneSeconds)
		}
	case kind == "speech":
		w.Kind, w.File, w.Seconds = signal.KindNoise, "speech-noise", signal.NoiseSeconds
		w.make = func(rate int, dBFS float64) signal.Signal { return signal.SpeechNoise(rate, dBFS, signal.NoiseSeconds) }
	default:
		w.Kind, w.File = signal.KindStepped, "stepped-third-octave"
		w.make = func(rate int, dBFS float64) signal.Signal {
			return signal.Stepped(rate, signal.StandardSteps(3), dBFS, toneSeconds)
		}
	}
	if w.Seconds == 0 {
		w.Seconds = w.make(leastRate, FirstPlayed).Seconds()
	}
	return w, true
}

// leastRate is the lowest sample rate of an output that holds the test signals.
const leastRate = 22050

// inputs are the levels of a limiter's test: in dB relative to the level chosen, of
// which the loudest is that, or in volts where it is known what full scale gives.
func (w Wanted) inputs(step Step, volts float64) (Wanted, bool) {
	places := step.Places
	if len(places) == 0 {
		places, w.Steady = []job.Take{step.Take}, true
	}
	top := math.Inf(-1)
	for _, k := range places {
		relative := job.InputIsRelative(k.AtTyped)
		if k.AtTyped == "" || !relative && volts == 0 {
			return w, false
		}
		at := k.At
		if !relative {
			w.Own, at = true, k.At-20*math.Log10(1000*volts)
		}
		w.ofLevels = append(w.ofLevels, at)
		top = math.Max(top, at)
	}
	switch {
	case w.Own && (top > LoudestPlayed || top < LowestPlayed):
		return w, false
	case w.Own:
		w.TopDBFS = top
	case !w.Steady:
		for i := range w.ofLevels {
			w.ofLevels[i] -= top
		}
	}
	if w.Steady {
		return w, true
	}
	w.Kind, w.Seconds = signal.KindLevels, toneSeconds*float64(len(places))
	w.make = func(rate int, dBFS float64) signal.Signal {
		levels := make([]float64, len(w.ofLevels))
		for i, l := range w.ofLevels {
			levels[i] = l
			if !w.Own {
				levels[i] += dBFS
			}
		}
		return signal.Jumps(rate, w.Hz, levels, toneSeconds)
	}
	return w, true
}

// Level is the level in dBFS of a steady tone, or the highest of a signal, where
// dBFS is the one chosen.
func (w Wanted) Level(dBFS float64) float64 {
	switch {
	case w.Own:
		return w.TopDBFS
	case w.Steady && len(w.ofLevels) == 1:
		return dBFS + w.ofLevels[0]
	}
	return dBFS
}

// Make makes the signal for the player's output.
func (w Wanted) Make(p *Player, dBFS float64) (signal.Signal, error) {
	if p.Device.Format.Rate < leastRate {
		return signal.Signal{}, fmt.Errorf("%s: runs at %d Hz, too slow for the test signals; set it to 48000 Hz in the system's sound settings", p.Device.Name, p.Device.Format.Rate)
	}
	return w.make(p.Device.Format.Rate, dBFS), nil
}

// SignalLevel reads a level in dBFS or, where the output is calibrated, in volts.
func SignalLevel(s string, fullScaleVolts float64) (float64, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	plain := strings.TrimSpace(strings.TrimSuffix(t, "dbfs"))
	if plain != t || !strings.HasSuffix(t, "v") {
		return unit.ParseDB(plain)
	}
	v, err := unit.ParseVolts(t)
	if err != nil {
		return 0, err
	}
	if fullScaleVolts == 0 {
		return 0, fmt.Errorf("%q needs a calibrated output; give --full-scale-volts, or a level in dBFS", s)
	}
	return unit.VoltageDB(v / fullScaleVolts), nil
}
