package truth_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
	"hisspoint/reports/sentence"
)

func plainBench(seed uint64) simulate.Bench {
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: simulate.PlainCard(), Seed: seed}
	b.Card.Rate = 16000
	return b
}

func setup(kindName string, takes ...job.Take) job.Setup {
	return job.Setup{Kind: kindName, Mode: job.FM, LevelKind: unit.PD, Stanza: job.Stanza{Takes: takes, Settings: map[string]string{}}}
}

func dbm(level float64) job.Take {
	l := unit.DBm(level)
	return job.Take{Level: l, Typed: l.String()}
}

// Openings, closings, tails and attack times of a simulated squelch are those
// that the simulation put in, to within 5 ms.
func TestSquelchOfASimulatedSet(t *testing.T) {
	b := plainBench(5)
	set := b.Set.(simulate.FM)
	set.Squelch = simulate.Squelch{On: true, OpenDBm: -116, CloseDBm: -118, AttackS: 0.06, TailS: 0.18}
	b.Set = set
	segments := simulate.Keyed(-110, 0.8, 0.7, 3)
	key := capture.FromSamples("keyed.wav", b.Card.Rate, b.KeyTrack(segments...))
	s := setup(job.KindSquelch, job.Take{File: "keyed.wav"})
	s.Settings[job.SettingKeyChannel] = "2"
	r, err := kind.Squelch(s, []capture.Recording{b.Recording("keyed.wav", segments...), key})
	require.NoError(t, err)
	truth := b.SquelchEvents(segments...)
	require.Len(t, r.Events, len(truth)/2, r.Why)
	for i, e := range r.Events {
		assert.InDelta(t, truth[2*i].AtS, e.AtS, 0.005)
		assert.InDelta(t, truth[2*i+1].AtS, e.UntilS, 0.005)
	}
	assert.InDelta(t, 180, r.Get(job.QuantityClosing).Value, 8)
	assert.InDelta(t, 60, r.Get(job.QuantityAttack).Value, 5)
	assert.Zero(t, r.Get(job.FigureChatter).Value)
}

// Up and down in one recording: the levels at which the set opens and closes
// lie in the intervals that are given, though muted levels have no edges.
func TestSquelchLevelsOfASteppedRecording(t *testing.T) {
	b := plainBench(6)
	set := b.Set.(simulate.FM)
	set.Squelch = simulate.Squelch{On: true, OpenDBm: -117, CloseDBm: -119.5, AttackS: 0.05, TailS: 0.1, MuteDB: 60}
	b.Set = set
	levels := []float64{-122, -120, -118, -116, -114, -116, -118, -120, -122}
	s := setup(job.KindSquelchLevels)
	s.OneFile = true
	for _, l := range levels {
		s.Takes = append(s.Takes, dbm(l))
	}
	r, err := kind.SquelchLevels(s, []capture.Recording{b.Recording("steps.wav", simulate.LevelSteps(2, levels...)...)})
	require.NoError(t, err)
	require.Empty(t, r.Why)
	opens, closes := r.Get(job.FigureOpensAt), r.Get(job.FigureClosesAt)
	assert.Equal(t, [3]float64{-116, -118, -116}, [3]float64{opens.Value, opens.Low, opens.High})
	assert.Equal(t, [3]float64{-120, -120, -118}, [3]float64{closes.Value, closes.Low, closes.High})
	assert.InDelta(t, 4, r.Get(job.FigureHysteresis).Value, 1e-9)
	assert.True(t, r.Get(job.QuantityOpening).OK())

	// One level too many in the list: nothing is guessed.
	s.Takes = append(s.Takes, dbm(-124), dbm(-113))
	r, err = kind.SquelchLevels(s, []capture.Recording{b.Recording("steps.wav", simulate.LevelSteps(2, levels...)...)})
	require.NoError(t, err)
	assert.NotEmpty(t, r.Why)
}

func TestSquelchThatDoesNotOpen(t *testing.T) {
	b := plainBench(7)
	fault, ok := simulate.FaultNamed("dead squelch")
	require.True(t, ok)
	b = fault.On(b)
	s := setup(job.KindSquelchLevels, dbm(-110), dbm(-60))
	s.Settings[job.SettingSquelch] = "tight"
	r, err := kind.SquelchLevels(s, []capture.Recording{b.Recording("a", simulate.Segment{Seconds: 1, LevelDBm: -110}), b.Recording("b", simulate.Segment{Seconds: 1, LevelDBm: -60})})
	require.NoError(t, err)
	assert.False(t, r.Get(job.FigureOpensAt).OK())
	assert.Contains(t, sentence.Of(r.Says[0]), "does not open")
}

// A set that was put off tune by a known number of hertz shows that centre.
func TestCentringFindsTheError(t *testing.T) {
	for _, errorHz := range []float64{0, 1500} {
		b := plainBench(8)
		set := b.Set.(simulate.FM)
		set.TuningErrorHz = errorHz
		b.Set = set
		s := setup(job.KindCentring)
		s.Level, s.LevelTyped = unit.DBm(-112), "-112 dBm"
		var rs []capture.Recording
		for _, offset := range []float64{-6000, -5000, -4000, -3000, -1500, 0, 1500, 3000, 4000, 5000, 6000} {
			s.Takes = append(s.Takes, job.Take{At: offset, AtTyped: "x"})
			rs = append(rs, b.Recording("a", simulate.Segment{Seconds: 2, LevelDBm: -112, OffsetHz: offset}))
		}
		r, err := kind.Centring(s, rs)
		require.NoError(t, err)
		require.Empty(t, r.Why)
		c := r.Get(job.FigureCentre)
		require.True(t, c.OK(), c.Why)
		t.Logf("tuned %g Hz off: centre %.0f (%.0f to %.0f), displacement %.0f", errorHz, c.Value, c.Low, c.High, r.Get(job.FigureDisplacement).Value)
		assert.InDelta(t, math.Abs(errorHz), math.Abs(c.Value), 250)
	}
}

// Blocking adds noise of a known power: with the level at which the set gives 6
// dB without an interferer, the interfering level that brings it there follows in
// closed form, I = B + 10 log10(10^(R/10) - 1), R being how far the wanted signal
// stands above that level.
func TestDegradationIsFound(t *testing.T) {
	b := plainBench(9)
	set := b.Set.(simulate.FM)
	set.Immunity.BlockingDBm = -40
	b.Set = set
	b.Interferer = simulate.Interferer{Kind: simulate.Blocking}
	twelve, err := b.Sensitivity(12, simulate.Band(300, 3400), 4)
	require.NoError(t, err)
	six, err := b.Sensitivity(6, simulate.Band(300, 3400), 4)
	require.NoError(t, err)
	wanted := twelve.Value + 3
	truth := map[string]float64{}
	// Blocking adds noise as power, which lowers the wanted signal's CNR to that of the level
	// that gives the end's SINAD by itself.
	for name, at := range map[string]float64{job.EndSINAD: twelve.Value, job.EndDown: six.Value} {
		truth[name] = -40 + 10*math.Log10(math.Pow(10, (wanted-at)/10)-1) - twelve.Value
	}

	s := setup(job.KindDegradation)
	s.Level, s.LevelTyped = unit.DBm(wanted), "x"
	var rs []capture.Recording
	for _, l := range []float64{-46, -43, -40, -37, -34, -31} {
		s.Takes = append(s.Takes, dbm(l))
		rs = append(rs, b.WithSeed(uint64(-l)).Recording("a", simulate.Segment{Seconds: 3, LevelDBm: wanted, InterfererDBm: l}))
	}
	r, err := kind.Degradation(s, rs)
	require.NoError(t, err)
	require.Empty(t, r.Why)
	for name, want := range truth {
		s.Settings = map[string]string{job.SettingEnd: name}
		r, err = kind.Degradation(s, rs)
		require.NoError(t, err)
		got := r.Get(job.FigureRejection)
		require.True(t, got.OK(), got.Why)
		assert.InDelta(t, want, got.Value, 0.5, name)
		assert.Less(t, got.Low, want, name)
		assert.Greater(t, got.High, want, name)
		assert.Contains(t, sentence.Of(note.Joined(" ", r.Says)), "ends at "+name)
	}
	s.Settings = nil
	r, err = kind.Degradation(s, rs)
	require.NoError(t, err)
	assert.Contains(t, sentence.Of(note.Joined(" ", r.Says)), "ends at 12 dB SINAD")

	s.Takes, rs = s.Takes[4:], rs[4:]
	r, err = kind.Degradation(s, rs)
	require.NoError(t, err)
	assert.Contains(t, r.Get(job.FigureRejection).Why, "record interfering levels on both sides")
}

func TestBenchHonesty(t *testing.T) {
	b := plainBench(10)
	floor := b.Recording("floor.wav", simulate.Segment{Seconds: 2, Off: true, VolumeDB: simulate.VolumeZero})
	r, err := kind.BenchFloor(setup(job.KindBenchFloor, job.Take{File: "floor.wav"}), []capture.Recording{floor})
	require.NoError(t, err)
	require.Empty(t, r.Why)
	assert.Less(t, r.Get(analyze.NoiseLevel).Value, -50.0)

	tone := b.Recording("floor.wav", simulate.Segment{Seconds: 2, LevelDBm: -80})
	r, err = kind.BenchFloor(setup(job.KindBenchFloor, job.Take{File: "floor.wav"}), []capture.Recording{tone})
	require.NoError(t, err)
	assert.Contains(t, r.Why, "volume was not at zero")

	clean := b.Recording("down.wav", simulate.Segment{Seconds: 2, Down: true})
	r, err = kind.Leakage(setup(job.KindLeakage, job.Take{File: "down.wav"}), []capture.Recording{clean})
	require.NoError(t, err)
	assert.False(t, r.Get(job.FigureLeak).OK())
	assert.Empty(t, r.Warnings)

	leaks, _ := simulate.FaultNamed("generator leaks")
	heard := leaks.On(b).Recording("down.wav", simulate.Segment{Seconds: 2, Down: true})
	r, err = kind.Leakage(setup(job.KindLeakage, job.Take{File: "down.wav"}), []capture.Recording{heard})
	require.NoError(t, err)
	assert.True(t, r.Get(job.FigureLeak).OK())
	require.Len(t, r.Warnings, 1)
	assert.Equal(t, capture.Leakage, r.Warnings[0].Code)
}

// White noise has a flat density: its tilt is none, within the interval that is given.
func TestWhiteHissHasNoTilt(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	x := make([]float64, 96000)
	for i := range x {
		x[i] = 0.1 * rng.NormFloat64()
	}
	r, err := kind.Hiss(setup(job.KindHiss, job.Take{File: "hiss.wav"}), []capture.Recording{capture.FromSamples("hiss.wav", 16000, x)})
	require.NoError(t, err)
	tilt := r.Get(job.FigureHissTilt)
	assert.Less(t, tilt.Low, 0.0)
	assert.Greater(t, tilt.High, 0.0)
	assert.Less(t, tilt.High-tilt.Low, 0.8)
}

func TestHissTilt(t *testing.T) {
	b := plainBench(11)
	hiss := b.Recording("hiss.wav", simulate.Segment{Seconds: 6, Off: true})
	r, err := kind.Hiss(setup(job.KindHiss, job.Take{File: "hiss.wav"}), []capture.Recording{hiss})
	require.NoError(t, err)
	require.Empty(t, r.Why)
	require.Len(t, r.Lines, 1)
	// Without a carrier the discriminator's noise is nearly flat at audio
	// frequencies (Rice), so de-emphasis of 6 dB an octave shows by itself.
	tilt := r.Get(job.FigureHissTilt)
	assert.InDelta(t, -6, tilt.Value, 1)
	assert.Less(t, tilt.High-tilt.Low, 1.5)
	tone := b.Recording("hiss.wav", simulate.Segment{Seconds: 2, LevelDBm: -100})
	r, err = kind.Hiss(setup(job.KindHiss, job.Take{File: "hiss.wav"}), []capture.Recording{tone})
	require.NoError(t, err)
	assert.Contains(t, r.Why, "not hiss alone")
}
