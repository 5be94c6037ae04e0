package limit

import (
	"maps"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// bench is how far its instruments are off, each by its tolerance at most.
type bench struct {
	modulation, load, volts float64    // shares
	level, reconnect        float64    // dB
	low, high               float64    // dB of the card's response at 300 and 3400 Hz, straight over the logarithm of the frequency from 1 kHz
	tone                    complex128 // second harmonic of the generator, percent
}

func (b bench) response(hz float64) float64 {
	if hz < 1000 {
		return b.low * math.Log(hz/1000) / math.Log(0.3)
	}
	return b.high * math.Log(hz/1000) / math.Log(3.4)
}

// noise is by what factor white noise in the speech band reads too strong.
func (b bench) noise() (mean float64) {
	const steps = 310
	for i := range steps {
		mean += math.Pow(10, b.response(300+10*(float64(i)+0.5))/10) / steps
	}
	return mean
}

func drawBench(r *rand.Rand) bench {
	in := func(half float64) float64 { return half * (2*r.Float64() - 1) }
	return bench{in(0.1), in(0.05), in(0.03), in(2), in(0.1), in(0.5), in(0.5), cmplx.Rect(r.Float64(), 2*math.Pi*r.Float64())}
}

// set is a receiver: tone 1, noise and second harmonic against it; volts and load.
type set struct {
	noise, harmonic, deviation, volts float64
	phase                             complex128
}

// read is what a figure of the set reads on a bench, in closed form. The bench that is
// off nowhere reads the truth.
func (s set) read(name string, b bench) float64 {
	tone := math.Pow(1+b.modulation, 2)
	noise := s.noise * b.noise()
	harmonic := complex(s.harmonic*(1+b.modulation), 0)*s.phase + b.tone
	d := cmplx.Abs(harmonic) * math.Pow(10, b.response(2000)/20)
	rest := noise*math.Pow(10, -b.level/10) + tone*math.Pow(d/100, 2)
	switch name {
	case job.QuantityHumNoise:
		return 10 * math.Log10((tone+noise)/noise)
	case job.QuantitySNR:
		return 10 * math.Log10(tone/(noise*math.Pow(10, -b.level/10)))
	case job.QuantitySINAD:
		return 10 * math.Log10((tone+rest)/rest)
	case job.QuantityDistortion:
		return d
	case job.QuantityAudioPower:
		return math.Pow(s.volts*(1+b.volts), 2) / (8 * (1 + b.load))
	case job.QuantityDeviation:
		return s.deviation / (1 + b.modulation) * math.Pow(10, b.reconnect/20)
	}
	return math.NaN()
}

// Random benches, each instrument off by its assumed tolerance at most, against what is
// assumed: the truth lies in 95 of a hundred intervals of every figure at least and a
// limit that the set really misses is passed by 2.5 of a hundred at most. Narrowed by 30 %
// the intervals lose it.
func TestRandomBenches(t *testing.T) {
	n := 1000
	if os.Getenv("HISSPOINT_LONG") == "1" {
		n = 20000
	}
	kinds := map[string]string{job.QuantityHumNoise: job.KindHumNoise, job.QuantitySNR: job.KindDistortion, job.QuantitySINAD: job.KindDistortion,
		job.QuantityDistortion: job.KindDistortion, job.QuantityAudioPower: job.KindAudioPower, job.QuantityDeviation: job.KindDeviation}
	lost := 0
	for _, name := range slices.Sorted(maps.Keys(kinds)) {
		r := rand.New(rand.NewPCG(16, uint64(len(name))))
		inside, narrow, wrong := 0, 0, 0
		for range n {
			s := set{noise: math.Pow(10, -2-2*r.Float64()), harmonic: 0.5 + 3*r.Float64(), deviation: 2000, volts: 4, phase: cmplx.Rect(1, 2*math.Pi*r.Float64())}
			truth, got := s.read(name, bench{}), s.read(name, drawBench(r))
			unitName := map[string]string{job.QuantityDistortion: "%", job.QuantityAudioPower: "W", job.QuantityDeviation: "Hz"}[name]
			if unitName == "" {
				unitName = "dB"
			}
			f := analyze.NewReading(name, unitName, got, got*(1-1e-6), got*(1+1e-6))
			if name == job.QuantityDeviation { // as the analysis joins the reference
				f = f.Sharing(0.1 / math.Sqrt(3) * got)
			}
			m := analyze.Measured{Rate: 48000, Filter: job.Filter{Name: job.SpeechBand}, Readings: []analyze.Reading{
				{Name: analyze.THD, Unit: "%", Value: s.read(job.QuantityDistortion, bench{})}, {Name: analyze.SINAD, Unit: "dB", Value: s.read(job.QuantitySINAD, bench{})}}}
			level := unit.DBm(-90)
			setup := job.Setup{Kind: kinds[name], Mode: job.FM, Stanza: job.Stanza{Level: level, LevelTyped: "-90 dBm"}, Reading: job.Reading{FullScaleVolts: 8, LoadOhms: 8}}.Assume()
			res := WidenResult(analyze.Result{Setup: setup, Figures: []analyze.Reading{f}, Rows: []analyze.Used{{Measured: m}}})
			w := res.Get(name)
			require.True(t, w.HasInterval(), name)
			if w.Low <= truth && truth <= w.High {
				inside++
			}
			if d := truth - w.Value; 0.7*(w.Low-w.Value) <= d && d <= 0.7*(w.High-w.Value) {
				narrow++
			}
			lim := job.Limit{Quantity: name, Bound: job.AtLeast, Value: truth + 1e-9, Unit: unitName} // which the set just misses
			if v := Judge(w.Value, w.Low, w.High, true, "", lim, job.Guarded); v.Outcome == Pass {
				wrong++
			}
		}
		share := func(k int) float64 { return 100 * float64(k) / float64(n) }
		t.Logf("%s: holds %.1f %%, narrowed %.1f %%, wrong passes %.1f %%", name, share(inside), share(narrow), share(wrong))
		assert.GreaterOrEqual(t, share(inside), 95.0, name)
		assert.LessOrEqual(t, share(wrong), 2.5, name)
		if share(narrow) < 95 {
			lost++
		}
	}
	assert.GreaterOrEqual(t, lost, 5, "figures whose intervals, narrowed by 30 %, no longer hold")
}

// Each sensitivity against the same bench with that input alone off by a little.
func TestSensitivityCoefficients(t *testing.T) {
	s := set{noise: 1e-3, harmonic: 1, deviation: 2000, volts: 4, phase: 1}
	for _, c := range []struct {
		name  string
		in    job.Input
		off   bench
		half  float64 // of the input, in its unit
		exact bool    // else the table's is a bound
	}{
		{job.QuantityHumNoise, job.InputModulation, bench{modulation: 0.01}, 1, true},
		{job.QuantitySINAD, job.InputModulation, bench{modulation: 0.01}, 1, false},
		{job.QuantitySNR, job.InputLevel, bench{level: 0.1}, 0.1, true},
		{job.QuantitySINAD, job.InputLevel, bench{level: 0.1}, 0.1, false},
		{job.QuantitySNR, job.InputCardFlat, bench{low: 0.1, high: 0.1}, 0.1, true},
		{job.QuantityDistortion, job.InputToneTHD, bench{tone: 0.1}, 0.1, true},
		{job.QuantitySINAD, job.InputToneTHD, bench{tone: 0.1}, 0.1, true},
		{job.QuantityAudioPower, job.InputVolts, bench{volts: 0.01}, 1, true},
		{job.QuantityAudioPower, job.InputLoad, bench{load: 0.01}, 1, true},
		{job.QuantityDeviation, job.InputModulation, bench{modulation: 0.01}, 1, true},
		{job.QuantityDeviation, job.InputReconnect, bench{reconnect: 0.1}, 0.1, true},
	} {
		moved := math.Abs(s.read(c.name, c.off) - s.read(c.name, bench{}))
		m := analyze.Measured{Filter: job.Filter{Name: job.SpeechBand}, Readings: []analyze.Reading{{Name: analyze.THD, Unit: "%", Value: s.harmonic}, {Name: analyze.SINAD, Unit: "dB", Value: s.read(job.QuantitySINAD, bench{})}}}
		unitName := map[string]string{job.QuantityAudioPower: "W"}[c.name]
		f := asked{analyze.Result{Setup: job.Setup{Mode: job.FM, Stanza: job.Stanza{Level: unit.DBm(-90), LevelTyped: "-90 dBm"}}, Rows: []analyze.Used{{Measured: m}}},
			analyze.Exact(c.name, unitName, s.read(c.name, bench{}), "")}
		found := false
		for _, a := range equations[c.name].acts {
			if a.in != c.in {
				continue
			}
			found = true
			by := math.Abs(a.moves(f, c.half))
			if c.exact {
				assert.InEpsilon(t, moved, by, 0.04, "%s by %s", c.name, c.in)
			} else {
				assert.GreaterOrEqual(t, by, 0.98*moved, "%s by %s", c.name, c.in)
			}
		}
		assert.True(t, found, "%s by %s", c.name, c.in)
	}
}
