package handmade

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

// Bench is what the job file of Job says, with something in every place.
func Bench() *job.Job {
	level, deviation, reflection, scale, rf, supply := 1.0, 5.0, 0.1, 1.2, 27.78125, 13.2
	round := func(tested string) *job.Round {
		return &job.Round{
			Tested: tested,
			Conditions: job.RoundConditions{RFMHz: &rf, Channel: "20", SupplyVolts: &supply, LevelKind: unit.PD, RFPadDB: 10, RFPadUncertaintyDB: 0.2,
				AudioPadDB: 20, Load: "resistor", LoadOhms: 8, MainsHz: 50, Controls: "squelch open, blanker off"},
			MeterReadings: []job.MeterReading{
				{What: "supply current", Value: "0.4 A", Limit: "at most 0.6 A", Note: "no signal"},
				{What: "S-meter reads S9 at", Value: "60 uV PD", Nominal: "50 uV PD", Within: "6 dB"},
			},
			Checks:      []job.Check{{What: "all channels", Yes: true}, {What: "air test", Note: "no aerial here"}},
			NotMeasured: []job.NotMeasured{{What: "squelch", Why: "no squelch control fitted"}},
		}
	}
	return &job.Job{
		ID: "0000", Set: job.Set{Description: "invented set", Serial: "0012345", Mode: job.FM}, Customer: "invented customer", Received: "2026-11-02",
		FaultReported: "deaf", Work: []string{"input coil replaced", "receiver realigned"}, Outcome: job.Repaired, Simulated: "invented and simulated",
		Parts: []job.Part{{Ref: "C31", Fitted: "47 \u00b5F 25 V, new", Removed: "47 \u00b5F 16 V, open circuit"}},
		Shop:  job.Shop{Heading: "Invented Radio Service\n1 Nowhere Lane", Technician: "A. Nobody"},
		Equipment: []job.Equipment{
			{What: "signal generator", Serial: "SIM-1", Calibrated: "2026-03-01", LevelUncertaintyDB: &level, DeviationPercent: &deviation, ReflectionFactor: &reflection},
			{What: "sound card", InputGain: "62 %", FullScaleVolts: &scale, Note: "line input"},
		},
		AsFound: round("2026-11-02"), AsLeft: round("2026-11-04"),
	}
}

// Typed fills every place of a job that holds what somebody typed, or what a
// file brought along, with a text that begins with a word of its own, and gives
// all of them.
func Typed(text string) (reports.Job, *job.Job, []string) {
	r, j := Job(), Bench()
	var all []string
	own := func() string {
		s := fmt.Sprintf("place%d %s", len(all), text)
		all = append(all, s)
		return s
	}
	for _, p := range []*string{&j.ID, &j.Set.Description, &j.Set.Serial, &j.Customer, &j.Received, &j.FaultReported, &j.Work[0], &j.Work[1],
		&j.Parts[0].Ref, &j.Parts[0].Fitted, &j.Parts[0].Removed, &j.Shop.Heading, &j.Shop.Technician, &j.Simulated} {
		*p = own()
	}
	for i := range j.Equipment {
		e := &j.Equipment[i]
		e.What, e.Serial, e.Calibrated, e.InputGain, e.Note = own(), own(), own(), own(), own()
	}
	for i, round := range []*job.Round{j.AsFound, j.AsLeft} {
		c := &round.Conditions
		round.Tested, c.Channel, c.Load, c.Controls = own(), own(), own(), own()
		round.MeterReadings[0] = job.MeterReading{What: own(), Value: own(), Limit: own(), Note: own()}
		round.MeterReadings[1] = job.MeterReading{What: own(), Value: own(), Nominal: own(), Within: own()}
		round.Checks[0], round.NotMeasured[0] = job.Check{What: own(), Note: own()}, job.NotMeasured{What: own(), Why: own()}
		t := &r.Rounds[i].Tests[0]
		s := *t.Result
		rows := append([]analyze.Used(nil), s.Rows...)
		rows[2].Measured.Origin.File = own()
		rows[2].Measured.Warnings = []capture.Warning{{Code: capture.Clipped, Says: note.Phrase(own())}}
		s.Rows = rows
		v := *t.Verdict()
		if i == 1 { // the limit of the newest round is the one that is shown
			v.Limit.Source, v.Limit.Note, v.Limit.Profile = own(), own(), own()
		}
		t.Result, t.Judged = &s, []limit.Judged{{Verdict: v}}
		if i == 1 {
			r.Rounds[i].Tests = append(r.Rounds[i].Tests, typedTest(own))
			r.Rounds[i].Hints = []analyze.Hint{typedHint(own)}
		}
	}
	return Seen(r, j), j, all
}

// Seen is the record with what the job says was seen by eye.
func Seen(r reports.Job, j *job.Job) reports.Job {
	r.Rounds = append([]reports.Round(nil), r.Rounds...)
	r.Changes = append([]reports.Change(nil), r.Changes...)
	for i := range r.Changes {
		r.Changes[i].Significant = true
	}
	for i, round := range []*job.Round{j.AsFound, j.AsLeft} {
		r.Rounds[i].Checks, r.Rounds[i].NotMeasured, r.Rounds[i].ByEye = round.Checks, round.NotMeasured, nil
		for _, m := range round.MeterReadings {
			r.Rounds[i].ByEye = append(r.Rounds[i].ByEye, reports.MeterReading{MeterReading: m, Verdict: limit.JudgeMeter(m, round.Conditions)})
		}
	}
	return r
}
