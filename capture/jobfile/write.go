package jobfile

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"

	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Marshal writes a job as a file that people can read and go on editing. What
// comes from the shop's file is left there. The result is read back before it
// is returned, so what was written can be loaded.
func Marshal(j *job.Job) ([]byte, error) {
	w := &writer{}
	w.job(j)
	data := []byte(w.String())
	if _, err := Parse(Name, data); err != nil {
		return nil, fmt.Errorf("the job cannot be written: %w", err)
	}
	return data, nil
}

// Write writes a job to a file, whole or not at all. An existing file is
// replaced.
func Write(file string, j *job.Job) error {
	data, err := Marshal(j)
	if err == nil {
		err = unwritten(file, write.Replace(file, write.Private, data))
	}
	return err
}

// WriteNew writes a job to a file that must not be there yet.
func WriteNew(file string, j *job.Job) error {
	data, err := Marshal(j)
	if err == nil {
		err = unwritten(file, write.New(file, write.Private, data))
	}
	return err
}

func unwritten(file string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: cannot be written: %w", slashed(file), err)
}

// writer collects lines; depth is the indentation.
type writer struct {
	strings.Builder
	depth int
}

func (w *writer) line(s string) { w.WriteString(strings.Repeat("  ", w.depth) + s + "\n") }

// entry is a key with its value already written as YAML; empty ones are left out.
type entry struct{ key, value string }

func (w *writer) entries(list ...entry) {
	for _, e := range list {
		if e.value != "" {
			w.line(e.key + ": " + e.value)
		}
	}
}

// flow writes entries on one line: {a: b, c: d}.
func flow(list ...entry) string {
	var parts []string
	for _, e := range list {
		if e.value != "" {
			parts = append(parts, e.key+": "+e.value)
		}
	}
	if parts == nil {
		return ""
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// list writes one item a line below a key.
func (w *writer) list(key string, items []string) {
	if len(items) == 0 {
		return
	}
	w.line(key + ":")
	for _, item := range items {
		w.line("  - " + item)
	}
}

func each[T any](list []T, write func(T) string) []string {
	var out []string
	for _, x := range list {
		out = append(out, write(x))
	}
	return out
}

// Complaint writes what the customer reported on one line, as Append takes it.
func Complaint(c job.Complaint) string {
	if len(c.Tests) == 0 && c.Work == "" {
		return orEmpty(c.Reported)
	}
	tests := ""
	if len(c.Tests) > 0 {
		tests = "[" + strings.Join(each(c.Tests, orEmpty), ", ") + "]"
	}
	return flow(entry{"reported", scalar(c.Reported)}, entry{"tests", tests}, entry{"work", scalar(c.Work)})
}

func (w *writer) job(j *job.Job) {
	w.entries(entry{"job", quoted(j.ID)},
		entry{"set", flow(entry{"description", scalar(j.Set.Description)}, entry{"maker", scalar(j.Set.Maker)}, entry{"model", scalar(j.Set.Model)}, entry{"serial", scalar(j.Set.Serial)}, entry{"mode", scalar(j.Set.Mode)})},
		entry{"customer", scalar(j.Customer)}, entry{"contact", scalar(j.Contact)}, entry{"received", scalar(j.Received)}, entry{"issued", scalar(j.Issued)}, entry{"fault_reported", scalar(j.FaultReported)})
	w.list("complaints", each(j.Complaints, Complaint))
	w.list("work", each(j.Work, orEmpty))
	w.list("parts", each(j.Parts, func(p job.Part) string {
		return orBraces(flow(entry{"ref", scalar(p.Ref)}, entry{"fitted", scalar(p.Fitted)}, entry{"removed", scalar(p.Removed)}))
	}))
	w.entries(entry{"outcome", scalar(j.Outcome)}, entry{"reason", scalar(j.Reason)}, entry{"language", scalar(j.Language)},
		entry{"authorised", scalar(j.Authorised)}, entry{"shop", scalar(j.ShopFile)}, entry{"technician", scalar(j.Technician)})
	w.list("equipment", each(j.Equipment, equipmentText))
	if len(j.Limits) > 0 {
		w.line("limits: [" + strings.Join(each(j.Limits, scalar), ", ") + "]")
	}
	w.entries(entry{"decide", scalar(j.Decide)}, entry{"simulated", scalar(j.Simulated)})
	if j.AsFound != nil || j.AsLeft != nil {
		w.line("rounds:")
		w.depth++
		w.round("as_found", j.AsFound)
		w.round("as_left", j.AsLeft)
		w.depth--
	}
	w.list("files", each(j.Kept, keptText))
}

// equipmentEntries are the keys of an instrument, what it is first.
func equipmentEntries(e job.Equipment) []entry {
	return []entry{{"what", scalar(e.What)}, {"serial", scalar(e.Serial)}, {"calibrated", scalar(e.Calibrated)}, {"certificate", scalar(e.Certificate)},
		{"level_uncertainty_db", figure(e.LevelUncertaintyDB)}, {"deviation_uncertainty_percent", figure(e.DeviationPercent)},
		{"reflection_factor", figure(e.ReflectionFactor)}, {"full_scale_volts", figure(e.FullScaleVolts)},
		{"volts_uncertainty_percent", figure(e.VoltsPercent)}, {"reading_uncertainty_db", figure(e.ReadingDB)},
		{"response_uncertainty_db", figure(e.ResponseDB)}, {"distortion_percent", figure(e.DistortionPercent)},
		{"input_gain", scalar(e.InputGain)}, {"source", scalar(e.Source)}, {"channel", stated(float64(e.Channel))}, {"note", scalar(e.Note)}}
}

func equipmentText(e job.Equipment) string { return flow(equipmentEntries(e)...) }

func (w *writer) round(key string, r *job.Round) {
	if r == nil {
		return
	}
	c := r.Conditions
	conditions := flow(entry{"rf_mhz", figure(c.RFMHz)}, entry{"channel", scalar(c.Channel)}, entry{"supply_volts", figure(c.SupplyVolts)}, entry{"temperature_c", figure(c.TemperatureC)},
		entry{"level_kind", scalar(string(c.LevelKind))}, entry{"rf_pad_db", padText(c.RFPadDB, c.NoRFPad)}, entry{"rf_pad_uncertainty_db", stated(c.RFPadUncertaintyDB)},
		entry{"audio_pad_db", stated(c.AudioPadDB)}, entry{"input_gain", scalar(c.InputGain)}, entry{"source", scalar(c.Source)}, entry{"load", scalar(c.Load)}, entry{"load_ohms", stated(c.LoadOhms)},
		entry{"load_uncertainty_percent", stated(c.LoadPercent)}, entry{"reconnect_uncertainty_db", stated(c.ReconnectDB)},
		entry{"mains_hz", stated(c.MainsHz)}, entry{"controls", scalar(c.Controls)}, entry{"s9", scalar(c.S9)})
	before := w.Len()
	w.line(key + ":")
	after := w.Len()
	w.depth++
	w.entries(entry{"tested", scalar(r.Tested)}, entry{"channel", stated(float64(r.Channel))}, entry{"conditions", conditions})
	if len(r.Tests) > 0 {
		w.line("tests:")
		w.depth++
		for _, t := range r.Tests {
			w.test(t)
		}
		w.depth--
	}
	w.list("meter_readings", each(r.MeterReadings, func(m job.MeterReading) string {
		limit := scalar(m.Limit)
		if m.Nominal != "" {
			limit = flow(entry{"nominal", scalar(m.Nominal)}, entry{"within", scalar(m.Within)})
		}
		return flow(entry{"what", scalar(m.What)}, entry{"value", scalar(m.Value)}, entry{"limit", limit}, entry{"note", scalar(m.Note)})
	}))
	w.list("checks", each(r.Checks, func(k job.Check) string {
		return flow(entry{"what", scalar(k.What)}, entry{"answer", answerText(k)}, entry{"note", scalar(k.Note)})
	}))
	w.list("not_measured", each(r.NotMeasured, func(m job.NotMeasured) string {
		return flow(entry{"what", scalar(m.What)}, entry{"why", scalar(m.Why)})
	}))
	w.depth--
	if w.Len() == after { // nothing below it: a bare key would read as no round
		text := w.String()[:before]
		w.Reset()
		w.WriteString(text)
		w.line(key + ": {}")
	}
}

// padText writes a pad, none too where somebody said so.
func padText(dB float64, none bool) string {
	if none {
		return "0"
	}
	return stated(dB)
}

// answerText is empty for a check that is planned.
func answerText(k job.Check) string {
	switch {
	case k.Open:
		return ""
	case k.Yes:
		return "yes"
	}
	return "no"
}

func number64(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// figure writes a number that may not be stated.
func figure(v *float64) string {
	if v == nil {
		return ""
	}
	return number64(*v)
}

// stated writes a number of which 0 means not stated.
func stated(v float64) string {
	if v == 0 {
		return ""
	}
	return number64(v)
}

func withUnit(v float64, u string) string {
	if v == 0 {
		return ""
	}
	return number64(v) + " " + u
}

var (
	// plainText can stand without quotes anywhere, also within { }.
	plainText = unit.LazyPattern(`^-?[\pL\pN][\pL\pN µ/_.%+()'-]*$`)
	// numberLike is text that a YAML reader might take for a number.
	numberLike = unit.LazyPattern(`^[-+]?[0-9][0-9a-fA-FxXoO_.+-]*$`)
	dateLike   = unit.LazyPattern(`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`)
)

// scalar writes a text, in quotes where YAML needs them; "" if there is none.
func scalar(s string) string {
	switch {
	case s == "":
		return ""
	case dateLike().MatchString(s):
		return s
	case !plainText().MatchString(s), numberLike().MatchString(s), strings.EqualFold(s, "null"), strings.HasSuffix(s, " "):
		return quoted(s)
	}
	return s
}

func orEmpty(s string) string {
	if s == "" {
		return `""`
	}
	return scalar(s)
}

func orBraces(s string) string {
	if s == "" {
		return "{}"
	}
	return s
}

// quoted writes a text in double quotes.
func quoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case !unicode.IsPrint(r) && r < 0x10000:
			fmt.Fprintf(&b, `\u%04x`, r)
		case !unicode.IsPrint(r):
			fmt.Fprintf(&b, `\U%08x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
