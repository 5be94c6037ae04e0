package mains

import (
	"math"
	"math/rand/v2"

	"hisspoint/analyze/internal/lines"
	"hisspoint/capture/dft"
)

// testRate is as low as the lines of the mains allow: the mathematics knows bins only.
const testRate = 2000.0

// toned are standard sub-audible tones (TIA-603, from memory).
var toned = []float64{
	67.0, 69.3, 71.9, 74.4, 77.0, 79.7, 82.5, 85.4, 88.5, 91.5, 94.8, 97.4, 100.0, 103.5, 107.2, 110.9, 114.8,
	118.8, 123.0, 127.3, 131.8, 136.5, 141.3, 146.2, 151.4, 156.7, 159.8, 162.2, 165.5, 167.9, 171.3, 173.8, 177.3,
	179.9, 183.5, 186.2, 189.9, 192.8, 196.6, 199.5, 203.5, 206.5, 210.7, 218.1, 225.7, 229.1, 233.6, 241.8, 250.3, 254.1,
}

// sound is a signal in closed form.
type sound []float64

func silence(seconds float64) sound { return make(sound, int(seconds*testRate)) }

// white adds white noise: mean square a hertz.
func (s sound) white(r *rand.Rand, density float64) sound {
	sd := math.Sqrt(density * testRate / 2)
	for i := range s {
		s[i] += sd * r.NormFloat64()
	}
	return s
}

// line adds a line of a level in dBFS.
func (s sound) line(hz, dBFS, phase float64) sound {
	a := math.Pow(10, dBFS/20)
	for i := range s {
		s[i] += a * math.Cos(2*math.Pi*math.Mod(hz*float64(i)/testRate, 1)+phase)
	}
	return s
}

func (s sound) find(mains float64) Family {
	in := s.input(mains)
	return in.Find()
}

func (s sound) input(mains float64) Input {
	m := dft.Smooth(len(s))
	x := make([]float64, m)
	copy(x, s)
	return Input{Spectrum: &lines.Spectrum{R: dft.Forward(nil, x), N: len(s), M: m}, Rate: testRate, Mains: mains, Standard: toned}
}

// read measures a sound in stretches of 5.5 s at most, as long recordings are.
func (s sound) read(mains float64) Level {
	n := int(math.Ceil(float64(len(s)) / testRate / 5.5))
	var fs []Family
	var shares []float64
	for i := range n {
		part := s[i*len(s)/n : (i+1)*len(s)/n]
		fs = append(fs, part.find(mains))
		shares = append(shares, float64(len(part))/float64(len(s)))
	}
	return Join(fs, shares)
}

func power(dBFS float64) float64 { return math.Pow(10, dBFS/10) / 2 }
func db(p float64) float64       { return 10 * math.Log10(2*p) }

// noiseAt is the density of noise so many dB below a tone of -20 dBFS in a band of 3.1 kHz.
func noiseAt(dB float64) float64 { return power(-20-dB) / 3100 }

// family draws so many lines of -66 to -46 dBFS on orders 1 to 8, one of them the first or
// the second, on mains of 50 or 60 Hz that are off by up to an eighth of a hertz.
type drawn struct {
	hz     float64
	orders map[int]float64 // dBFS
}

func draw(r *rand.Rand, n int) drawn {
	d := drawn{hz: []float64{50, 60}[r.IntN(2)] + (r.Float64()-0.5)/4, orders: map[int]float64{}}
	for k := 1 + r.IntN(2); len(d.orders) < n; k = 1 + r.IntN(8) {
		d.orders[k] = -66 + 20*r.Float64()
	}
	return d
}

func (d drawn) power() float64 {
	sum := 0.0
	for _, l := range d.orders {
		sum += power(l)
	}
	return sum
}

func (s sound) family(r *rand.Rand, d drawn) sound {
	for k := 1; k <= 12; k++ {
		if l, ok := d.orders[k]; ok {
			s.line(float64(k)*d.hz, l, 2*math.Pi*r.Float64())
		}
	}
	return s
}
