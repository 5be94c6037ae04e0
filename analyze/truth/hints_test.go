package truth_test

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/hint"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	sound "hisspoint/capture/signal"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
)

// receiverRound is the tests of a receiver that hints look at, on a simulated bench.
func receiverRound(t *testing.T, b simulate.Bench) []hint.Tested {
	t.Helper()
	var all []hint.Tested
	seed := b.Seed
	next := func(name string, segments ...simulate.Segment) capture.Recording {
		seed++
		return b.WithSeed(seed).Recording(name, segments...)
	}
	run := func(s job.Setup, of analyze.Analysis, rs ...capture.Recording) {
		r, err := of(s, rs)
		require.NoError(t, err)
		all = append(all, hint.Tested{Kind: s.Kind, Result: &r})
	}
	strong := simulate.Segment{Seconds: 1.5, LevelDBm: -67}
	carrier := strong
	carrier.Unmodulated = true
	run(setup(job.KindBenchFloor, job.Take{File: "a"}), kind.BenchFloor, next("a", simulate.Segment{Seconds: 1.5, Off: true, VolumeDB: simulate.VolumeZero}))
	run(setup(job.KindLeakage, job.Take{File: "a"}), kind.Leakage, next("a", simulate.Segment{Seconds: 1.5, Down: true}))
	run(setup(job.KindDistortion, job.Take{File: "a"}), kind.Distortion, next("a", strong))
	run(setup(job.KindHumNoise, job.Take{File: "a", State: job.StateModulated}, job.Take{File: "b", State: job.StateCarrier}), kind.HumNoise, next("a", strong), next("b", carrier))
	run(levelsAt(job.KindCentring, "offset"), kind.Centring, offsets(next)...)
	run(responseSetup(), kind.ResponseTest, next("a", tonesOf(strong.LevelDBm)...))
	curve := setup(job.KindLevelCurve)
	var rs []capture.Recording
	for _, l := range []float64{-47, -67, -77, -87, -97, -107} {
		curve.Takes = append(curve.Takes, dbm(l))
		rs = append(rs, next("a", simulate.Segment{Seconds: 1, LevelDBm: l}))
	}
	run(curve, kind.LevelCurve, rs...)
	power := setup(job.KindAudioPower)
	rs = nil
	for i, db := range []float64{-20, -10, 0} {
		power.Takes = append(power.Takes, job.Take{AtTyped: fmt.Sprint(i), At: float64(i)})
		s := strong
		s.VolumeDB = db
		rs = append(rs, next("a", s))
	}
	run(power, kind.AudioPower, rs...)
	run(setup(job.KindSquelch, job.Take{File: "a"}), kind.Squelch, keyedOf(b, seed))
	squelched := setup(job.KindSquelchLevels, dbm(-125), dbm(-60))
	run(squelched, kind.SquelchLevels, squelchOn(b).Recording("a", simulate.Segment{Seconds: 1, LevelDBm: -125}), squelchOn(b).Recording("b", simulate.Segment{Seconds: 1, LevelDBm: -60}))
	s := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}}, Reading: job.Reading{Mode: job.FM}, Mode: job.FM}
	rs = nil
	for _, l := range []float64{-123, -120, -117, -114, -111, -108, -105, -102, -60} {
		s.Takes = append(s.Takes, job.Take{Level: unit.DBm(l), Typed: unit.DBm(l).String()})
		rs = append(rs, next("a", simulate.Segment{Seconds: 1.5, LevelDBm: l}))
	}
	point, err := kind.Sensitivity(s, rs)
	require.NoError(t, err)
	return append(all, hint.Tested{Kind: job.KindSensitivity, Result: &point})
}

func levelsAt(kindName, _ string) job.Setup {
	s := setup(kindName)
	s.Level, s.LevelTyped = unit.DBm(-112), "-112 dBm"
	for _, offset := range centringOffsets {
		s.Takes = append(s.Takes, job.Take{At: offset, AtTyped: fmt.Sprintf("%g Hz", offset)})
	}
	return s
}

var centringOffsets = []float64{-5500, -4500, -3500, -2500, -1500, -750, 0, 750, 1500, 2500, 3500, 4500, 5500}

func offsets(next func(string, ...simulate.Segment) capture.Recording) []capture.Recording {
	var rs []capture.Recording
	for _, hz := range centringOffsets {
		rs = append(rs, next("a", simulate.Segment{Seconds: 1, LevelDBm: -105, OffsetHz: hz}))
	}
	return rs
}

func responseSetup() job.Setup {
	s := setup(job.KindResponse, job.Take{File: "a"})
	s.Settings[job.SettingSignal] = analyze.ResponseStepped
	return s
}

func tonesOf(level float64) []simulate.Segment {
	var all []simulate.Segment
	for _, hz := range append(sound.StandardSteps(3), 1000) {
		all = append(all, simulate.Segment{Seconds: 0.5, LevelDBm: level, ToneHz: hz, DeviationHz: 1000})
	}
	return all
}

// squelchOn is the bench with its set's squelch in use.
func squelchOn(b simulate.Bench) simulate.Bench {
	set := b.Set.(simulate.FM)
	set.Squelch.On = true
	if set.Squelch.OpenDBm == 0 {
		set.Squelch.OpenDBm, set.Squelch.CloseDBm, set.Squelch.TailS = -115, -118, 0.1
	}
	b.Set = set
	return b
}

func keyedOf(b simulate.Bench, seed uint64) capture.Recording {
	return squelchOn(b).WithSeed(seed).Recording("a", simulate.Keyed(-90, 0.6, 0.5, 2)...)
}

func names(hints []analyze.Hint) []string {
	var all []string
	for _, h := range hints {
		all = append(all, h.Name)
	}
	return all
}

// No hint on sets in working order: a few of them in every run, 500 in the long one.
func TestNoHintOnHealthySets(t *testing.T) {
	n := 1
	if os.Getenv("HISSPOINT_LONG") == "1" {
		n = 500
	}
	for seed := range n {
		b := simulate.HealthyFM(uint64(1000 + seed))
		b.Card.Rate = 16000
		for _, h := range hint.All(receiverRound(t, b)) {
			t.Errorf("healthy set %d: %s: %v", seed, h.Name, h.Evidence)
		}
	}
}

// Each simulated fault brings the hint that belongs to it, with evidence.
func TestFaultsBringTheirHints(t *testing.T) {
	want := map[string]string{
		"detuned discriminator": "detector", "set off frequency": "detector", "tired reservoir": "reservoir", "hum pick-up": "ground-loop",
		"dried coupling capacitor": "coupling-capacitor", "noisy audio amplifier": "amplifier-noise", "front-end loss": "front-end",
		"missing de-emphasis": "no-de-emphasis", "double de-emphasis": "double-de-emphasis", "low limiter": "limiting", "oscillator noise": "oscillator-noise",
		"early clipping": "clipping", "unsymmetrical clipping": "clipping", "crossover distortion": "crossover", "dead squelch": "squelch-dead",
		"chattering squelch": "chatter", "generator leaks": "leak", "ground loop": "ground-loop", "generator's residual FM": "oscillator-noise",
		"IF off centre": "detector", "narrow IF": "clipping",
	}
	short := map[string]bool{"tired reservoir": true, "front-end loss": true}
	for _, fault := range simulate.Faults() {
		name, has := want[fault.Name]
		if !has || os.Getenv("HISSPOINT_LONG") != "1" && !short[fault.Name] {
			continue
		}
		b := fault.On(simulate.HealthyFM(77))
		b.Card.Rate = 16000
		hints := hint.All(receiverRound(t, b))
		assert.Contains(t, names(hints), name, fault.Name)
		t.Logf("%s: %v", fault.Name, names(hints))
		for _, h := range hints {
			assert.NotEmpty(t, h.Evidence)
		}
	}
}
