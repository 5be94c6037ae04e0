package limit

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/budget"
	"hisspoint/analyze/card"
	"hisspoint/analyze/response"
	"hisspoint/capture/job"
)

// Names of what a sound card contributes, as the JSON of a point has them.
const (
	ShareCardNoise   = "card_noise"   // one-sided
	ShareCardReading = "card_reading" // typed in place of a qualification
)

// Names of contributions in budgets.
const (
	cardNoise      = "sound card's noise"
	cardNoiseHum   = "sound card's noise and hum"
	cardHum        = "sound card's hum"
	cardDistortion = "sound card's distortion"
	cardResponse   = "sound card's response"
	cardReading    = "sound card, as typed"
)

// cardOfPoint are the contributions of the sound card to a sensitivity point, in
// dB of RF: its noise only makes a set look less sensitive, so the point may lie
// lower than was read and not higher; what was typed in dB of a reading errs both
// ways. Both go through the slope of the series at the point.
func cardOfPoint(r analyze.Result) (b budget.Budget) {
	p := r.Point
	if p.Status != analyze.Found || p.Slope <= 0 {
		return nil
	}
	if high := card.OnPoint(r); high > 0 {
		b = append(b, ofCard(budget.OneSided(cardNoise, high, -1)))
	}
	if dB := r.Setup.Reading.CardDB; dB > 0 {
		c := budget.Rectangular(cardReading, dB)
		c.Unit, c.Sensitivity = "dB of reading", 1/p.Slope
		b = append(b, ofCard(c))
	}
	return b
}

func ofCard(c budget.Contribution) budget.Contribution {
	c.Card = true
	return c
}

// cardOf are the contributions of a qualified sound card to a figure of any other test,
// in the figure's own unit, and what was typed in its place. What is independent of the
// set's own (noise) only makes a figure worse, so the true one lies on its better side;
// what is of one frequency with it (hum, harmonics) errs both ways.
func cardOf(r analyze.Result, f analyze.Reading) (b budget.Budget) {
	if !f.OK() {
		return nil
	}
	if of := equations[f.Name].card; of != nil {
		b = of(asked{r, f}, effects(r, f))
	}
	b = append(b, unevenness(r, f)...)
	if dB := r.Setup.Reading.CardDB; dB > 0 {
		switch {
		case f.Unit == "dB" || f.Unit == "dBFS":
			b = append(b, budget.Rectangular(cardReading, dB))
		case isDistortion(f.Name):
			b = append(b, budget.Rectangular(cardReading, f.Value*(math.Pow(10, dB/20)-1)))
		}
	}
	return ofUnit(b, f.Unit)
}

// ofUnit are a card's contributions in a figure's unit, as far as there are any.
func ofUnit(all budget.Budget, unitName string) (b budget.Budget) {
	for _, c := range all {
		if c.HalfWidth > 0 {
			c.Unit = unitName
			b = append(b, ofCard(c))
		}
	}
	return b
}

// What a qualified card does to a figure.

func noiseOnly(_ asked, e card.Effect) budget.Budget {
	return budget.Budget{budget.OneSided(cardNoise, e.Noise, +1)}
}

func humOnly(_ asked, e card.Effect) budget.Budget {
	return budget.Budget{budget.UShaped(cardHum, e.Hum)}
}

func restAndHum(noise string) func(asked, card.Effect) budget.Budget {
	return func(f asked, e card.Effect) budget.Budget {
		worse := e.Rest
		if f.own.Name == job.QuantitySNN {
			worse = math.Max(e.Rest, e.SINAD)
		}
		return budget.Budget{budget.OneSided(noise, worse, +1), budget.UShaped(cardHum, e.RestByHum)}
	}
}

func sinadOf(_ asked, e card.Effect) budget.Budget {
	return budget.Budget{budget.OneSided(cardNoise, e.SINAD, +1), budget.UShaped(cardHum, e.RestByHum), budget.UShaped(cardDistortion, e.SINADByTHD)}
}

// thdnOf is in percent what sinadOf is in dB.
func thdnOf(f asked, e card.Effect) budget.Budget {
	more := func(dB float64) float64 { return f.own.Value * (math.Pow(10, dB/20) - 1) }
	return budget.Budget{budget.OneSided(cardNoise, f.own.Value*(1-math.Pow(10, -e.SINAD/20)), -1),
		budget.UShaped(cardHum, more(e.RestByHum)), budget.UShaped(cardDistortion, more(e.SINADByTHD))}
}

func distorted(_ asked, e card.Effect) budget.Budget {
	return budget.Budget{budget.UShaped(cardDistortion, e.Distortion)}
}

// peakOf: a peak that is put together from harmonics moves by no more than their sum.
func peakOf(f asked, _ card.Effect) budget.Budget {
	return budget.Budget{budget.UShaped(cardDistortion, f.own.Value*distortionOf(f.r)/100)}
}

func isDistortion(name string) bool {
	switch name {
	case job.QuantityDistortion, analyze.THDN, job.FigureEvenHarmonics, job.FigureOddHarmonics, job.FigureLeastTHD:
		return true
	}
	return false
}

// distortionOf is the card's distortion in percent, where it was qualified at the
// rate of the test's recordings.
func distortionOf(r analyze.Result) (percent float64) {
	for _, u := range r.Rows {
		percent = math.Max(percent, card.On(r.Setup.Reading.Card, u.Measured).Distortion)
	}
	return percent
}

// effects are the largest that the card has on the recordings that a figure comes
// from: those without modulation for what is held against the audio, else all.
func effects(r analyze.Result, f analyze.Reading) (most card.Effect) {
	carrier := false
	for _, u := range r.Rows {
		carrier = carrier || u.Take.State == job.StateCarrier
	}
	nearest := math.Inf(1)
	for _, u := range r.Rows {
		if carrier && u.Take.State != job.StateCarrier {
			continue
		}
		e := card.On(r.Setup.Reading.Card, u.Measured)
		if f.Name == job.QuantityOpening { // the SINAD of the step at which it opened
			if s := u.Measured.Get(analyze.SINAD); s.OK() && math.Abs(s.Value-f.Value) < nearest {
				nearest, most = math.Abs(s.Value-f.Value), e
			}
			continue
		}
		most = card.Effect{Known: most.Known || e.Known, Noise: math.Max(most.Noise, e.Noise), Rest: math.Max(most.Rest, e.Rest), SINAD: math.Max(most.SINAD, e.SINAD),
			Hum: math.Max(most.Hum, e.Hum), RestByHum: math.Max(most.RestByHum, e.RestByHum), Distortion: math.Max(most.Distortion, e.Distortion), SINADByTHD: math.Max(most.SINADByTHD, e.SINADByTHD)}
	}
	return most
}

// unevenness is what the card's own response, which is known by its size and sign,
// does to a figure of a response: the analysis has put it into the interval.
func unevenness(r analyze.Result, f analyze.Reading) (b budget.Budget) {
	if r.Response == nil || r.Response.How.Card == nil || !f.HasInterval() {
		return nil
	}
	with, own := r.Response.Figure(f.Name), response.WithoutCard(*r.Response).Figure(f.Name)
	if !with.HasInterval() || !own.HasInterval() {
		return nil
	}
	for _, side := range []struct {
		by      float64
		towards int
	}{{with.High - own.High, +1}, {own.Low - with.Low, -1}} {
		if side.by > 0 {
			c := budget.OneSided(cardResponse, side.by, side.towards)
			c.Unit = f.Unit
			b = append(b, ofCard(c))
		}
	}
	return b
}

// widened is a figure with contributions in its interval: those that err both ways
// as root-sum-square, 1.96 times, those of one direction as they are on their side.
func widened(f analyze.Reading, b budget.Budget) analyze.Reading {
	more := b.Expanded()
	up, down := b.Beyond()
	if !f.HasInterval() || more == 0 && up == 0 && down == 0 {
		return f
	}
	low, high := f.Value-math.Hypot(f.Value-f.Low, more)-down, f.Value+math.Hypot(f.High-f.Value, more)+up
	if f.Unit == "%" && f.Low >= 0 || f.Unit == "W" || f.Unit == "V" {
		low = math.Max(0, low)
	}
	f.Low, f.High = low, high
	return f
}

// WidenChange is the change of a figure (after less before) with what the rounds
// brought along beside their scatter. What one instrument contributes to both cancels
// but for the difference; what two cards contribute does not.
func WidenChange(c analyze.Reading, before, after budget.Budget, oneCard bool) analyze.Reading {
	shared := func(x budget.Contribution) bool { return x.Bench || x.Card && oneCard }
	sharedBefore, ownBefore := parted(before, shared)
	sharedAfter, ownAfter := parted(after, shared)
	c = widenedBothWays(c, append(append(apartBy(sharedBefore, sharedAfter), ownBefore...), ownAfter...))
	up, down := sharedAfter.Beyond()
	beforeUp, beforeDown := sharedBefore.Beyond()
	c = sided(c, math.Max(0, up-beforeUp)+math.Max(0, beforeDown-down), math.Max(0, beforeUp-up)+math.Max(0, down-beforeDown))
	up, down = ownAfter.Beyond()
	beforeUp, beforeDown = ownBefore.Beyond()
	return sided(c, up+beforeDown, down+beforeUp)
}

func parted(b budget.Budget, is func(budget.Contribution) bool) (those, others budget.Budget) {
	for _, c := range b {
		if is(c) {
			those = append(those, c)
		} else {
			others = append(others, c)
		}
	}
	return those, others
}

// apartBy is by how much contributions of each name differ.
func apartBy(before, after budget.Budget) (b budget.Budget) {
	left := append(budget.Budget(nil), before...)
	for _, x := range after {
		for i, was := range left {
			if was.Name == x.Name && was.Towards == x.Towards {
				x.HalfWidth = math.Abs(x.HalfWidth - was.HalfWidth*was.Sensitivity/x.Sensitivity)
				left = append(left[:i:i], left[i+1:]...)
				break
			}
		}
		b = append(b, x)
	}
	return append(b, left...)
}

func widenedBothWays(c analyze.Reading, b budget.Budget) analyze.Reading {
	more := b.Expanded()
	if c.HasInterval() && more > 0 {
		c.Low, c.High = c.Value-math.Hypot(c.Value-c.Low, more), c.Value+math.Hypot(c.High-c.Value, more)
	}
	return c
}

func sided(c analyze.Reading, up, down float64) analyze.Reading {
	if c.HasInterval() {
		c.Low, c.High = c.Low-down, c.High+up
	}
	return c
}

// ChangeShares are what a figure brings into a change beside its scatter. The change of
// a point is how much lower it lies: generator, pad, mismatch and what was typed beside
// the test are taken as shared by both rounds.
func ChangeShares(r analyze.Result, f analyze.Reading) budget.Budget {
	if r.Point == nil {
		return joining(r, f)
	}
	f.Name = job.QuantitySensitivity
	b := append(cardOfPoint(r), actsOf(asked{r, f}, false)...)
	for i := range b {
		b[i].Towards = -b[i].Towards
	}
	return b
}
