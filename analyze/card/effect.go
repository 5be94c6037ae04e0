package card

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Effect is what a sound card may have done to what was read of a recording.
// Its noise is independent of the set's and adds to it as power:
//
//	Pread = Pset + share Pcard, share from 0 to 1
//
// since its noise in this recording is that of its qualification at most (a
// loop-back holds its output's as well). So noise reads too high, and SINAD too
// low, by nothing up to -10 log10(1 - Pcard/Pread) dB, and never the other way:
// with the card 10 dB below the set's own noise by 0.41 dB. Lines of one frequency
// (hum, harmonics) add as voltages of unknown phase, so they err both ways.
// Domain: all in dB, not below 0; Known is false where nothing is known of the
// card at the recording's rate, and all is 0.
type Effect struct {
	Known      bool
	Noise      float64 // dB by which noise reads too high at most, hum left out
	Rest       float64 // the same of noise and hum, all that passes the filter beside a tone
	SINAD      float64 // dB by which SINAD reads too low at most
	Hum        float64 // half-width in dB by which hum reads wrong
	RestByHum  float64 // half-width in dB that the hum that passes the filter makes of all that does beside a tone, and so of SINAD
	Distortion float64 // half-width in percent by which THD reads wrong
	SINADByTHD float64 // half-width in dB that distortion makes of SINAD
}

// mostCardShare is the largest share of what is read that is taken as the card's:
// beyond it an interval of 40 dB says that there is no telling.
const mostCardShare = 0.9999

// cardRaises is by how many dB power reads too high at most that holds the card's.
func cardRaises(card, read float64) float64 {
	return -10 * math.Log10(1-math.Min(mostCardShare, math.Pow(10, (card-read)/10)))
}

// mostCardVoltage is the like of mostCardShare for lines of one frequency.
const mostCardVoltage = 0.9

// voltages is by how many dB a line reads wrong at most that another of the same
// frequency is part of: -20 log10(1 - c/r), the larger of both directions.
func voltages(card, read float64) float64 {
	return -20 * math.Log10(1-math.Min(mostCardVoltage, math.Pow(10, (card-read)/20)))
}

// On is what a card may have done to a recording; nil: no card is known.
func On(q *job.Qualified, m analyze.Measured) (e Effect) {
	if q == nil || q.Card.RateHz != m.Rate {
		return e
	}
	c := q.Card
	noise, known := levelThrough(c.NoiseDBFS, m.Filter)
	if !known {
		return e
	}
	e.Known = true
	if r := m.Get(analyze.NoiseLevel); r.OK() {
		e.Noise = cardRaises(noise, r.Value)
	}
	rest, has := restDBFS(m)
	if has {
		e.Rest = cardRaises(cardRest(c, m.Filter, noise), rest)
	}
	hum := m.Get(analyze.HumLevel)
	if c.HumDBFS != nil && hum.OK() {
		e.Hum = voltages(*c.HumDBFS, hum.Value)
		if own, passes := humThrough(c, m.Filter, noise); has && passes {
			e.RestByHum = crossTerm(own, math.Min(hum.Value, rest), rest)
		}
	}
	if m.Get(analyze.THD).OK() {
		e.Distortion = c.DistortionPC
	}
	if s := m.Get(analyze.SINAD); s.OK() && has {
		e.SINAD = lessSINAD(s.Value, e.Rest)
		if tone, d := m.Get(analyze.ToneLevel), m.Get(analyze.THD); tone.OK() && d.OK() && d.Value > 0 && c.DistortionPC > 0 {
			e.SINADByTHD = crossTerm(tone.Value+unit.VoltageDB(c.DistortionPC/100), tone.Value+unit.VoltageDB(d.Value/100), rest)
		}
	}
	return e
}

// lessSINAD is by how many dB SINAD reads too low where noise and distortion read
// too high by so many. SINAD is (S+ND)/ND, so the true one is 1 + S/(ND less the card).
func lessSINAD(sinad, raised float64) float64 {
	s := math.Pow(10, sinad/10) - 1
	return 10*math.Log10(1+s*math.Pow(10, raised/10)) - sinad
}

// crossTerm is by how many dB a power reads wrong at most where two voltages of
// unknown phase are in it, levels in dB: -10 log10(1 - 2 sqrt(a b)/all), the larger
// of both directions.
func crossTerm(a, b, all float64) float64 {
	return -10 * math.Log10(1-math.Min(mostCardVoltage, 2*math.Pow(10, ((a+b)/2-all)/10)))
}

// levelThrough is a card's level through a filter. A band of one's own holds no
// more than the named filter around it.
func levelThrough(levels map[string]float64, f job.Filter) (float64, bool) {
	name := f.String()
	if f.Name == job.Band {
		name = job.Wide
		if f.Low >= 300 && f.High <= 3400 {
			name = job.SpeechBand
		}
	}
	v, ok := levels[name]
	return v, ok
}

// cardRest is a card's noise and hum through a filter. Where a qualification does
// not say it, its whole hum is taken to pass.
func cardRest(c job.Card, f job.Filter, noise float64) float64 {
	if v, ok := levelThrough(c.RestDBFS, f); ok {
		return math.Max(v, noise)
	}
	if c.HumDBFS == nil {
		return noise
	}
	return 10 * math.Log10(math.Pow(10, noise/10)+math.Pow(10, *c.HumDBFS/10))
}

// humThrough is how much of a card's hum, which is stated unfiltered, passes a
// filter: what noise and hum together have beyond the noise. Where a qualification
// does not say that, all of it is taken to pass.
func humThrough(c job.Card, f job.Filter, noise float64) (dBFS float64, passes bool) {
	rest, ok := levelThrough(c.RestDBFS, f)
	if !ok {
		return *c.HumDBFS, true
	}
	lines := math.Pow(10, rest/10) - math.Pow(10, noise/10)
	return math.Min(*c.HumDBFS, 10*math.Log10(lines)), lines > 0
}

// restDBFS is the level of all that passes the filter beside a tone.
func restDBFS(m analyze.Measured) (float64, bool) {
	tone, sinad := m.Get(analyze.ToneLevel), m.Get(analyze.SINAD)
	switch o := m.Kept.Output; {
	case o.Name != "" && o.OK() && sinad.OK():
		return o.Value - sinad.Value, true
	case tone.OK() && sinad.OK():
		return tone.Value - 10*math.Log10(math.Max(1e-9, math.Pow(10, sinad.Value/10)-1)), true
	case tone.OK(): // beside it, but nothing that could be told
		return 0, false
	case o.Name != "" && o.OK():
		return o.Value, true
	}
	n := m.Get(analyze.NoiseLevel)
	return n.Value, n.OK()
}

// OnPoint is by how many dB of RF a point of a series reads too high at most,
// since the card's noise makes the set look less sensitive than it is: what the
// card takes from the criterion's quantity where the series crosses it, straight
// between the levels around, over the slope there.
func OnPoint(r analyze.Result) float64 {
	p := r.Point
	q := r.Setup.Reading.Card
	if p == nil || p.Status != analyze.Found || p.Slope <= 0 || q == nil {
		return 0
	}
	var below, above *analyze.Used
	for i := range r.Rows {
		row := &r.Rows[i]
		if row.Level.Scale == unit.Off || !r.WorthOf(*row).OK() {
			continue
		}
		if row.Level.DB <= p.Level.DB {
			below = row
		} else if above == nil {
			above = row
		}
	}
	switch {
	case below == nil && above == nil:
		return 0
	case below == nil:
		below = above
	case above == nil:
		above = below
	}
	a, b := OnRow(r, *below), OnRow(r, *above)
	u := 0.0
	if d := above.Level.DB - below.Level.DB; d > 0 {
		u = (p.Level.DB - below.Level.DB) / d
	}
	return (a + u*(b-a)) / p.Slope
}

// OnRow is by how many dB the criterion's quantity reads too low at most.
func OnRow(r analyze.Result, row analyze.Used) float64 {
	q := r.Setup.Reading.Card
	own := On(q, row.Measured)
	switch r.Setup.Criterion.Quantity {
	case job.QuantityQuieting:
		if hiss := r.Hiss(); hiss != nil {
			return math.Max(0, own.Rest-On(q, hiss.Measured).Rest)
		}
		return own.Rest
	case job.QuantitySNN:
		most := own.SINAD // an SSB set: the tone against the rest of one recording
		for _, o := range r.Rows {
			without := o.Take.State == job.StateCarrier && o.Level == row.Level || o.Level.Scale == unit.Off
			if without && !o.Measured.Get(analyze.ToneLevel).OK() {
				most = math.Max(most, On(q, o.Measured).Rest)
			}
		}
		return most
	}
	return own.SINAD
}
