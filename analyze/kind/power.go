package kind

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/parts"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

const (
	ratedTHD   = 10 // percent: audio power is stated at it (common practice)
	onsetRises = 1  // percentage points by which distortion has to rise from a volume to the next, if that one clips
	clipsAs    = 3  // power of the output beyond which that is clipping: a cubic bend gives the second
)

// AudioPower finds the output at 10 % distortion from a tone at several volumes:
//
//	P = V^2 / R, V the RMS of all that comes out, R the load
//
// Between the two volumes around 10 % each harmonic runs by itself, with its phase (see
// tenPercent); nothing is extrapolated. The onset of
// clipping lies between the two volumes from which on the distortion rises
// faster than the third power of the output, which are its interval; the value is
// where it has risen by one percentage point.
func AudioPower(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	rows, why, err := takes.Gather(t, rs, takes.SteppedBy(parts.LevelSteps))
	if err != nil || why != "" {
		return analyze.Refused(t, why, rows...), err
	}
	for i, u := range rows {
		m := u.Measured
		// What flat tops the set has is what this test asks for.
		rows[i].Measured.Warnings = slices.DeleteFunc(slices.Clone(m.Warnings), func(w capture.Warning) bool { return w.Code == capture.ClippedBelow })
		rows[i].Worth = append(rows[i].Worth, known([]analyze.Reading{m.Get(analyze.Level), m.Get(analyze.LevelVolts), m.Get(analyze.Power), m.Get(analyze.THD)})...)
	}
	if why := powerMisfit(rows); why != "" {
		return analyze.Refused(t, why, rows...), nil
	}
	p := powers{t: t, rows: byOutput(rows)}
	out := analyze.Result{Setup: t, Rows: rows}
	out.Figures = append(p.atTen(), p.onset(), p.least())
	out.Lines = p.lines()
	out.Says = p.says()
	return out, nil
}

// powerMisfit says why the recordings give no power.
func powerMisfit(rows []analyze.Used) string {
	quietest := math.Inf(1)
	for _, u := range rows {
		if analyze.HasTone(u) {
			quietest = math.Min(quietest, u.Measured.Get(analyze.ToneLevel).Value)
		}
	}
	if math.IsInf(quietest, 1) {
		return "no recording has a tone: was the modulation on, and the volume up?"
	}
	for _, u := range rows {
		if l := u.Measured.Get(analyze.Level); !analyze.HasTone(u) && l.OK() && l.Value > quietest {
			return "there is no tone in " + takes.Named(u) + ", which is louder than others that have one: was the modulation on?"
		}
		if slices.ContainsFunc(u.Measured.Warnings, func(w capture.Warning) bool { return w.Code == capture.Clipped }) {
			return takes.Named(u) + " reaches full scale: the sound card may clip instead of the set; lower its input gain and record again"
		}
	}
	heard := withTone(rows)
	if len(heard) < 2 {
		return "audio power needs a tone at two volumes at least: record more"
	}
	return oneToneOf(heard)
}

type powers struct {
	t    job.Setup
	rows []analyze.Used // with a tone, the quietest first
}

func byOutput(rows []analyze.Used) []analyze.Used {
	heard := slices.DeleteFunc(withTone(rows), func(u analyze.Used) bool {
		return !u.Measured.Get(analyze.THD).OK() || !u.Measured.Get(analyze.Level).OK()
	})
	slices.SortStableFunc(heard, func(a, b analyze.Used) int { return cmp.Compare(dBOf(a), dBOf(b)) })
	return heard
}

func dBOf(u analyze.Used) float64 { return u.Measured.Get(analyze.Level).Value }

func thdOf(u analyze.Used) analyze.Reading { return u.Measured.Get(analyze.THD) }

// crossing is the volume below which the distortion reaches a threshold for the last time;
// ok is false where it stays on one side.
func (p powers) crossing(threshold float64) (i int, ok bool) {
	for i = len(p.rows) - 2; i >= 0; i-- {
		if thdOf(p.rows[i]).Value < threshold && thdOf(p.rows[i+1]).Value >= threshold {
			return i, true
		}
	}
	return 0, false
}

// between is where the root of the distortion, taken as straight over the output in dB,
// reaches a threshold between two volumes.
func (p powers) between(i int, threshold, a, b float64) float64 {
	x := (math.Sqrt(threshold) - math.Sqrt(a)) / (math.Sqrt(b) - math.Sqrt(a))
	return dBOf(p.rows[i]) + math.Max(0, math.Min(1, x))*(dBOf(p.rows[i+1])-dBOf(p.rows[i]))
}

// atTen is the output at 10 % distortion.
func (p powers) atTen() []analyze.Reading {
	if len(p.rows) < 2 {
		return p.output(analyze.None(job.FigureOutputAtTen, "dBFS", "fewer than two volumes tell their distortion"))
	}
	i, ok := p.crossing(ratedTHD)
	top := p.rows[len(p.rows)-1]
	switch {
	case !ok && thdOf(top).Value >= ratedTHD:
		return p.output(analyze.None(job.FigureOutputAtTen, "dBFS", "every volume is distorted by more than 10 %: record lower ones"))
	case !ok && atFull(top):
		level, least := top.Measured.Get(analyze.Level), dBOf(top)
		if level.HasInterval() {
			least = level.Low
		}
		return p.output(analyze.AtLeast(job.FigureOutputAtTen, "dBFS", least,
			analyze.Because("10 %% distortion is not reached: %.1f %% at full volume", thdOf(top).Value)))
	case !ok:
		return p.output(analyze.None(job.FigureOutputAtTen, "dBFS", analyze.Because("10 %% distortion is not reached, the loudest volume has %.1f %%: turn it further up, or call it max if it is", thdOf(top).Value)))
	}
	return p.output(p.tenPercent(i))
}

// output is a level in dBFS as power, and as volts or what is left without calibration.
func (p powers) output(r analyze.Reading) []analyze.Reading {
	how := p.t.Reading
	watts := analyze.None(job.QuantityAudioPower, "W", "a power needs the sound card's full_scale_volts and load_ohms")
	switch {
	case how.FullScaleVolts <= 0:
		return []analyze.Reading{watts, r}
	case how.LoadOhms > 0:
		watts = scaled(r, job.QuantityAudioPower, "W", func(db float64) float64 { return unit.Watts(unit.Volts(db, how.FullScaleVolts), how.LoadOhms) })
	}
	return []analyze.Reading{watts, scaled(r, job.FigureOutputAtTen, "V", func(db float64) float64 { return unit.Volts(db, how.FullScaleVolts) })}
}

// scaled is a reading in another unit, which rises with it.
func scaled(r analyze.Reading, name, unitName string, f func(float64) float64) analyze.Reading {
	switch {
	case r.Unreached:
		return analyze.AtLeast(name, unitName, f(r.Low), r.Why)
	case !r.OK():
		return analyze.None(name, unitName, r.Why)
	case !r.HasInterval():
		return analyze.Exact(name, unitName, f(r.Value), r.NoInterval)
	}
	return analyze.NewReading(name, unitName, f(r.Value), f(r.Low), f(r.High))
}

// shown is an output in the best unit that there is.
func (p powers) shown(name string, r analyze.Reading) analyze.Reading {
	all := p.output(r)
	if all[0].Unit == "W" && p.t.Reading.FullScaleVolts > 0 && p.t.Reading.LoadOhms > 0 {
		all[0].Name = name
		return all[0]
	}
	all[1].Name = name
	return all[1]
}

// floor is the lowest distortion of all volumes.
func (p powers) floor() (at int) {
	for i, u := range p.rows {
		if thdOf(u).Value < thdOf(p.rows[at]).Value {
			at = i
		}
	}
	return at
}

func (p powers) least() analyze.Reading {
	if len(p.rows) == 0 {
		return analyze.None(job.FigureLeastTHD, "%", "no volume tells its distortion")
	}
	r := thdOf(p.rows[p.floor()])
	r.Name = job.FigureLeastTHD
	return r
}

// onset is the output at which clipping begins: beyond it the distortion rises
// faster with the output than any smooth bend of low order lets it.
func (p powers) onset() analyze.Reading {
	if len(p.rows) < 2 {
		return p.shown(job.FigureClippingOnset, analyze.None(job.FigureClippingOnset, "dBFS", "fewer than two volumes tell their distortion"))
	}
	at := -1
	for i := len(p.rows) - 2; i >= 0 && p.steep(i); i-- {
		at = i
	}
	if at < 0 {
		return p.shown(job.FigureClippingOnset, analyze.None(job.FigureClippingOnset, "dBFS", "no volume clips: the distortion rises no faster than the output lets expect"))
	}
	a, b := thdOf(p.rows[at]).Value, thdOf(p.rows[at+1]).Value
	return p.shown(job.FigureClippingOnset, analyze.NewReading(job.FigureClippingOnset, "dBFS", p.between(at, a+onsetRises, a, b), dBOf(p.rows[at]), dBOf(p.rows[at+1])))
}

// steep tells whether the distortion rises from a volume to the next by more than
// onsetRises and faster than the power clipsAs of the output.
func (p powers) steep(i int) bool {
	a, b := thdOf(p.rows[i]).Value, thdOf(p.rows[i+1]).Value
	gap := dBOf(p.rows[i+1]) - dBOf(p.rows[i])
	return b > a+onsetRises && 20*math.Log10(b/math.Max(a, 1e-3)) > clipsAs*gap
}

// atFull tells whether a recording was made with the volume right up.
func atFull(u analyze.Used) bool {
	return slices.Contains([]string{"max", "max.", "maximum", "full", "100 %", "100%", "1/1"}, strings.ToLower(strings.TrimSpace(u.Take.AtTyped)))
}
