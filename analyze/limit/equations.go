package limit

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/budget"
	"hisspoint/analyze/card"
	"hisspoint/analyze/response"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// asked is a figure whose uncertainty is asked for: with its scatter alone, and the test
// that it is of.
type asked struct {
	r   analyze.Result
	own analyze.Reading
}

// act is an input of a measurement equation: by how much the figure moves, in its own
// unit, where the input is off by the half-width of its tolerance.
type act struct {
	in     job.Input
	moves  func(f asked, half float64) float64
	phased bool // voltages of one frequency and of unknown phase: u-shaped
	apart  bool // not the same in both rounds of a job
	joined bool // the analysis has it in the figure's interval already
}

// equation says how a figure comes about and what acts on it beside the set.
type equation struct {
	formula string
	acts    []act
	card    func(f asked, e card.Effect) budget.Budget // what a qualified sound card does; nil: nothing
}

// The inputs as they act on several figures.
var (
	modulated  = act{in: job.InputModulation, moves: overRest}
	atLevel    = act{in: job.InputLevel, moves: byLevel}
	uneven     = act{in: job.InputCardFlat, moves: byNoise}
	toneTHD    = act{in: job.InputToneTHD, moves: inTHD, phased: true, apart: true}
	cardTHD    = act{in: job.InputCardTHD, moves: inTHD, phased: true}
	monitorTHD = act{in: job.InputMonitorTHD, moves: ofTransmitter(inTHD), phased: true}
	harmonics  = act{in: job.InputCardFlat, moves: inHarmonics}
	restTHD    = act{in: job.InputToneTHD, moves: inSINAD, phased: true, apart: true}
	clock      = act{in: job.InputCardClock, moves: share(1)}
	flat       = []act{{in: job.InputToneFlat, moves: byResponse}, {in: job.InputCardFlat, moves: byResponse}, {in: job.InputMonitorFlat, moves: byResponse}}
	reference  = []act{
		{in: job.InputModulation, moves: share(1), joined: true},
		{in: job.InputMonitorFlat, moves: inPeak}, {in: job.InputCardFlat, moves: inPeak}, {in: job.InputMonitorTHD, moves: share(1), phased: true},
		{in: job.InputCardTHD, moves: share(1), phased: true}, {in: job.InputReconnect, moves: shareOfDB, apart: true}}
	setLevel = []act{{in: job.InputLevel, moves: dB(1), joined: true}, {in: job.InputPad, moves: dB(1), joined: true}}
	output   = []act{{in: job.InputModulation, moves: ofVoltage}, {in: job.InputVolts, moves: inVolts}, {in: job.InputReconnect, moves: ofDecibels, apart: true}}
)

// equations is the table of measurement equations, by the name of the figure. P are powers
// through the filter, A amplitudes of the tone, V volts, t moments. The sensitivity's is
// that of its criterion's quantity, over the slope of the series, and of the level itself.
var equations = map[string]equation{
	job.QuantitySensitivity: {"level on the dial - pad + mismatch, where the series crosses the criterion", []act{
		{in: job.InputLevel, moves: dB(1), joined: true}, {in: job.InputPad, moves: dB(1), joined: true},
		{in: job.InputModulation, moves: overSlope(overRest)}, {in: job.InputToneTHD, moves: overSlope(inSINAD), phased: true, apart: true}, {in: job.InputCardFlat, moves: overSlope(byNoise)}}, nil},

	job.QuantityQuieting:    {"10 log10(P off / P carrier)", []act{atLevel, uneven}, restAndHum(cardNoiseHum)},
	job.FigureQuietingNoise: {"10 log10(P off / P carrier), of the noise alone", []act{atLevel, uneven}, noiseOnly},
	job.FigureNoiseBelow:    {"10 log10(P modulated / P noise)", []act{modulated, uneven}, noiseOnly},
	job.QuantitySNR:         {"10 log10(P tone / P noise)", []act{modulated, atLevel, uneven}, noiseOnly},
	job.QuantitySNN:         {"10 log10(P modulated / P carrier)", []act{modulated, atLevel, uneven}, restAndHum(cardNoise)},
	job.QuantityHumNoise:    {"10 log10(P modulated / P carrier)", []act{modulated, uneven}, restAndHum(cardNoiseHum)},
	job.FigureHumBelow:      {"10 log10(P modulated / P hum)", []act{modulated, uneven}, humOnly},

	job.QuantitySINAD:   {"10 log10(P all / P all but the tone)", []act{modulated, atLevel, restTHD, uneven}, sinadOf},
	job.QuantityOpening: {"10 log10(P all / P all but the tone)", []act{modulated, restTHD, uneven}, sinadOf},
	analyze.THDN:        {"100 10^(-SINAD/20)", []act{{in: job.InputModulation, moves: share(1)}, toneTHD, harmonics}, thdnOf},

	job.QuantityDistortion:   {"100 root(A2^2 + ... + A10^2) / A1", []act{{in: job.InputModulation, moves: share(2)}, toneTHD, monitorTHD, cardTHD, harmonics}, distorted},
	job.FigureEvenHarmonics:  {"100 root(A2^2 + A4^2 + ...) / A1", []act{{in: job.InputModulation, moves: share(1)}, toneTHD, monitorTHD, cardTHD, harmonics}, distorted},
	job.FigureOddHarmonics:   {"100 root(A3^2 + A5^2 + ...) / A1", []act{{in: job.InputModulation, moves: share(2)}, toneTHD, monitorTHD, cardTHD, harmonics}, distorted},
	job.FigureLeastTHD:       {"100 root(A2^2 + ... + A10^2) / A1", []act{{in: job.InputModulation, moves: share(2)}, toneTHD, cardTHD, harmonics}, distorted},
	job.QuantityAudioPower:   {"V^2 / R where the distortion is 10 %", []act{{in: job.InputVolts, moves: inVolts}, {in: job.InputLoad, moves: share(1)}, {in: job.InputToneTHD, moves: atTen(2), phased: true, apart: true}}, nil},
	job.FigureOutputAtTen:    {"V where the distortion is 10 %", []act{{in: job.InputVolts, moves: inVolts}, {in: job.InputToneTHD, moves: atTen(1), phased: true, apart: true}, {in: job.InputReconnect, moves: ofDecibels, apart: true}}, nil},
	job.FigureClippingOnset:  {"V^2 / R, or V, where clipping begins", []act{{in: job.InputVolts, moves: inVolts}, {in: job.InputLoad, moves: wattsOnly}}, nil},
	job.FigureRecoveredAudio: {"level of the tone", output, nil},
	job.FigureRecoveredVolts: {"V of the tone", output, nil},
	analyze.ToneLevel:        {"level of the tone", output, nil},
	analyze.LevelVolts:       {"V of all", output, nil},
	analyze.Power:            {"V^2 / R", append([]act{{in: job.InputLoad, moves: share(1)}}, output...), nil},
	job.FigureHissLevel:      {"level of the hiss", []act{{in: job.InputCardFlat, moves: byNoise}, {in: job.InputReconnect, moves: dB(1), apart: true}}, nil},
	job.FigureHissTilt:       {"slope of the density", []act{{in: job.InputCardFlat, moves: dB(perOctave)}}, nil},

	job.QuantityResponse:                   {"20 log10(A / A at 1 kHz) - nominal", flat, nil},
	job.QuantityResponse + job.FigureLeast: {"20 log10(A / A at 1 kHz) - nominal", flat, nil},
	job.FigureTilt:                         {"slope of the response against the nominal one", flat, nil},
	job.FigureBalance:                      {"lowest band - highest band", flat, nil},
	job.FigureEdgeLow:                      {"where the response falls to -3 dB", flat, nil},
	job.FigureEdgeHigh:                     {"where the response falls to -3 dB", flat, nil},

	job.QuantityAttack:  {"t of 90 % of the audio - t of the signal", []act{clock, {in: job.InputKeying, moves: dB(1), apart: true}}, nil},
	job.QuantityClosing: {"t of the mute - t of the signal's end", []act{clock}, nil},

	job.QuantityDeviation:   {"deviation of the reference A / A of the reference, peak of all harmonics", reference, peakOf},
	job.FigureToneDeviation: {"deviation of the reference A1 / A1 of the reference", reference, nil},
	job.FigureLargerHalf:    {"as the deviation", reference, nil},
	job.FigureSmallerHalf:   {"as the deviation", reference, nil},
	job.FigureLimited:       {"as the deviation", reference, nil},
	job.FigureLimitGain:     {"100 deviation / rated", reference, nil},
	job.QuantityModulation:  {"depth of the reference A / A of the reference, peak of all harmonics", reference, peakOf},
	job.FigureToneDepth:     {"depth of the reference A1 / A1 of the reference", reference, nil},
	job.FigureDepthLarger:   {"as the depth", reference, nil},
	job.FigureDepthLesser:   {"as the depth", reference, nil},
	job.FigureInputFor60:    {"input at which the deviation is 60 % of the rated one", []act{{in: job.InputModulation, moves: inCommon, joined: true}}, nil},

	job.FigureQuietingPoint: {"level on the dial - pad + mismatch", setLevel, nil}, job.FigureSignalNoisePoint: {"level on the dial - pad + mismatch", setLevel, nil},
	job.FigureLimitingOneDB: {"level on the dial - pad + mismatch", setLevel, nil}, job.FigureLimitingThree: {"level on the dial - pad + mismatch", setLevel, nil},
	job.FigureGainSixDB: {"level on the dial - pad + mismatch", setLevel, nil}, job.FigureOpensAt: {"level on the dial - pad + mismatch", setLevel, nil},
	job.FigureClosesAt:  {"level on the dial - pad + mismatch", setLevel, nil},
	job.FigureRejection: {"second signal's level - (wanted level - 3 dB)", []act{{in: job.InputLevel, moves: dB(math.Sqrt2), joined: true}}, nil},
}

// actsOf are the contributions of a figure's equation, as far as their inputs are not
// known exactly. joined: those that the analysis has in the interval already, else the
// others.
func actsOf(f asked, joined bool) (b budget.Budget) {
	for _, a := range equations[f.own.Name].acts {
		t := f.r.Setup.Tolerance(a.in)
		if a.joined != joined || t.Half <= 0 {
			continue
		}
		moves := math.Abs(a.moves(f, t.Half))
		if !finite(moves) || moves == 0 {
			continue
		}
		c := budget.Rectangular(string(a.in), t.Half)
		if a.phased {
			c = budget.UShaped(string(a.in), t.Half)
		}
		c.Unit, c.Sensitivity, c.Assumed, c.Bench = t.Unit, moves/t.Half, t.Assumed, !a.apart
		switch a.in {
		case job.InputCardFlat, job.InputCardTHD, job.InputCardClock, job.InputVolts:
			c.Card, c.Bench = !a.apart, false
		}
		b = append(b, c)
	}
	return b
}

// perOctave is by how many dB an octave a response tilts that is off by 1 dB at 300 and
// at 3000 Hz, the other way at each.
const perOctave = 0.602 // 2/log2(10)

// dB moves with the input, so many of the figure's unit for one of the input's.
func dB(k float64) func(asked, float64) float64 {
	return func(_ asked, half float64) float64 { return k * half }
}

// share moves by so many percent of the figure for a percent of the input.
func share(k float64) func(asked, float64) float64 {
	return func(f asked, percent float64) float64 { return f.own.Value * k * percent / 100 }
}

// shareOfDB moves a deviation or depth by a gain between it and its reference.
func shareOfDB(f asked, dB float64) float64 {
	return f.own.Value * (math.Pow(10, dB/20) - 1)
}

// inCommon is what the analysis has joined by itself.
func inCommon(f asked, _ float64) float64 { return f.own.Common * math.Sqrt(3) }

// overRest is a modulation that is off by so many percent, in a ratio R of all with the
// tone to all without it, in dB: R holds the rest itself, so only (R - 1)/R of it moves,
// by 20 log10(1 + p). The tone of an SSB set comes without modulation.
func overRest(f asked, percent float64) float64 {
	if f.r.Setup.Mode == job.SSB {
		return 0
	}
	ratio := math.Max(1, math.Pow(10, f.own.Value/10))
	return 20 * math.Log10(1+percent/100) * (ratio - 1) / ratio
}

// ofVoltage is a modulation that is off by so many percent, in the level of its tone.
func ofVoltage(f asked, percent float64) float64 {
	if f.r.Setup.Mode == job.SSB {
		return 0
	}
	return ofDecibels(f, 20*math.Log10(1+percent/100))
}

// ofDecibels is a gain that is off by so many dB, in a level in dBFS, in volts or watts.
func ofDecibels(f asked, dB float64) float64 {
	switch f.own.Unit {
	case "V":
		return f.own.Value * (math.Pow(10, dB/20) - 1)
	case "W":
		return f.own.Value * (math.Pow(10, dB/10) - 1)
	}
	return dB
}

// inVolts is a calibration in percent, of figures in volts, and twice that in watts; one
// in dBFS knows nothing of it.
func inVolts(f asked, percent float64) float64 {
	switch f.own.Unit {
	case "V":
		return f.own.Value * percent / 100
	case "W": // the square of a voltage
		return f.own.Value * 2 * percent / 100
	}
	return 0
}

func wattsOnly(f asked, percent float64) float64 {
	if f.own.Unit != "W" {
		return 0
	}
	return f.own.Value * percent / 100
}

func ofTransmitter(of func(asked, float64) float64) func(asked, float64) float64 {
	return func(f asked, half float64) float64 {
		if kind, _ := job.KindOf(f.r.Setup.Kind); !kind.Transmit {
			return 0
		}
		return of(f, half)
	}
}

// inTHD is distortion that comes with the tone: harmonics of unknown phase, in percent.
func inTHD(_ asked, percent float64) float64 { return percent }

// inHarmonics is by how much harmonics, in percent, read wrong where the response is off
// by so many dB at them.
func inHarmonics(f asked, dB float64) float64 { return f.own.Value * (math.Pow(10, dB/20) - 1) }

// inSINAD is what distortion of the tone itself, g percent, makes of SINAD in dB: beside
// harmonics of the set, d percent, the rest n percent of all grows by
// 10 log10(1 + (2 d g + g^2)/n^2) at most.
func inSINAD(f asked, percent float64) float64 {
	rest := 100 * math.Pow(10, -f.own.Value/20)
	set := 0.0
	for _, u := range f.r.Rows {
		if d := u.Measured.Get(analyze.THD); d.OK() && u.Measured.Get(analyze.SINAD).OK() && d.Value < rest {
			set = math.Max(set, d.Value)
		}
	}
	return 10 * math.Log10(1+(2*set*percent+percent*percent)/(rest*rest))
}

// inPeak is what a response makes of a peak that is put together from harmonics: each is
// off by so many dB, and another tone than the reference's is as well.
func inPeak(f asked, dB float64) float64 {
	part := 0.0
	for _, u := range f.r.Rows {
		if d := u.Measured.Get(analyze.THD); d.OK() {
			part = math.Max(part, d.Value/100)
		}
	}
	if len(f.r.Rows) > 1 {
		a, b := f.r.Rows[0].Measured.Get(analyze.ToneFrequency), f.r.Rows[len(f.r.Rows)-1].Measured.Get(analyze.ToneFrequency)
		if a.OK() && b.OK() && math.Abs(math.Log(a.Value/b.Value)) > 0.05 {
			part = 1
		}
	}
	return f.own.Value * part * (math.Pow(10, dB/20) - 1)
}

// byNoise is what a response that is off by up to dB towards the ends of the speech band
// makes of the power of noise in it, against 1 kHz: 0.56 of it where it goes with the
// logarithm of the frequency (the mean of |ln(f/1 kHz)| over white noise, against that at
// 3.4 kHz). Beyond that band it may be all of it, as with hum.
func byNoise(f asked, dB float64) float64 {
	filter := f.r.Setup.Reading.Filter
	for _, u := range f.r.Rows {
		filter = u.Measured.Filter
	}
	switch filter.Name {
	case "", job.SpeechBand, job.Psophometric, job.CMessage:
		return 0.56 * dB
	}
	return dB
}

// strongDBm is the level at the set from which on the noise of the receiver's input no
// longer matters: 100 µV PD.
const strongDBm = -67

// byLevel is what a level that is off makes of a ratio of signal to noise: as the series
// shows it where it has several levels; else dB for dB, as above an FM threshold and of
// AM and SSB sets, or twice that where the figure lies below 15 dB.
func byLevel(f asked, dB float64) float64 {
	var at *analyze.Used
	for i, u := range f.r.Rows {
		if got := u.Get(f.own.Name); got.OK() && got.Value == f.own.Value {
			at = &f.r.Rows[i]
		}
	}
	setup := f.r.Setup
	level, ok := analyze.AtSet(setup, job.Take{})
	if at != nil {
		level, ok = analyze.AtSet(setup, at.Take)
	}
	for _, u := range f.r.Rows {
		if at == nil && !ok {
			level, ok = analyze.AtSet(setup, u.Take)
		}
	}
	switch {
	case !ok || level.Scale != unit.Absolute || level.DB >= strongDBm:
		return 0
	case f.own.Value < 15 && (setup.Mode == job.FM || setup.Mode == ""):
		return 2 * dB
	}
	return dB
}

// atTen is what distortion of the tone itself makes of the output at 10 %: over the climb
// of the distortion there. power is 2 for watts.
func atTen(power float64) func(asked, float64) float64 {
	return func(f asked, percent float64) float64 {
		climb := math.Inf(1) // percent a dB
		rows := f.r.Rows
		for i := range rows {
			for k := range rows {
				a, b := rows[i].Measured.Get(analyze.THD), rows[k].Measured.Get(analyze.THD)
				x, y := rows[i].Measured.Get(analyze.Level), rows[k].Measured.Get(analyze.Level)
				if a.OK() && b.OK() && x.OK() && y.OK() && a.Value < 10 && b.Value >= 10 && y.Value > x.Value {
					climb = math.Min(climb, (b.Value-a.Value)/(y.Value-x.Value))
				}
			}
		}
		if math.IsInf(climb, 1) || climb <= 0 {
			return 0
		}
		if f.own.Unit == "dBFS" {
			return percent / climb
		}
		return f.own.Value * (math.Pow(10, power*percent/climb/20) - 1)
	}
}

// overSlope is what moves the criterion's quantity, as a level: over the slope of the
// series at the point.
func overSlope(of func(asked, float64) float64) func(asked, float64) float64 {
	return func(f asked, half float64) float64 {
		c := f.r.Setup.Criterion
		if f.r.Point == nil || f.r.Point.Slope <= 0 {
			return 0
		}
		if c.Quantity == job.QuantityQuieting && f.own.Name == job.QuantitySensitivity {
			return 0 // no modulation, and one response for both
		}
		at := f
		at.own = analyze.Exact(c.Quantity, "dB", c.Value, "")
		return of(at, half) / f.r.Point.Slope
	}
}

// byResponse is what a response that is off by so many dB at 300 and 3000 Hz makes of a
// figure of a response. The analysis has worked that out for all inputs together, as a
// standard uncertainty; an input has its part of it.
func byResponse(f asked, half float64) float64 {
	in := f.r.Setup.ResponseKnownDB()
	if f.r.Response == nil || in <= 0 || !f.own.HasInterval() {
		return 0
	}
	with := response.WithoutCard(*f.r.Response).Figure(f.own.Name)
	if !with.HasInterval() {
		return 0
	}
	all, own := (with.High-with.Low)/2, (f.own.High-f.own.Low)/2
	return math.Sqrt(math.Max(0, all*all-own*own)) / budget.Coverage / in * half
}
