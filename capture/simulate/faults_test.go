package simulate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// look asks recordings of half a second, by plain transforms, for what a fault
// shows: bin k is 2k Hz.
type look struct {
	b    Bench
	seen map[Segment][]float64
}

func lookAt(b Bench) look {
	b.Card.NoiseDBFS, b.Card.Bits, b.Card.DC, b.Card.RateErrorPPM, b.Card.Rate = 0, 0, 0, 0, workRate
	return look{b, map[Segment][]float64{}}
}

func (l look) set() FM { return l.b.Set.(FM) }

func (l look) at(s Segment) []float64 {
	s.Seconds = 0.5
	if l.seen[s] == nil {
		l.seen[s] = lines(l.b, s)
	}
	return l.seen[s]
}

func (l look) strong(s Segment) []float64 {
	s.LevelDBm = -47
	return l.at(s)
}

// noise is the power from 300 to 3000 Hz beside the tone's harmonics, dB.
func noise(p []float64) (sum float64) {
	for k := 150; k <= 1500; k++ {
		if k%500 > 2 && k%500 < 498 {
			sum += p[k]
		}
	}
	return dB(sum)
}

func (l look) volts() float64  { return 20 * math.Log10(l.set().Audio.OutputVolts) }
func (l look) tone() float64   { return dB(l.strong(Segment{})[500]) }
func (l look) second() float64 { return dB(l.strong(Segment{})[1000]) - l.tone() }
func (l look) third(volumeDB float64) float64 {
	p := l.strong(Segment{VolumeDB: volumeDB})
	return dB(p[1500] / p[500])
}
func (l look) mains(n float64) float64 {
	return dB(l.strong(Segment{})[int(n*l.set().Audio.Hum.MainsHz/2)]) - l.volts()
}
func (l look) floor() float64 { return noise(l.strong(Segment{Unmodulated: true})) - l.volts() }
func (l look) muted() float64 { return noise(l.strong(Segment{VolumeDB: VolumeZero})) - l.volts() }
func (l look) down() float64 {
	p := l.at(Segment{Down: true})
	return dB(p[500] / p[650])
}
func (l look) response(hz float64) float64 {
	return dB(l.strong(Segment{ToneHz: hz})[int(hz/2)]) - l.tone()
}
func (l look) sinad() float64 {
	p := l.at(Segment{LevelDBm: DBmFromMicrovoltPD(0.35)})
	return 10 * math.Log10(1+p[500]/math.Pow(10, noise(p)/10))
}
func (l look) knee() float64 { return dB(l.at(Segment{LevelDBm: -100})[500]) - l.tone() }

// Every fault of the list shows what its hint needs, and only faults do.
func TestFaultsShow(t *testing.T) {
	bench := HealthyFM(11)
	bench.Generator.OffsetHz = 0
	healthy := lookAt(bench)
	checks := map[string]func(l look) bool{
		"detuned discriminator":    func(l look) bool { return l.second() > l.third(0)+6 && l.tone() < healthy.tone()-3 },
		"set off frequency":        func(l look) bool { return l.second() > healthy.second()+1 && l.sinad() < healthy.sinad()-1 },
		"tired reservoir":          func(l look) bool { return l.mains(2) > -23 && l.mains(1) < -45 },
		"hum pick-up":              func(l look) bool { return l.mains(1) > -26 && l.mains(2) < -45 },
		"dried coupling capacitor": func(l look) bool { return l.response(400) < healthy.response(400)-3 },
		"dried emitter bypass": func(l look) bool {
			return l.tone() < healthy.tone()-11 && math.Abs(l.response(400)-healthy.response(400)) < 0.8
		},
		"noisy audio amplifier": func(l look) bool { return l.muted() > -30 },
		"front-end loss":        func(l look) bool { return l.sinad() < healthy.sinad()-6 && math.Abs(l.floor()-healthy.floor()) < 1 },
		"narrow IF":             func(l look) bool { return l.third(0) > healthy.third(0)+6 },
		"IF off centre":         func(l look) bool { return l.second() > healthy.second()+2 },
		"missing de-emphasis": func(l look) bool {
			return l.response(400) < healthy.response(400)-6 && l.response(2500) > healthy.response(2500)+6
		},
		"double de-emphasis": func(l look) bool {
			return l.response(400) > healthy.response(400)+4.5 && l.response(2500) < healthy.response(2500)-6
		},
		"low limiter": func(l look) bool { return l.knee() < -5 && healthy.knee() > -0.5 },
		"oscillator noise": func(l look) bool {
			return l.floor() > healthy.floor()+10 && math.Abs(l.sinad()-healthy.sinad()) < 2 && l.muted() < healthy.muted()+1
		},
		"early clipping":          func(l look) bool { return l.third(6) > -15 && l.third(-12) < -38 },
		"unsymmetrical clipping":  func(l look) bool { return l.second() > -20 && l.third(-12) < -38 },
		"crossover distortion":    func(l look) bool { return l.third(-12) > l.third(0)+4 && l.third(-12) > -25 },
		"dead squelch":            func(l look) bool { return l.tone() < healthy.tone()-60 },
		"generator's residual FM": func(l look) bool { return l.floor() > healthy.floor()+10 },
		"generator leaks":         func(l look) bool { return l.down() > 15 },
		"motorboating": func(l look) bool {
			p := l.strong(Segment{})
			return math.Abs(dB(p[503]/p[500])+13.98) < 0.1
		},
		"alternator whine": func(l look) bool {
			p, sum := l.strong(Segment{VolumeDB: VolumeZero}), 0.0
			for _, v := range p[920:950] {
				sum += v
			}
			return math.Abs(dB(sum)-l.volts()+24) < 0.5
		},
		"ground loop": func(l look) bool { return l.mains(1) > -24 },
	}
	for _, f := range Faults() {
		l := lookAt(f.On(bench))
		if f.Name == "chattering squelch" {
			events := f.On(bench).SquelchEvents(Keyed(-90, 1, 1, 1)...)
			assert.Len(t, events, 10)
			continue
		}
		if !f.Fits(bench.Set) {
			continue
		}
		shows := checks[f.Name]
		require.NotNil(t, shows, f.Name)
		assert.True(t, shows(l), f.Name)
		assert.False(t, shows(healthy), "%s shows on a healthy set", f.Name)
		assert.NotEmpty(t, f.Shows)
		assert.Contains(t, f.On(bench).Describe(), f.Name)
		named, ok := FaultNamed(f.Name)
		assert.True(t, ok)
		assert.Equal(t, f.Name, named.Name)
	}
	am := HealthyAM(1)
	assert.Equal(t, am, Faults()[0].On(am), "an AM set has no discriminator")
}

// AM and SSB sets take the faults that are not of FM: a gain control that is
// dead follows the carrier.
func TestFaultsOfOtherSets(t *testing.T) {
	dead, ok := FaultNamed("dead gain control")
	require.True(t, ok)
	assert.False(t, dead.Fits(HealthyFM(1).Set))
	hum, _ := FaultNamed("tired reservoir")
	deaf, _ := FaultNamed("front-end loss")
	for _, b := range []Bench{HealthyAM(1), HealthySSB(1)} {
		b.Card.RateErrorPPM, b.Generator.OffsetHz = 0, 0
		b.Card.Rate = 16000
		rise := func(b Bench) float64 {
			return dB(lines(b, Segment{Seconds: 1, LevelDBm: -80})[1000] / lines(b, Segment{Seconds: 1, LevelDBm: -100})[1000])
		}
		assert.Less(t, rise(b), 4.0)
		assert.InDelta(t, 20, rise(dead.On(b)), 0.5)
		assert.Contains(t, hum.On(b).Describe(), "tired reservoir")
		assert.InDelta(t, b.Set.(interface{ NoiseFloorDBm() float64 }).NoiseFloorDBm()+12,
			deaf.On(b).Set.(interface{ NoiseFloorDBm() float64 }).NoiseFloorDBm(), 1e-9)
	}
}

// What the list of healthy sets says, over 500 seeds, by formula.
func TestHealthySetsAreHealthy(t *testing.T) {
	lowest, highest := math.Inf(1), math.Inf(-1)
	for seed := range uint64(500) {
		b := HealthyFM(seed)
		set := b.Set.(FM)
		level := set.LevelForCNR(9)
		lowest, highest = min(lowest, MicrovoltPDFromDBm(level)), max(highest, MicrovoltPDFromDBm(level))
		assert.InDelta(t, 0, b.Generator.OffsetHz, 30)
		if r := set.ResponseDB(2500) - set.Deemphasis.db(2500); r < -2.5 || r > 1 {
			t.Errorf("seed %d: %g dB off the de-emphasis at 2500 Hz", seed, r)
		}
		if r := set.ResponseDB(300) - set.Deemphasis.db(300); r < -2.5 || r > 1 {
			t.Errorf("seed %d: %g dB off the de-emphasis at 300 Hz", seed, r)
		}
		assert.Equal(t, b, HealthyFM(seed))
	}
	t.Logf("12 dB SINAD near %.3f to %.3f uV PD", lowest, highest)
	assert.Greater(t, lowest, 0.17)
	assert.Less(t, highest, 0.42)
}

// The level for an S/N of 9 of healthy AM and SSB sets, by the closed forms.
func TestHealthyAMAndSSBAreHealthy(t *testing.T) {
	var am, ssb [2]float64 // lowest and highest
	widen := func(r *[2]float64, dBm float64) {
		uV := MicrovoltPDFromDBm(dBm)
		if r[0] == 0 || uV < r[0] {
			r[0] = uV
		}
		r[1] = max(r[1], uV)
	}
	for seed := range uint64(200) {
		set := HealthyAM(seed).Set.(AM)
		widen(&am, NoiseDensityDBm+set.NoiseFigureDB+dB(9*2*noiseWidth(set.ResponseDB)/0.09))
		other := HealthySSB(seed).Set.(SSB)
		widen(&ssb, NoiseDensityDBm+other.NoiseFigureDB+dB(9*noiseWidth(other.ResponseDB)))
	}
	t.Logf("AM %.2f to %.2f uV PD, SSB %.3f to %.3f uV PD", am[0], am[1], ssb[0], ssb[1])
	assert.Greater(t, am[0], 0.4)
	assert.Less(t, am[1], 1.0)
	assert.Greater(t, ssb[0], 0.08)
	assert.Less(t, ssb[1], 0.2)
}

// noiseWidth is the band of white noise, 300 to 3400 Hz, through a response
// against 1 kHz.
func noiseWidth(responseDB func(hz float64) float64) (sum float64) {
	const step = 10
	for hz := 300 + step/2.0; hz < 3400; hz += step {
		sum += step * math.Pow(10, responseDB(hz)/10)
	}
	return sum
}

// An SSB tone moved off its place by the generator is still taken apart.
func TestTruthOfAMovedTone(t *testing.T) {
	set := idealSSB()
	b := bare(set, Generator{OffsetHz: 12.3})
	parts, err := b.takes(set.NoiseFloorDBm()+20, Band(0, 12000), 1)
	require.NoError(t, err)
	assert.InDelta(t, 20, dB(parts[0].tone/parts[0].rest), 0.1)
	b.Generator.OffsetHz = 12.34
	_, err = b.takes(-100, Band(0, 12000), 1)
	assert.ErrorIs(t, err, ErrOffBin)
}

// 10 dB (S+N)/N of the invented AM and SSB sets, on and off, against the
// closed forms with the noise through their filters: S/N is 9, so
// C = 9 x 2 N0 W/m^2 and C = 9 N0 B/g^2 with g the IF filter's gain at 1 kHz.
func TestOnOffOfTheInventedSets(t *testing.T) {
	speech := Band(300, 3400)
	set := Healthy27MHzAM()
	am := Bench{Generator: StandardAMGenerator(), Set: set, Card: PlainCard(), Seed: 3}
	am.Card.Rate = 16000
	level := NoiseDensityDBm + set.NoiseFigureDB + dB(9*2*noiseWidth(set.ResponseDB)/0.09)
	assert.InDelta(t, 0.6, MicrovoltPDFromDBm(level), 0.03)
	on := pool(am.onOff(level, speech, 1), -1).sinad()
	t.Logf("AM: %.3f uV PD gives %.3f dB", MicrovoltPDFromDBm(level), on)
	assert.InDelta(t, 10, on, 0.25)
	if long() {
		known := am.TrueOnOff(level, speech, 100)
		assert.InDelta(t, on, known.Value, 4*known.StdErr+0.05)
		power := am.TruePower(Segment{LevelDBm: -47}, speech, 20)
		assert.InDelta(t, 0, power.Value, 0.1, "1 V RMS")
		k, err := am.OnOffSensitivity(10, speech, 20)
		require.NoError(t, err)
		assert.InDelta(t, level, k.Value, 0.25)
	}

	ssb := Healthy27MHzSSB()
	b := Bench{Generator: Generator{}, Set: ssb, Card: am.Card, Seed: 3}
	level = NoiseDensityDBm + ssb.NoiseFigureDB + dB(9*noiseWidth(ssb.ResponseDB))
	assert.InDelta(t, 0.12, MicrovoltPDFromDBm(level), 0.01)
	parts, err := b.takes(level, speech, 1)
	require.NoError(t, err)
	assert.InDelta(t, 10, pool(parts, -1).sinad(), 0.25)
	// An unmodulated carrier is the SSB set's tone: on and off are alike.
	on1 := b.power(Segment{Seconds: 1, LevelDBm: -47}, speech)
	off1 := b.WithSeed(9).power(Segment{Seconds: 1, LevelDBm: -47, Unmodulated: true}, speech)
	assert.InDelta(t, 0, dB(on1), 0.1, "1 V RMS")
	assert.InDelta(t, 0, dB(on1/off1), 0.05)
}
