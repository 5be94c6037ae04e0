package jobfile

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
)

// alteration is an edit with what it is to make of a job, and where.
type alteration struct {
	name  string
	where string // the value that it concerns
	do    func(*Lines) error
	want  func(*job.Job)
}

func set(key, value string, want func(*job.Job)) alteration {
	return alteration{"set " + key, key, func(l *Lines) error { return l.Set(key, value) }, want}
}

// appended adds two items, so that the list that the first has made is used as well.
func appended(list, item string, want func(*job.Job)) alteration {
	return alteration{"append to " + list, list, func(l *Lines) error {
		for range 2 {
			if err := l.Append(strings.Split(list, "."), item); err != nil {
				return err
			}
		}
		return nil
	}, func(j *job.Job) { want(j); want(j) }}
}

func recorded(where string, index, i int, take job.Take, want func(*job.Job)) alteration {
	return alteration{"record " + where, where, func(l *Lines) error {
		j, err := Parse(Name, []byte(l.text))
		if err != nil {
			return err
		}
		return l.Record("as_left", index, j.AsLeft.Tests[index], i, take)
	}, want}
}

func takesOf(j *job.Job, index int) []job.Take { return j.AsLeft.Tests[index].AllTakes() }

// take is a part of a recording without a level.
func take(state, file string) job.Take {
	t, err := job.ParsePart(state, "")
	if err != nil {
		panic(err)
	}
	t.File = file
	return t
}

var hum = job.Test{Kind: job.KindHumNoise, Name: "x: y", Stanza: &job.Stanza{Filter: job.Filter{Name: job.SpeechBand}, Note: "a, b", Takes: []job.Take{take("carrier", "a.wav")}}}

// alterations are every kind of edit of the good job file.
var alterations = []alteration{
	set("customer", "B: Invented, \"quoted\" # no", func(j *job.Job) { j.Customer = "B: Invented, \"quoted\" # no" }),
	set("job", "0418", func(j *job.Job) { j.ID = "0418" }),
	set("set.serial", "007", func(j *job.Job) { j.Set.Serial = "007" }),
	set("rounds.as_left.conditions.rf_pad_db", "12,5", func(j *job.Job) { j.AsLeft.Conditions.RFPadDB = 12.5 }),
	set("rounds.as_found.conditions.channel", "20", func(j *job.Job) { j.AsFound.Conditions.Channel = "20" }),
	set("rounds.as_left.tests.hum_and_noise:speaker.note", "later", func(j *job.Job) { j.AsLeft.Tests[7].Stanza.Note = "later" }),
	set("rounds.as_left.tests.sensitivity.note", "a\nb", func(j *job.Job) { j.AsLeft.Tests[0].Stanza.Note = "a\nb" }),
	set("rounds.as_left.tests.hiss.note", "later", func(j *job.Job) { j.AsLeft.Tests[4].Stanza.Note = "later" }),
	{"list", "work", func(l *Lines) error { return l.SetList("work", []string{"a", "b, c"}) }, func(j *job.Job) { j.Work = []string{"a", "b, c"} }},
	appended("work", Text("a: b"), func(j *job.Job) { j.Work = append(j.Work, "a: b") }),
	appended("parts", Flow("ref", "C1", "fitted", "1 µF, \"new\""), func(j *job.Job) { j.Parts = append(j.Parts, job.Part{Ref: "C1", Fitted: "1 µF, \"new\""}) }),
	appended("rounds.as_left.checks", "{what: lamp, answer: yes}", func(j *job.Job) { j.AsLeft.Checks = append(j.AsLeft.Checks, job.Check{What: "lamp", Yes: true}) }),
	appended("rounds.as_found.not_measured", "{what: all, why: dead}", func(j *job.Job) {
		j.AsFound.NotMeasured = append(j.AsFound.NotMeasured, job.NotMeasured{What: "all", Why: "dead"})
	}),
	{"replace a reading", "rounds.as_left.meter_readings.1", func(l *Lines) error {
		return l.Replace([]string{"rounds", "as_left", "meter_readings"}, 1, Meter(job.MeterReading{What: "deviation", Value: "2 kHz"}))
	}, func(j *job.Job) { j.AsLeft.MeterReadings[1] = job.MeterReading{What: "deviation", Value: "2 kHz"} }},
	{"replace the last check", "rounds.as_left.checks.1", func(l *Lines) error {
		return l.Replace([]string{"rounds", "as_left", "checks"}, 1, "{what: lamp}")
	}, func(j *job.Job) { j.AsLeft.Checks[1] = job.Check{What: "lamp", Open: true} }},
	{"add a test", "rounds.as_left.tests", func(l *Lines) error { return l.AddTest("as_left", hum) }, func(j *job.Job) { j.AsLeft.Tests = append(j.AsLeft.Tests, hum) }},
	{"add the first test", "rounds.as_found.tests", func(l *Lines) error { return l.AddTest("as_found", hum) }, func(j *job.Job) { j.AsFound.Tests = append(j.AsFound.Tests, hum) }},
	{"set of a test", "rounds.as_left.tests.4.hiss", func(l *Lines) error { return l.SetTest("as_left", 4, "name", "open") }, func(j *job.Job) { j.AsLeft.Tests[4].Name = "open" }},
	{"stretch", "rounds.as_left.tests.4.hiss", func(l *Lines) error {
		return l.SetStretch("as_left", 4, job.Take{File: "a b.wav", From: 0.5, To: 2})
	}, func(j *job.Job) { j.AsLeft.Tests[4].Stanza.Takes = []job.Take{{File: "a b.wav", From: 0.5, To: 2}} }},
	{"of a file", "rounds.as_left.tests.8.distortion.measured_volts", func(l *Lines) error { return l.SetOfFile("", "strong.wav", job.KeyVolts, "1,5 V") },
		func(j *job.Job) { j.AsLeft.Tests[8].Stanza.Takes[0].MeasuredVolts = 1.5 }},
	{"of a file in a list", "rounds.as_left.tests.14.centring.recordings.0", func(l *Lines) error { return l.SetOfFile("as_left", "low.wav", job.KeyVolts, "2") },
		func(j *job.Job) { takesOf(j, 14)[0].MeasuredVolts = 2 }},
	recorded("rounds.as_left.tests.14.centring.recordings.1", 14, 1, job.Take{AtTyped: "0 Hz", File: "mid, le.wav"}, func(j *job.Job) { takesOf(j, 14)[1].File = "mid, le.wav" }),
	recorded("rounds.as_left.tests.0.sensitivity.recordings.0", 0, 0, job.Take{Typed: "1 uV", File: "b.wav", From: 1, To: 2}, func(j *job.Job) {
		t := &takesOf(j, 0)[0]
		t.File, t.From, t.To = "b.wav", 1, 2
	}),
	recorded("rounds.as_left.tests.6.signal_to_noise.recordings", 6, 2, take("off", "off.wav"), func(j *job.Job) {
		s := j.AsLeft.Tests[6].Stanza
		s.Takes = append(s.Takes, take("off", "off.wav"))
	}),
	recorded("rounds.as_left.tests.7.hum_and_noise", 7, 1, job.Take{State: job.StateCarrier, Typed: "1 mV", File: "c.wav"}, func(j *job.Job) {
		takesOf(j, 7)[1].File, j.AsLeft.Tests[7].Stanza.OneFile = "c.wav", false
	}),
	{"stepped", "rounds.as_left.tests.0.sensitivity", func(l *Lines) error { return l.SetStepped("as_left", 0, "s.wav", []string{"1 uV", "off"}) }, func(j *job.Job) {
		s := j.AsLeft.Tests[0].Stanza
		s.OneFile, s.Takes = true, []job.Take{s.Takes[0], s.Takes[3]}
		s.Takes[0].File, s.Takes[1].File = "s.wav", "s.wav"
	}},
	{"stepped again", "rounds.as_left.tests.11.level_curve", func(l *Lines) error { return l.SetStepped("as_left", 11, "s.wav", []string{"100 uV"}) }, func(j *job.Job) {
		s := j.AsLeft.Tests[11].Stanza
		s.Takes = s.Takes[1:2]
		s.Takes[0].File = "s.wav"
	}},
	{"equipment", "equipment.0", func(l *Lines) error {
		return l.SetEquipment(job.Equipment{What: "Signal Generator", Serial: "2", Note: "n"})
	},
		func(j *job.Job) { j.Equipment[0].Serial, j.Equipment[0].Note = "2", "n" }},
	{"new equipment", "equipment", func(l *Lines) error { return l.SetEquipment(job.Equipment{What: "counter", Serial: "2"}) },
		func(j *job.Job) { j.Equipment = append(j.Equipment, job.Equipment{What: "counter", Serial: "2"}) }},
}

// Every edit of a job file, however it is written, makes of it what it is to make, and
// leaves comments and all lines alone that it does not concern.
func TestEveryEditInEverySpelling(t *testing.T) {
	data, err := os.ReadFile(folder + "/good/job.yaml")
	require.NoError(t, err)
	everyEdit(t, string(data), alterations)
}

// A job that is hardly begun.
func TestEveryEditOfLittle(t *testing.T) {
	everyEdit(t, "job: a\nrounds:\n  as_left:\n    tests:\n      - hiss:\n", []alteration{
		set("customer", "B", func(j *job.Job) { j.Customer = "B" }),
		set("set.mode", "fm", func(j *job.Job) { j.Set.Mode = "fm" }),
		set("rounds.as_found.conditions.channel", "B", func(j *job.Job) {
			j.AsFound = &job.Round{Conditions: job.RoundConditions{Channel: "B"}}
		}),
		set("rounds.as_left.tests.hiss.note", "B", func(j *job.Job) { j.AsLeft.Tests[0].Stanza.Note = "B" }),
		appended("work", "a", func(j *job.Job) { j.Work = append(j.Work, "a") }),
		{"list", "work", func(l *Lines) error { return l.SetList("work", []string{"a"}) }, func(j *job.Job) { j.Work = []string{"a"} }},
		{"round", "rounds", func(l *Lines) error {
			return l.AddRound("as_found", &job.Round{Tested: "2026-11-02", Tests: []job.Test{hum}})
		},
			func(j *job.Job) { j.AsFound = &job.Round{Tested: "2026-11-02", Tests: []job.Test{hum}} }},
		{"test", "rounds.as_left.tests", func(l *Lines) error { return l.AddTest("as_left", hum) }, func(j *job.Job) { j.AsLeft.Tests = append(j.AsLeft.Tests, hum) }},
		{"equipment", "equipment", func(l *Lines) error { return l.SetEquipment(job.Equipment{What: "counter"}) },
			func(j *job.Job) { j.Equipment = []job.Equipment{{What: "counter"}} }},
	})
}

var said = regexp.MustCompile(`# \{no, [0-9]+: "yes;`)

// everyEdit tries edits of a job in all spellings; of a long list a part in each unless
// there is time.
func everyEdit(t *testing.T, text string, list []alteration) {
	n, err := yamlfile.Parse(Name, []byte(text))
	require.NoError(t, err)
	plain, err := Parse(Name, []byte(text))
	require.NoError(t, err)
	all := append([]*style{nil}, styles()...)
	for i, s := range all {
		before, as := []byte(text), "as it is"
		if s != nil {
			before, as = s.file(n), s.String()
		}
		same, err := Parse(Name, before)
		require.NoError(t, err, "%s\n%s", as, before)
		require.Equal(t, plain, same, "%s\n%s", as, before)
		for k, a := range list {
			if i > 0 && len(list) > 20 && (i+k)%8 > 0 && os.Getenv("HISSPOINT_LONG") != "1" {
				continue
			}
			t.Run(a.name, func(t *testing.T) {
				want, err := Parse(Name, []byte(text))
				require.NoError(t, err)
				a.want(want)
				var got *job.Job
				after, err := changed(Name, before, func(data []byte) (err error) {
					got, err = Parse(Name, data)
					return err
				}, a.do)
				require.NoError(t, err, "%s\n%s", as, before)
				require.Equal(t, want, got, "%s\n%s", as, after)
				assert.Equal(t, said.FindAllString(string(before), -1), said.FindAllString(string(after), -1), "%s\n%s", as, after)
				if a.name != "list" || s != nil && s.depth == 0 { // one in lines gives way to one at the end
					untouched(t, string(before), string(after), a.where)
				}
				if s != nil && s.end == "\r\n" {
					assert.Equal(t, strings.Count(string(after), "\n"), strings.Count(string(after), "\r\n"))
				}
			})
		}
	}
}

// untouched checks that the lines that are gone are of the value that was to change, or
// of the brackets that it came into.
func untouched(t *testing.T, before, after, where string) {
	n, err := yamlfile.Parse(Name, []byte(before))
	require.NoError(t, err)
	found := false
	for path := where; path != ""; {
		step, rest, _ := strings.Cut(path, ".")
		child := n.Child(step)
		for i, item := range n.Items { // a test by its kind
			if kind, name, _ := strings.Cut(step, ":"); item.Child(kind) != nil && (name == "" || textOf(item.Child(kind).Child("name")) == name) {
				child = n.Items[i].Child(kind)
				break
			}
		}
		if child == nil {
			break
		}
		n, path, found = child, rest, rest == ""
	}
	if !strings.Contains(before, "\n") {
		before, after = strings.ReplaceAll(before, "\r", "\n"), strings.ReplaceAll(after, "\r", "\n")
	}
	was, is := strings.SplitAfter(before, "\n"), strings.SplitAfter(after, "\n")
	first, last := 0, 0 // lines that are the same, at the beginning and at the end
	for first < min(len(was), len(is)) && was[first] == is[first] {
		first++
	}
	for last < min(len(was), len(is))-first && was[len(was)-1-last] == is[len(is)-1-last] {
		last++
	}
	gone := strings.Join(was[first:len(was)-last], "")
	if gone == "" || !strings.Contains(gone, "\n") { // a line that had no end
		gone = strings.TrimSpace(gone)
		assert.True(t, gone == "" || strings.Contains(after, gone) || found || n.Flow, after)
		return
	}
	require.True(t, found || n.Flow || len(n.Keys)+len(n.Items) == 0, "%q is gone from\n%s", gone, before)
	from := len(strings.Join(was[:first], ""))
	assert.GreaterOrEqual(t, from, strings.LastIndex(before[:n.Lead], "\n")+1, "%q is gone from\n%s", gone, before)
	assert.LessOrEqual(t, from+len(gone), len(before[:n.To])+strings.IndexByte(before[n.To:]+"\n", '\n')+1, "%q is gone from\n%s", gone, before)
}
