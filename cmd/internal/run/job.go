package run

import (
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/card"
	"hisspoint/analyze/hint"
	"hisspoint/analyze/limit"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/reports"
)

// Job runs the tests of a job's rounds, as found first, and compares the
// rounds. Recordings are named from the job's folder.
func (rn Runner) Job(j *job.Job) (reports.Job, error) {
	rn.Dir = j.Dir
	out := reports.Job{Version: rn.Version, Facts: reports.Facts{Job: j.ID, Set: j.Set.Description, Fault: j.FaultReported, Simulated: j.Simulated}}
	profiles, err := j.ResolveProfiles(limit.Lookup)
	if err != nil {
		return out, err
	}
	tests := 0
	for _, r := range j.Rounds() {
		tests += len(r.Tests)
	}
	next := rn.Progress.each(tests, "tests")
	for name, r := range j.Rounds() {
		round, err := rn.round(j, name, r, profiles, next)
		if err != nil {
			return out, err
		}
		if before := out.Newest(); before != nil {
			round.Overall = stillOwed(*before, round, r)
		}
		out.Rounds = append(out.Rounds, round)
	}
	next()
	if len(out.Rounds) == 2 {
		scale := j.GainChanged() || j.AsFound.Conditions.AudioPadDB != j.AsLeft.Conditions.AudioPadDB || otherDevice(out.Rounds[0].Card, out.Rounds[1].Card)
		out.Changes, out.NotAlike = changes(out.Rounds[0], out.Rounds[1], scale)
	}
	return out, nil
}

// round runs the tests of one round and joins them with what was read by eye.
func (rn Runner) round(j *job.Job, name string, r *job.Round, profiles []job.Profile, next func() Progress) (reports.Round, error) {
	out := reports.Round{Name: name, NotMeasured: r.NotMeasured}
	for _, c := range r.Checks {
		if !c.Open || !r.Omitted(c.What) {
			out.Checks = append(out.Checks, c)
		}
	}
	r, err := rn.metered(r, j.AudioChannel(r))
	if err != nil {
		return out, err
	}
	if r, out.Warnings, err = rn.carded(j, r); err != nil {
		return out, err
	}
	out.Card, rn.NoCard = r.Conditions.Card, true
	_, dropped := j.CardVolts(r)
	var facts []limit.Fact
	for _, t := range r.Tests {
		rn.Progress = next()
		if _, left := r.LeftOut(t); left && t.Planned() {
			continue // it stands among what was not measured, with the reason
		}
		record, err := rn.test(j, r, t, profiles)
		if err != nil {
			return out, err
		}
		kind, _ := job.KindOf(t.Kind)
		if dropped != "" && slices.Contains(kind.Limits, job.QuantityAudioPower) {
			record.Result.Says = append(record.Result.Says, note.Phrase("No volts and watts: "+dropped+"."))
		}
		out.Tests = append(out.Tests, record)
		facts = append(facts, testFacts(name, t, record)...)
	}
	all := tested(out.Tests)
	hint.OfBench(all)
	out.Hints = hint.All(all)
	out.ByEye, facts = byEye(name, r, facts)
	out.Overall = limit.Join(facts)
	return out, nil
}

// metered is the round with the voltage of a full-scale sine, from the first of
// its recordings at which a meter was read. channel is the set's; 0: not stated.
func (rn Runner) metered(r *job.Round, channel int) (*job.Round, error) {
	for _, k := range r.Metered() {
		f, closeFile, err := rn.open(k.File)
		if err != nil {
			return r, err
		}
		defer closeFile()
		use, why, err := rn.oneChannel([]*capture.File{f}, job.Reading{Channel: channel}, Use{From: k.From, To: k.To}, false)
		if err != nil {
			return r, err
		}
		if why != "" {
			continue // the tests say it
		}
		one, err := use.of(f)
		if err != nil {
			return r, err
		}
		m, err := reading.Measure(one[0], job.Reading{})
		if err != nil {
			return r, err
		}
		if level := m.Get(analyze.Level); level.OK() {
			calibrated := *r
			calibrated.Conditions.MeteredVolts = job.FullScaleVolts(k.MeasuredVolts, level.Value)
			return &calibrated, nil
		}
	}
	return r, nil
}

// tested are the results of a round as the analysis reads them together.
func tested(tests []reports.Test) []hint.Tested {
	var all []hint.Tested
	for _, t := range tests {
		all = append(all, hint.Tested{Kind: t.Kind, Name: t.Name, Result: t.Result})
	}
	return all
}

// test runs one test of a round. A point of a series that is not recorded yet is not
// judged.
func (rn Runner) test(j *job.Job, r *job.Round, t job.Test, profiles []job.Profile) (reports.Test, error) {
	out, err := rn.Test(j.Setup(r, t), profiles, Use{})
	if out.Result.Point != nil && t.Planned() {
		out.Judged = nil
	}
	out.Result.Warnings = append(out.Result.Warnings, namedTwice(t.Stanza.Takes, t.Stanza.OneFile)...)
	return out, err
}

// Test runs a test and judges it by the limits beside it, or else of the profiles.
func (rn Runner) Test(t job.Setup, profiles []job.Profile, use Use) (reports.Test, error) {
	t = t.Assume()
	result, err := rn.Kind(t, use)
	result = limit.WidenResult(result)
	result.Warnings = append(result.Warnings, card.OfTest(result)...)
	result.Warnings = append(result.Warnings, notAsKept(t, result.Rows)...)
	return reports.Test{Kind: t.Kind, Name: t.Name, Result: &result, Judged: limit.JudgeResult(result, profiles)}, err
}

// notAsKept warns of files that are not what they were when the job took them.
func notAsKept(t job.Setup, rows []analyze.Used) (all []capture.Warning) {
	said := map[string]bool{}
	for _, u := range rows {
		o := u.Measured.Origin
		if t.NotAsKept == nil || said[o.File] {
			continue
		}
		said[o.File] = true
		if why := t.NotAsKept(o.File, o.SHA256); why != "" {
			all = append(all, capture.Warning{Code: capture.NotAsKept, Says: note.Of("not-as-kept", why)})
		}
	}
	return all
}

// namedTwice warns of one recording that stands for two of a test: it cannot show
// what differs between them, such as a volume that was moved. oneFile: they are
// stretches of one file by right.
func namedTwice(takes []job.Take, oneFile bool) (all []capture.Warning) {
	times := map[job.Take]int{}
	for _, k := range takes {
		place := job.Take{File: k.File, From: k.From, To: k.To}
		times[place]++
		if !oneFile && k.File != "" && times[place] == 2 {
			all = append(all, capture.Warning{Code: capture.NamedTwice, Says: note.Of("named-twice", k.File)})
		}
	}
	return all
}
