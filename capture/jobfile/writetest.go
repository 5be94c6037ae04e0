package jobfile

import (
	"strings"

	"hisspoint/capture/job"
)

// test writes a test as an item of the list of tests.
func (w *writer) test(t job.Test) {
	kind, known := job.KindOf(t.Kind)
	if !known || t.Stanza == nil {
		return
	}
	body := &writer{depth: w.depth + 2}
	body.stanza(kind, t)
	if body.Len() == 0 {
		w.line("- " + t.Kind + ": {}")
		return
	}
	w.line("- " + t.Kind + ":")
	w.WriteString(body.String())
}

// stanza writes the entries of a test.
func (w *writer) stanza(kind job.Kind, t job.Test) {
	s, criterion := t.Stanza, ""
	if s.Criterion.Quantity != "" {
		criterion = s.Criterion.String()
	}
	filter := s.Filter.String()
	if filter == job.SpeechBand && !kind.Point {
		filter = "" // what is meant without it
	}
	w.entries(entry{job.KeyName, scalar(t.Name)}, entry{job.KeyCriterion, criterion}, entry{job.KeyTone, withUnit(s.ToneHz, "Hz")},
		entry{job.KeyDeviation, withUnit(s.Deviation, "Hz")}, entry{job.KeyDepth, withUnit(s.Depth, "%")}, entry{job.KeyFilter, filter},
		entry{job.KeyLevel, scalar(s.LevelTyped)})
	for _, key := range kind.Settings {
		w.entries(entry{key, scalar(s.Setting(key))})
	}
	w.takes(kind, s)
	w.limits(kind, s)
	w.list(job.KeyUncertainty, each(s.Uncertainty, func(c job.Contribution) string {
		return flow(entry{"what", scalar(c.What)}, entry{"db", number64(c.DB)}, entry{"distribution", scalar(c.Distribution)})
	}))
	w.entries(entry{job.KeyNote, scalar(s.Note)})
}

func (w *writer) takes(kind job.Kind, s *job.Stanza) {
	switch {
	case len(s.Takes) == 0:
	case s.OneFile:
		w.line(kind.AxisKey() + ": [" + strings.Join(each(s.Takes, func(t job.Take) string {
			if kind.Point {
				return orEmpty(t.Part())
			}
			return orEmpty(kind.Place(t))
		}), ", ") + "]")
		w.entries(stretch(s.Takes[0])...)
	case len(s.Takes) == 1 && kind.Single && s.Takes[0].State == "" && s.Takes[0].AtTyped == "":
		w.entries(stretch(s.Takes[0])...)
	default:
		w.list(job.KeyRecordings, each(s.Takes, func(t job.Take) string { return Recording(kind, t) }))
	}
}

// stretch is a file with the part of it that is used and what was read meanwhile.
func stretch(t job.Take) []entry {
	to := ""
	if t.From < t.To {
		to = number64(t.To)
	}
	return []entry{{job.KeyFile, scalar(t.File)}, {job.KeyFrom, stated(t.From)}, {job.KeyTo, to}, {job.KeyVolts, stated(t.MeasuredVolts)}}
}

// Recording writes a recording of a test as an item of its list.
func Recording(kind job.Kind, t job.Take) string {
	key := kind.Axis
	if key == "" {
		key = job.KeyPart
	}
	list := []entry{{key, scalar(kind.Place(t))}}
	if kind.Axis != "" {
		list = append(list, entry{job.KeyPart, scalar(t.State)})
	}
	return flow(append(list, stretch(t)...)...)
}

func (w *writer) limits(kind job.Kind, s *job.Stanza) {
	var others []entry
	for i, q := range kind.Limits {
		switch text := scalar(s.LimitTexts[q]); {
		case i == 0:
			w.entries(entry{job.KeyLimit, text})
		default:
			others = append(others, entry{q, text})
		}
	}
	w.entries(entry{job.KeyLimits, flow(others...)})
}
