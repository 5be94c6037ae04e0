// Package check says what a job lacks and where it contradicts itself, each with what
// to do about it. It changes nothing, judges nothing and knows no layout.
package check

import (
	"fmt"
	"strings"
	"time"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/run"
)

// calibrationDays is for how long a calibration counts: a year is common
// practice, no source.
const calibrationDays = 366

// Finding is what a job lacks, or where it contradicts itself.
type Finding struct {
	Round string // empty: the whole job
	Text  string
	Next  string // what to do about it
}

// checker collects findings.
type checker struct {
	rn    run.Runner
	job   *job.Job
	name  string // of the round that is looked at
	round *job.Round
	used  map[string]use // where files were met first
	found []Finding

	profiles []job.Profile
}

func (c *checker) add(next, format string, args ...any) {
	c.found = append(c.found, Finding{c.name, fmt.Sprintf(format, args...), next})
}

// Job lists what is still missing in a job and what contradicts itself.
// Recordings are opened to see what tone they carry.
func Job(rn run.Runner, j *job.Job) []Finding {
	rn.Dir = j.Dir
	c := &checker{rn: rn, job: j, used: map[string]use{}}
	if j.Set.Description == "" {
		c.add(`hisspoint job set set.description "..."`, "the set is not described")
	}
	if j.Set.Mode == "" {
		c.add("hisspoint job set set.mode fm", "the mode of the set is not stated (%s)", strings.Join(job.Modes, ", "))
	}
	if j.Customer == "" {
		c.add(`hisspoint job set customer "..."`, "the customer is not named")
	}
	if j.AsFound == nil && j.AsLeft == nil {
		c.add("hisspoint job add *.wav", "there is no round yet")
	}
	c.outcome()
	for name, round := range j.Rounds() {
		for _, twice := range j.StatedOf(round).Twice {
			c.name = name
			c.add("keep the tolerance of the instrument that was used", "%s", twice)
		}
	}
	c.name = ""
	var err error
	if c.profiles, err = j.ResolveProfiles(limit.Lookup); err != nil {
		c.add("hisspoint job set limits NAME (hisspoint limits lists them)", "%v", err)
	}
	for c.name, c.round = range j.Rounds() {
		c.inRound()
	}
	if c.name = ""; j.AsFound != nil && j.AsLeft != nil {
		c.betweenRounds()
	}
	return c.found
}

// outcome compares what became of the set with the rounds that there are.
func (c *checker) outcome() {
	j := c.job
	switch {
	case j.Outcome == job.Repaired && j.AsLeft == nil && j.AsFound != nil:
		c.add("hisspoint job add *.wav --round as_left, or hisspoint job set outcome estimate", "the set is repaired, and was not measured as left")
	case (j.Outcome == job.Estimate || j.Outcome == job.NotRepairable) && j.AsLeft != nil:
		c.add("hisspoint job set outcome repaired, or take the round out", "the outcome is %q, and there is a round as left", j.Outcome)
	case j.Outcome == "" && j.AsLeft != nil:
		c.add("hisspoint job set outcome repaired", "the outcome is not stated (%s)", strings.Join(job.Outcomes, ", "))
	case j.Outcome == job.Repaired && len(j.Work) == 0 && len(j.Parts) == 0:
		c.add(`hisspoint job note "..."`, "the set is repaired, and no work is written down")
	}
	var r *job.Round
	for c.name, r = range j.Rounds() {
		if before(r.Tested, j.Received) {
			c.add("correct one of the dates", "it was tested on %s, before it was received (%s)", r.Tested, j.Received)
		}
		if before(j.Issued, r.Tested) {
			c.add("correct one of the dates", "it was tested on %s, after the report was issued (%s)", r.Tested, j.Issued)
		}
	}
	c.name = ""
}

// inRound looks at one round.
func (c *checker) inRound() {
	r := c.round
	if r.Tested == "" {
		c.add("hisspoint job set rounds."+c.name+".tested 2026-11-02", "the date of the tests is missing")
	}
	c.dial()
	for _, e := range c.job.AllEquipment() {
		if before(r.Tested, e.Calibrated) {
			c.add("correct one of the dates, or state the calibration that held then", "the %s was calibrated on %s, after the tests of %s", e.What, e.Calibrated, r.Tested)
		}
		if late(e.Calibrated, r.Tested) {
			c.add("have it calibrated, or correct the date", "the %s was calibrated on %s, more than a year before", e.What, e.Calibrated)
		}
	}
	if len(r.Tests) == 0 {
		c.add("hisspoint job add FILE --test sensitivity --round "+c.name, "there is no test")
	}
	for i, t := range r.Tests {
		c.test(i, t)
	}
	c.byEye()
	c.metered()
	if _, why := c.job.CardVolts(r); why != "" && len(r.Metered()) == 0 {
		c.add("read a meter during one recording and give it measured_volts", "no levels in volts: %s", why)
	}
}

// dial asks what the levels on the generator's dial mean at the set, once one of them is
// used: each verdict on a level hangs on it.
func (c *checker) dial() {
	conditions, used, volts := c.round.Conditions, false, ""
	for _, t := range c.round.Tests {
		if t.Stanza == nil || t.Planned() {
			continue
		}
		typed := []string{t.Stanza.LevelTyped}
		for _, k := range t.AllTakes() {
			used = used || k.Typed != "" && k.Level.Scale == unit.Absolute
			typed = append(typed, k.Typed)
		}
		for _, text := range typed {
			if volts == "" && unit.NeedsKind(text) {
				volts = text
			}
		}
	}
	if volts != "" && conditions.LevelKind == "" {
		c.add("hisspoint job set level_kind emf --round "+c.name,
			"%s on the dial: whether that is PD or EMF (6 dB less) is not stated; PD is taken until it is", unit.MicroSign(volts))
	}
	if used && !conditions.PadStated() {
		c.add("hisspoint job set rf_pad_db 10 --round "+c.name,
			"pad and cable between generator and set are not stated (0 if there are none); 0 dB is taken until they are")
	}
}

// byEye looks at what is read off instruments.
func (c *checker) byEye() {
	var open []string
	for _, m := range c.round.MeterReadings {
		if m.Value == "" && !c.round.Omitted(m.What) {
			open = append(open, m.What)
		}
		if v := limit.JudgeMeter(m, c.round.Conditions); m.Value != "" && v != nil && v.Outcome == limit.NotJudged {
			c.add(fmt.Sprintf("hisspoint job reading %q \"...\" --replace --round %s", m.What, c.name), "%s cannot be judged: %s", m.What, v.Why)
		}
	}
	if len(open) > 0 {
		c.add(fmt.Sprintf("hisspoint job reading %q \"...\" --round %s", open[0], c.name), "not read yet: %s", strings.Join(open, "; "))
	}
	open = nil
	for _, k := range c.round.Checks {
		if k.Open && !c.round.Omitted(k.What) {
			open = append(open, k.What)
		}
	}
	if len(open) > 0 {
		c.add(fmt.Sprintf("hisspoint job reading %q yes --round %s", open[0], c.name), "not checked yet (yes or no): %s", strings.Join(open, "; "))
	}
}

// betweenRounds looks at what the two rounds ought to share.
func (c *checker) betweenRounds() {
	was, is := c.job.AsFound, c.job.AsLeft
	if before(is.Tested, was.Tested) {
		c.add("correct one of the dates", "as left (%s) is older than as found (%s)", is.Tested, was.Tested)
	}
	number := func(v *float64) string {
		if v == nil {
			return ""
		}
		return fmt.Sprintf("%.10g", *v)
	}
	stated := func(v float64) string {
		if v == 0 {
			return ""
		}
		return fmt.Sprintf("%.10g", v)
	}
	a, b := was.Conditions, is.Conditions
	for _, d := range []struct{ key, what, before, after string }{
		{"rf_mhz", "the frequency", number(a.RFMHz), number(b.RFMHz)},
		{"channel", "the channel", a.Channel, b.Channel},
		{"supply_volts", "the supply voltage", number(a.SupplyVolts), number(b.SupplyVolts)},
		{"load", "the load", a.Load, b.Load},
		{"load_ohms", "the load's resistance", stated(a.LoadOhms), stated(b.LoadOhms)},
		{"rf_pad_db", "the pad at the generator", stated(a.RFPadDB), stated(b.RFPadDB)},
		{"audio_pad_db", "the audio pad", stated(a.AudioPadDB), stated(b.AudioPadDB)},
		{"source", "the way of the sound", a.Source, b.Source},
		{"level_kind", "what µV means", string(a.LevelKind), string(b.LevelKind)},
	} {
		if d.before != "" && d.after != "" && !strings.EqualFold(d.before, d.after) {
			c.add("correct it if it is a slip: hisspoint job set rounds.as_left.conditions."+d.key+" \""+d.before+"\"",
				"%s differs between the rounds: %s as found, %s as left", d.what, d.before, d.after)
		}
	}
	if c.job.GainChanged() {
		c.add("compare levels of the audio between the rounds only in volts, or record both at one gain", "the input gain of the sound card differs between the rounds")
	}
}

func day(text string) (time.Time, bool) {
	t, err := time.Parse(time.DateOnly, text)
	return t, err == nil
}

func before(a, b string) bool {
	x, okA := day(a)
	y, okB := day(b)
	return okA && okB && x.Before(y)
}

func late(calibrated, tested string) bool {
	x, okA := day(calibrated)
	y, okB := day(tested)
	return okA && okB && y.Sub(x).Hours() > 24*calibrationDays
}
