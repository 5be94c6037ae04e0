// Package beside compares the noise close to a tone with the noise around it.
//
// The noise of a receiver is even across the few hundred hertz around a tone. A noise
// suppressor opens where a tone stands: it lets the noise within its resolution
// through, and takes away what lies further off. A line enhancer does the same by
// adaptation. One that takes a steady tone for noise leaves a hole there instead.
// All of this stays after such processing has settled.
//
// An automatic gain that follows noise puts noise beside the tone as well, but in phase
// with it alone, and an oscillator does across it; a suppressor lets both through alike.
package beside

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
)

// Densities are those of the noise around a tone, in stretches of frequency counted
// from it, mean square a hertz.
type Densities struct {
	Along, Across float64 // 20 to 80 Hz away, in phase with the tone and across it: alike in additive noise
	Below, Above  float64 // 100 to 250 Hz
	Lower, Higher float64 // 250 or 300 to 600 or 650 Hz
	Away          float64 // 900 to 1900 Hz above
	Line          float64 // at the tone, of a straight line in dB over the logarithm of frequency through Lower and Higher; 0 for tones too low for it
}

// Reach is how far below the tone densities are read, in Hz; above it is three times that.
const Reach = 640

// oneSided is the frequency in Hz under which the stretches below the tone are left
// out: there hum and sub-audible tones stand, and filters cut.
const oneSided = 350

// lineFrom is the frequency in Hz of a tone below which Lower reaches to where sets cut their sound.
const lineFrom = 900

// Around reads the densities around a tone of that frequency from p, the spectrum at k
// step Hz with the tone taken out. A stretch beyond p is 0.
func Around(p []float64, step, tone float64) Densities {
	of := func(from, to float64) float64 { return between(p, step, tone+from, tone+to) }
	d := Densities{Above: of(100, 250), Higher: of(300, 650), Away: of(900, 1900)}
	if tone < oneSided {
		d.Below, d.Lower = d.Above, d.Higher
		return d
	}
	d.Below, d.Lower = of(-250, -100), of(-600, -300)
	if tone >= lineFrom && d.Lower > 0 && d.Higher > 0 {
		down, up := -math.Log(1-450/tone), math.Log(1+475/tone)
		d.Line = math.Pow(math.Pow(d.Lower, up)*math.Pow(d.Higher, down), 1/(up+down))
	}
	return d
}

// Near is the density close to the tone of one part of the noise, in phase or across,
// from its spectrum at k step Hz from the tone.
func Near(p []float64, step float64) float64 { return between(p, step, 20, 80) }

func between(p []float64, step, from, to float64) float64 {
	first, last := int(math.Ceil(from/step)), int(to/step)
	if first < 1 || last >= len(p) {
		return 0
	}
	each := max(1, (last+1-first)/mostCells)
	var cells []float64
	for k := first; k <= last; k += each {
		cells = append(cells, p[k])
	}
	return density(cells)
}

// mostCells scatter by 2.6 % together: more of a stretch would tell no more.
const mostCells = 1500

// cut is how far above the mean a cell counts in full: of noise, whose cells are
// exponential, e^-cut lie beyond; a line that was left in counts as one such cell.
const cut = 7

// density is the mean of cells of noise that lines may stand in, which it sorts. Of exponential cells
// of mean m the median is m ln 2, and the mean cut off at c m is m (1 - e^-c).
func density(cells []float64) float64 {
	if len(cells) == 0 {
		return 0
	}
	sorted := cells
	slices.Sort(sorted)
	most := cut * sorted[len(sorted)/2] / math.Ln2
	at, _ := slices.BinarySearch(sorted, most)
	sum := floats.Sum(sorted[:at]) + most*float64(len(sorted)-at)
	return sum / float64(len(sorted)) / (1 - math.Exp(-cut))
}

// Plus adds another stretch of sound of the weight w.
func (d Densities) Plus(o Densities, w float64) Densities {
	return Densities{d.Along + w*o.Along, d.Across + w*o.Across, d.Below + w*o.Below, d.Above + w*o.Above, d.Lower + w*o.Lower, d.Higher + w*o.Higher, d.Away + w*o.Away, d.Line + w*o.Line}
}

// Lifted are the cells as they were at least before a suppressor took noise away from
// all but those near the tone: smoothed over wide cells, and none below the density
// near the tone.
func Lifted(cells []float64, wide int, near float64) []float64 {
	out := make([]float64, len(cells))
	sum, from, to := 0.0, 0, 0
	for i := range cells {
		for to < min(len(cells), i+wide/2+1) {
			sum += cells[to]
			to++
		}
		for from < i-wide/2 {
			sum -= cells[from]
			from++
		}
		out[i] = math.Max(near, sum/float64(to-from))
	}
	return out
}

// What the densities show.
const (
	Even  = iota
	Dense // noise stands up at the tone and is missing beside it
	Hole  // noise is missing at the tone
)

const (
	leastDB  = 1.5
	sigmas   = 5
	broadDB  = 5 // by which noise stands above that further off, where short frames smear it
	filterDB = 5 // by which noise falls away from that in a narrow audio filter
)

// Verdict is what a stretch of sound shows.
type Verdict struct {
	Shape  int
	DB     float64 // by which the noise at the tone stands above that beside it; of a hole, lies below it
	Filter bool    // the noise falls off further away: it may be a narrow filter before the tone
}

// Floor is the density of the noise at the tone without what a gain or an oscillator
// adds.
func (d Densities) Floor() float64 { return math.Min(d.Along, d.Across) }

// Judge tells what the densities of so many seconds show. A density of noise over B Hz
// and T s under a Hann window scatters by sqrt(1.5 / (B T)) of itself, that at the tone
// over 120 Hz and that beside it over 300 Hz; a difference of 1.5 dB and of five times the scatter
// of their ratio stands out. A gain or an oscillator that moves adds noise at the tone, so a
// peak is judged by the lesser part alone. A limiter takes the part along the tone away, so a
// hole is judged by both, and the greater has to show half of it. Frames of 20 ms and bands that share
// their gain make a hole wider than the noise beside the tone, so it is held against what lies beyond as well,
// and has to show a third of itself beside the tone. A straight line over the tone reads a receiver's noise right or,
// where filters cut, too low; flat noise and that of a discriminator together bend it by 0.6 dB the other way.
func (d Densities) Judge(seconds float64) Verdict {
	least, most, mean := d.Floor(), math.Max(d.Along, d.Across), (d.Along+d.Across)/2
	if least <= 0 || d.Below+d.Above <= 0 || seconds <= 0 {
		return Verdict{}
	}
	sigma := 10 / math.Ln10 * math.Sqrt(1.5/(120*seconds)+1.5/(300*seconds))
	stands := math.Max(leastDB, sigmas*sigma)
	falls := d.Away > 0 && db(d.Higher, d.Away) > filterDB
	around := (d.Below + d.Above) / 2
	beyond := math.Max(around, d.Line)
	if n := db(mean, beyond); n <= -stands && db(most, beyond) <= -stands/2 && db(mean, around) <= -stands/3 {
		return Verdict{Shape: Hole, DB: -n}
	}
	if n := db(least, around); n >= stands {
		return Verdict{Shape: Dense, DB: n, Filter: falls}
	}
	if far := math.Max(d.Lower, d.Higher); d.Away > 0 && far > 0 && !falls && db(least, far) >= broadDB {
		return Verdict{Shape: Dense, DB: db(least, far)}
	}
	return Verdict{}
}

func db(a, b float64) float64 { return 10 * math.Log10(a/b) }
