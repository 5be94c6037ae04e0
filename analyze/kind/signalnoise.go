package kind

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

// signalNoiseTarget is the (S+N)/N that defines the point: 10 dB, common practice.
var signalNoiseTarget = job.Criterion{Quantity: job.QuantitySNN, Value: 10, Unit: "dB"}

// SignalNoise is (S+N)/N of an AM or SSB set: at one level, or over several with
// the level for 10 dB.
//
// AM: output with the modulation on against off, the carrier left on,
//
//	(S+N)/N = 10 log10(P modulated / P carrier)
//
// with the power of all that passes the filter. SSB: the tone against the rest
// within one recording,
//
//	(S+N)/N = 10 log10((S + rest) / rest)
//
// because without a signal the AGC lifts the hiss, and on against off then reads
// several dB low. On against off is taken only where the controls or the note of
// the test say that the AGC is held.
func SignalNoise(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	rows, why, err := takes.Gather(t, rs, takes.Switched(takes.OnOffParts...))
	if err != nil || why != "" {
		return analyze.Refused(t, why, rows...), err
	}
	out := analyze.Result{Setup: t}
	within := t.Mode == job.SSB && !job.AGCHeld(t.Conditions.Controls, t.Note)
	if within {
		why, out.Says = withinOne(rows)
	} else {
		why = onOff(t, rows)
	}
	if why == "" {
		why = takes.OneScale(t, rows)
	}
	if why != "" {
		return analyze.Refused(t, why, rows...), nil
	}
	if t.Mode == "" {
		out.Says = append(out.Says, note.Phrase("the mode of the set is not stated: on an SSB set modulation on against off reads several dB low"))
	}
	out.Rows = rows
	on := signals(rows)
	at := chosenOf(t, on)
	if levelsOf(t, on) > 1 {
		out.Figures = append(out.Figures, takes.Point(t, signalNoiseTarget, on, nil).Figure(job.FigureSignalNoisePoint))
		out.Says = append(append(out.Says, note.Phrase("(S+N)/N is that of "+at.Label)), takes.GeneratorSays(t, out.Figures)...)
		out.Lines = append(out.Lines, takes.LevelLine(t, "(S+N)/N", "(S+N)/N", analyze.Quantity{Name: "(S+N)/N", Unit: "dB"}, on, func(u analyze.Used) analyze.Reading { return u.Get(job.QuantitySNN) }))
	}
	out.Figures = append(out.Figures, at.Get(job.QuantitySNN))
	out.Figures = append(out.Figures, recovered(at)...)
	return out, nil
}

// signals are the rows that an (S+N)/N was found for.
func signals(rows []analyze.Used) []analyze.Used {
	var out []analyze.Used
	for _, u := range rows {
		if u.Get(job.QuantitySNN).Why != analyze.WhyNotRead {
			out = append(out, u)
		}
	}
	return out
}

// chosenOf is the row of the test's own level, else the strongest.
func chosenOf(t job.Setup, rows []analyze.Used) analyze.Used {
	if t.LevelTyped != "" {
		for _, u := range rows {
			if u.Take.Typed != "" && analyze.SameLevel(t, u.Take, job.Take{Level: t.Level, Typed: t.LevelTyped}) {
				return u
			}
		}
	}
	return takes.Strongest(t, rows)
}

// levelsOf counts the levels of rows.
func levelsOf(t job.Setup, rows []analyze.Used) int {
	seen := map[float64]bool{}
	for _, u := range rows {
		if l, ok := analyze.AtSet(t, u.Take); ok {
			seen[l.DB] = true
		}
	}
	return len(seen)
}

// withinOne gives each recording of a signal its (S+N)/N by itself. A recording
// in which the tone is drowned counts as one without it where stronger ones have it.
func withinOne(rows []analyze.Used) (why string, says []note.Note) {
	heard := false
	for i, u := range rows {
		switch {
		case u.Take.State == job.StateOff, u.Take.State == job.StateCarrier && !analyze.HasTone(u):
			says = append(says, note.Phrase(takes.Named(u)+" is not used: without a signal the AGC lifts the hiss"))
			continue
		case analyze.HasTone(u):
			heard = true
		}
		rows[i].Worth = append(rows[i].Worth, toneAgainstRest(u.Measured))
	}
	if !heard {
		return "no recording has a tone: put the carrier 1 kHz into the passband, and give the tone if it is another", nil
	}
	return "", says
}

// toneAgainstRest is (S+N)/N of a tone that is always there.
func toneAgainstRest(m analyze.Measured) analyze.Reading {
	r := m.Get(analyze.SINAD)
	r.Name = job.QuantitySNN
	return r
}

// onOff gives each modulated recording its (S+N)/N against the carrier of its level.
func onOff(t job.Setup, rows []analyze.Used) (why string) {
	var carriers []analyze.Used
	for _, u := range rows {
		held := t.Mode == job.SSB && u.Take.State == job.StateOff
		if u.Take.State == job.StateCarrier || held {
			carriers = append(carriers, u)
		}
	}
	pairs := 0
	for i, u := range rows {
		if u.Take.State != job.StateModulated {
			continue
		}
		off := partners(carriers, func(k job.Take) bool { return k.State == job.StateOff || analyze.SameLevel(t, k, u.Take) })
		if why := pairMisfit(u, off); why != "" {
			return why
		}
		rows[i].Worth = append(rows[i].Worth, signalOver(u.Measured, off))
		pairs++
	}
	if pairs == 0 {
		return "(S+N)/N needs the standard modulation: record each level with the modulation on, and again with it off"
	}
	if !anyTone(takes.InState(rows, job.StateModulated)) {
		return "no recording has a tone: was the modulation on?"
	}
	return sameVolume(t, rows)
}

func partners(rows []analyze.Used, fits func(job.Take) bool) []analyze.Used {
	var out []analyze.Used
	for _, u := range rows {
		if fits(u.Take) {
			out = append(out, u)
		}
	}
	return out
}

func anyTone(rows []analyze.Used) bool {
	for _, u := range rows {
		if analyze.HasTone(u) {
			return true
		}
	}
	return false
}

// pairMisfit says why modulation on and off are no pair.
func pairMisfit(on analyze.Used, off []analyze.Used) string {
	if len(off) == 0 {
		return takes.Named(on) + " has no partner without modulation: record the same level again with the modulation off and the carrier left on"
	}
	for _, u := range off {
		if tone := takes.ToneIn(u); tone != "" {
			return tone + ", but the modulation must be off there: record again"
		}
		if o := output(u); !o.OK() {
			return fmt.Sprintf("%s gives no output (%s): was the squelch closed?", takes.Named(u), o.Why)
		}
	}
	return ""
}

// signalOver is the output of a recording over the mean power of those without
// modulation, in dB. Without a tone there is none.
func signalOver(on analyze.Measured, off []analyze.Used) analyze.Reading {
	if tone := on.Get(analyze.ToneLevel); !tone.OK() {
		return analyze.None(job.QuantitySNN, "dB", tone.Why)
	}
	var all []analyze.Reading
	for _, u := range off {
		all = append(all, output(u))
	}
	return analyze.Below(job.QuantitySNN, on.Kept.Output, meanPower(all))
}

// signalNoise sets the worth of the rows of a sensitivity test by (S+N)/N, and
// gives back those that count: the modulated ones, each against the carriers of
// its level; with SSB each against itself, unless the AGC was held.
func signalNoise(rows []analyze.Used, t job.Setup) (count []analyze.Used, err error) {
	ssb := t.Mode == job.SSB
	within := ssb && !t.AGCHeld
	off := func(r analyze.Used) bool { return r.Level.Scale == unit.Off || r.Take.State == job.StateOff }
	for i, r := range rows {
		worth := analyze.None(job.QuantitySNN, "dB", "without modulation")
		if within {
			worth.Why = "not used: without a signal the AGC lifts the hiss"
		}
		rows[i].Worth = []analyze.Reading{worth}
		if off(r) || r.Take.State == job.StateCarrier {
			continue
		}
		if within {
			rows[i].Worth = []analyze.Reading{toneAgainstRest(r.Measured)}
			count = append(count, rows[i])
			continue
		}
		var partners []analyze.Used
		for _, o := range rows {
			if o.Take.State == job.StateCarrier && o.Level == r.Level || ssb && off(o) {
				partners = append(partners, o)
			}
		}
		if why := pairMisfit(r, partners); why != "" {
			return nil, fmt.Errorf("(S+N)/N: %s", why)
		}
		rows[i].Worth = []analyze.Reading{signalOver(r.Measured, partners)}
		count = append(count, rows[i])
	}
	return count, nil
}
