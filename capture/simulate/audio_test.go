package simulate

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// table reads a file of testdata/reference.
func table(t *testing.T, name string) [][]string {
	t.Helper()
	file, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	defer func() { assert.NoError(t, file.Close()) }()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	return rows
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return v
}

// A clipped sine has the Fourier coefficients and the distortion of the
// table: computed there from the closed form. Harmonics 3 to 9 of 1 kHz lie
// below the audio's end at 11 kHz.
func TestClippedSine(t *testing.T) {
	tried := 0
	for _, row := range table(t, "thd_sinad.csv") {
		var c float64
		if strings.HasPrefix(row[0], "clip_") && strings.HasSuffix(row[0], "_THD_F_pct") {
			c = number(t, strings.Split(row[0], "_")[1])
		} else {
			continue
		}
		tried++
		x := make([]float64, workRate)
		addTone(x, 1, 1000.0/workRate, 0.3)
		AudioStage{OutputVolts: 1, ClipVolts: c}.amplify(x)
		p := powers(x)
		var b1 float64
		for _, word := range strings.Fields(row[2]) {
			name, value, found := strings.Cut(word, "=")
			order := 0.0
			switch {
			case !found || name[0] != 'b':
				continue
			case name == "b1":
				b1, order = number(t, value), 1
			default:
				order = number(t, strings.TrimSuffix(strings.TrimPrefix(name, "b"), "/b1"))
			}
			want := math.Abs(number(t, value))
			if order > 1 {
				want *= b1
			}
			got := math.Sqrt(2 * p[int(order)*1000])
			assert.InDelta(t, want, got, 2e-4, "clipped at %g, harmonic %g", c, order)
		}
	}
	assert.Equal(t, 7, tried)
}

// Clipped on one side only, even harmonics come up as well.
func TestUnequalClipping(t *testing.T) {
	harmonic := func(a AudioStage, n int) float64 {
		x := make([]float64, workRate)
		addTone(x, 1, 1000.0/workRate, 0.3)
		a.amplify(x)
		return dB(powers(x)[n*1000])
	}
	assert.Less(t, harmonic(AudioStage{OutputVolts: 1, ClipVolts: 0.7}, 2), -90.0)
	assert.Greater(t, harmonic(AudioStage{OutputVolts: 1, ClipVolts: 0.7, ClipLowVolts: 0.9}, 2), -35.0)
}

// A dead zone takes off what clipping at its edge leaves: x minus the clipped
// sine. With d a fifth of the peak b1 = 1 - 0.2530, and the distortion rises
// as the level falls. (Clipped at 0.2: b1 = 2/pi (asin 0.2 + 0.2 sqrt 0.96).)
func TestCrossover(t *testing.T) {
	distortion := func(peak float64) (first, third float64) {
		x := make([]float64, workRate)
		addTone(x, peak, 1000.0/workRate, 0.3)
		AudioStage{OutputVolts: 1, CrossoverVolts: 0.2}.amplify(x)
		p := powers(x)
		return math.Sqrt(2 * p[1000]), math.Sqrt(p[3000] / p[1000])
	}
	b1, h3 := distortion(1)
	assert.InDelta(t, 1-2/math.Pi*(math.Asin(0.2)+0.2*math.Sqrt(0.96)), b1, 1e-4)
	_, low := distortion(0.5)
	assert.Greater(t, low, 1.5*h3)
}

// Volume steps follow the control, until the amplifier clips: 2 V peak into
// 8 ohm is 0.25 W.
func TestVolumeSteps(t *testing.T) {
	set := ideal(12000, 0, 1200, DepthAudio)
	set.Audio.ClipVolts = 2
	b := bareBench(set, 1200)
	tone := func(volumeDB float64) float64 {
		return lines(b, Segment{Seconds: 1, LevelDBm: -47, VolumeDB: volumeDB})[1000]
	}
	assert.InDelta(t, 1, tone(0), 1e-3)
	assert.InDelta(t, -12, dB(tone(-12)), 0.01)
	assert.InDelta(t, 3, dB(tone(3)), 0.01, "2 V peak is 3.01 dB over 1 V RMS")
	assert.Less(t, dB(tone(10)), 5.2, "clipped hard, towards the square's 2 dB over 3.01")
	// 4 V peak, twice the clip: the table's sine clipped at 0.5, b1 = 0.608998.
	assert.InDelta(t, 20*math.Log10(0.608998*4/math.Sqrt2), dB(tone(20*math.Log10(4/math.Sqrt2))), 0.005)
}

// The amplifier's noise stays with volume down, and so do hum and ground
// loop; squelch mutes what comes before the amplifier only.
func TestBenchFloor(t *testing.T) {
	set := ideal(12000, 0, 1200, DepthAudio)
	set.Audio.NoiseVolts = 0.002
	set.Audio.Hum = ReservoirHum(50, -40)
	b := bareBench(set, 1200)
	b.GroundLoop = GroundLoop{MainsHz: 50, Volts: []float64{0.005}}
	floor := lines(b, Segment{Seconds: 1, LevelDBm: -47, VolumeDB: VolumeZero})
	sum := 0.0
	for k := 1000; k < 3000; k++ {
		sum += floor[k]
	}
	assert.InDelta(t, 20*math.Log10(0.002)+dB(2000.0/12000), dB(sum), 0.3)
	assert.InDelta(t, -40, dB(floor[100]), 0.1)
	assert.InDelta(t, -52.04, dB(floor[200]), 0.4)
	assert.InDelta(t, 20*math.Log10(0.005), dB(floor[50]), 0.3)
	set.Squelch = Squelch{On: true, OpenDBm: 0}
	b.Set = set
	muted := lines(b, Segment{Seconds: 1, Off: true})
	assert.InDelta(t, -40, dB(muted[100]), 0.1)
	b.Set = ideal(12000, 0, 1200, DepthAudio)
	assert.InDelta(t, 20*math.Log10(0.005), dB(lines(b, Segment{Seconds: 1, VolumeDB: VolumeZero})[50]), 1e-3)
}

// De-emphasis and a coupling capacitor against the table and 1/sqrt(1+(fc/f)^2).
func TestAudioResponseAgainstTable(t *testing.T) {
	flatSet := ideal(20000, 0, 1200, DepthAudio)
	slopeSet, tauSet := flatSet, flatSet
	slopeSet.Deemphasis, tauSet.Deemphasis = DeemphasisSlope, Deemphasis750us
	for _, row := range table(t, "deemphasis.csv")[1:] {
		hz := number(t, row[0])
		if hz < 100 || hz > 5000 {
			continue
		}
		assert.InDelta(t, number(t, row[1]), slopeSet.ResponseDB(hz), 0.001, "6 dB/octave at %g Hz", hz)
		assert.InDelta(t, number(t, row[2]), tauSet.ResponseDB(hz), 0.001, "750 us at %g Hz", hz)
	}
	flatSet.Audio.CouplingHz = 800
	b := bareBench(flatSet, 1200)
	at := func(hz float64) float64 {
		return dB(lines(b, Segment{Seconds: 1, LevelDBm: -30, ToneHz: hz})[int(hz)])
	}
	unit := 10 * math.Log10(1/(1+0.64))
	for _, hz := range []float64{200, 400, 3000} {
		want := -10*math.Log10(1+math.Pow(800/hz, 2)) - unit
		assert.InDelta(t, want, flatSet.ResponseDB(hz), 1e-6)
		assert.InDelta(t, want, at(hz)-at(1000), 0.02, "%g Hz", hz)
	}
}

// A keyed recording with chatter: every edge where it was said to be.
func TestKeyedSquelch(t *testing.T) {
	set := ideal(12000, 0, 1200, DepthAudio)
	set.Squelch = Squelch{On: true, OpenDBm: -110, CloseDBm: -113, AttackS: 0.04, TailS: 0.15, Chatter: 2, ChatterS: 0.05}
	b := bareBench(set, 1200)
	keyed := Keyed(-90, 1, 0.5, 2)
	events := b.SquelchEvents(keyed...)
	want := []float64{0.54, 0.59, 0.64, 0.69, 0.74, 1.65, 2.04, 2.09, 2.14, 2.19, 2.24, 3.15}
	require.Len(t, events, len(want))
	for i, e := range events {
		assert.InDelta(t, want[i], e.AtS, 1e-6)
		assert.Equal(t, i%2 == 0, e.Open)
	}
	assert.InDelta(t, 1.5, events[5].CauseS, 1e-9)
	assert.True(t, math.IsNaN(events[1].CauseS))
	x, key := b.Record(keyed...), b.KeyTrack(keyed...)
	require.Equal(t, len(x), len(key))
	loud := func(at float64) bool { return rms(x[int(at*workRate):int((at+0.02)*workRate)]) > 1e-3 }
	for i, at := range want {
		assert.Equal(t, i%2 == 0, loud(at+0.005), "after %g s", at)
		assert.Equal(t, i%2 == 1, loud(at-0.025), "before %g s", at)
	}
	assert.InDelta(t, 0, rms(key[:workRate/2-1]), 1e-12)
	assert.InDelta(t, 0.5/math.Sqrt2, rms(key[workRate/2:3*workRate/2]), 1e-6)
	// A carrier too short for the attack opens nothing; in the hysteresis it stays open.
	assert.Empty(t, b.SquelchEvents(Keyed(-90, 0.03, 1, 1)...))
	up := LevelSteps(1, -115, -112, -109, -112, -115)
	events = b.SquelchEvents(up...)
	assert.InDelta(t, 2.04, events[0].AtS, 1e-9)
	assert.InDelta(t, 4.15, events[len(events)-1].AtS, 1e-9)
}
