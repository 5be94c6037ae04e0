package jobfile

import (
	"path"
	"regexp"
	"slices"
	"strings"
	"time"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/yamlfile"
	"hisspoint/capture/unit"
)

// converter turns a file as it is written into a job, with the place of what
// is wrong.
type converter struct {
	n     *yamlfile.Node
	shape jobShape
	job   *job.Job
	files []text // names of recordings, for the check against links
}

func (c *converter) convert() error {
	s, j := c.shape, c.job
	if s.Job.Value == "" {
		return c.n.Errorf("the job has no number: write job: \"0417\" at the top")
	}
	j.ID, j.Customer, j.FaultReported = s.Job.Value, s.Customer.Value, s.Fault.Value
	j.Contact, j.Reason, j.Authorised = s.Contact.Value, s.Reason.Value, s.Authorised.Value
	j.Set = job.Set{Description: s.Set.Description.Value, Maker: s.Set.Maker.Value, Model: s.Set.Model.Value, Serial: s.Set.Serial.Value}
	j.Technician, j.Simulated, j.ShopFile = s.Technician.Value, s.Simulated.Value, s.Shop.Value
	j.Work = values(s.Work)
	for _, p := range s.Parts {
		j.Parts = append(j.Parts, job.Part{Ref: p.Ref.Value, Fitted: p.Fitted.Value, Removed: p.Removed.Value})
	}
	var err error
	if j.Set.Mode, err = c.word(s.Set.Mode, "mode", job.Modes); err != nil {
		return err
	}
	if j.Outcome, err = c.word(s.Outcome, "outcome", job.Outcomes); err != nil {
		return err
	}
	if j.Language, err = c.word(s.Language, "language", job.Languages); err != nil {
		return err
	}
	if j.Decide, err = c.word(s.Decide, "decide", []string{job.Guarded, job.ByValue}); err != nil {
		return err
	}
	if j.Received, err = c.date(s.Received); err != nil {
		return err
	}
	if j.Issued, err = c.date(s.Issued); err != nil {
		return err
	}
	if s.Shop.Set && (path.IsAbs(s.Shop.Value) || !isFile(s.Shop.Value)) {
		return c.n.ErrorAt(s.Shop.At, "shop %q is no YAML file named from the job's folder: write it like ../shop.yaml", yamlfile.Short(s.Shop.Value))
	}
	if j.Equipment, err = c.equipment(s.Equipment); err != nil {
		return err
	}
	if j.Limits, err = c.limits(s.Limits); err != nil {
		return err
	}
	if err = c.kept(s.Files); err != nil {
		return err
	}
	if j.AsFound, err = c.round(s.Rounds.AsFound); err != nil {
		return err
	}
	if j.AsLeft, err = c.round(s.Rounds.AsLeft); err != nil {
		return err
	}
	return c.complaints()
}

// complaints reads what the customer reported; what shows it must be there.
func (c *converter) complaints() error {
	for _, s := range c.shape.Complaints {
		one := job.Complaint{Reported: s.Reported.Value, Tests: values(s.Tests), Work: s.Work.Value}
		if strings.TrimSpace(one.Reported) == "" {
			return c.n.ErrorAt(s.Pos, "a complaint is empty: write it in the customer's words, or take the line out")
		}
		if name := c.job.Unknown(one); name != "" {
			return c.n.ErrorAt(s.Pos, "the complaint names %q, and no round has such a test, meter reading or check: write its key, or add it first", yamlfile.Short(name))
		}
		c.job.Complaints = append(c.job.Complaints, one)
	}
	return nil
}

func (c *converter) shop(s shopShape) (job.Shop, error) {
	out := job.Shop{Heading: s.Heading.Value, Technician: s.Technician.Value, Authorised: s.Authorised.Value, Picture: s.Picture.Value}
	var err error
	if out.Picture != "" {
		if err = c.local(s.Picture); err != nil {
			return out, err
		}
	}
	if out.Language, err = c.word(s.Language, "language", job.Languages); err != nil {
		return out, err
	}
	if out.Decide, err = c.word(s.Decide, "decide", []string{job.Guarded, job.ByValue}); err != nil {
		return out, err
	}
	if out.Equipment, err = c.equipment(s.Equipment); err != nil {
		return out, err
	}
	if out.Limits, err = c.limits(s.Limits); err != nil {
		return out, err
	}
	if out.Deviation, err = c.quantity(s.Deviation, unit.ParseFrequency); err != nil {
		return out, err
	}
	out.MainsHz = s.MainsHz.Value
	if err = c.mains(s.MainsHz); err != nil {
		return out, err
	}
	out.Dial, err = c.dial(s.LevelKind, s.RFPad, s.RFPadUncertainty)
	return out, err
}

// dial reads what the levels on the generator's dial mean at the set.
func (c *converter) dial(levelKind text, pad, uncertainty number) (job.Dial, error) {
	out := job.Dial{PadDB: pad.Value, NoPad: pad.Set && pad.Value == 0, PadUncertaintyDB: uncertainty.Value}
	if err := c.within(pad, "rf_pad_db", 0, 200); err != nil {
		return out, err
	}
	if err := c.tolerable(tolerance{uncertainty, "rf_pad_uncertainty_db", 20}); err != nil {
		return out, err
	}
	var err error
	out.LevelKind, err = c.kind(levelKind)
	return out, err
}

func (c *converter) mains(hz number) error {
	if hz.Set && hz.Value != 50 && hz.Value != 60 {
		return c.n.ErrorAt(hz.At, "mains_hz must be 50 or 60, but here is %g", hz.Value)
	}
	return nil
}

func (c *converter) equipment(list []equipmentShape) ([]job.Equipment, error) {
	var out []job.Equipment
	for _, e := range list {
		if e.What.Value == "" {
			return nil, c.n.ErrorAt(e.Pos, "an entry of equipment needs what: write {what: signal generator, ...}")
		}
		date, err := c.date(e.Calibrated)
		if err != nil {
			return nil, err
		}
		if err := c.within(e.ReflectionFactor, "reflection_factor", 0, 1); err != nil {
			return nil, err
		}
		for _, b := range []tolerance{{e.LevelUncertainty, "level_uncertainty_db", 20}, {e.DeviationUncertainty, "deviation_uncertainty_percent", 100},
			{e.VoltsUncertainty, "volts_uncertainty_percent", 100}, {e.ReadingUncertainty, "reading_uncertainty_db", 20},
			{e.ResponseUncertainty, "response_uncertainty_db", 20}, {e.Distortion, "distortion_percent", 100}} {
			if err := c.tolerable(b); err != nil {
				return nil, err
			}
		}
		if e.FullScaleVolts.Set && e.FullScaleVolts.Value <= 0 {
			return nil, c.n.ErrorAt(e.FullScaleVolts.At, "full_scale_volts must be above zero")
		}
		if err := c.channel(e.Channel); err != nil {
			return nil, err
		}
		one := job.Equipment{
			What: e.What.Value, Serial: e.Serial.Value, Calibrated: date, Certificate: e.Certificate.Value, LevelUncertaintyDB: e.LevelUncertainty.Pointer(),
			DeviationPercent: e.DeviationUncertainty.Pointer(), ReflectionFactor: e.ReflectionFactor.Pointer(),
			FullScaleVolts: e.FullScaleVolts.Pointer(), InputGain: e.InputGain.Value, Channel: int(e.Channel.Value), Note: e.Note.Value,
			VoltsPercent: e.VoltsUncertainty.Pointer(), ReadingDB: e.ReadingUncertainty.Pointer(),
			ResponseDB: e.ResponseUncertainty.Pointer(), DistortionPercent: e.Distortion.Pointer(),
		}
		if one.Source, err = c.source(e.Source); err != nil {
			return nil, err
		}
		switch {
		case e.LevelUncertainty.Set && one.IsCard():
			return nil, c.n.ErrorAt(e.LevelUncertainty.At, "level_uncertainty_db is that of a generator: for a sound card write reading_uncertainty_db")
		case e.Channel.Set && !one.IsCard():
			return nil, c.n.ErrorAt(e.Channel.At, "channel is that of a sound card: write it at {what: sound card, ...}")
		case e.ReadingUncertainty.Set && !one.IsCard():
			return nil, c.n.ErrorAt(e.ReadingUncertainty.At, "reading_uncertainty_db is that of a sound card: write it at {what: sound card, ...}")
		}
		out = append(out, one)
	}
	return out, nil
}

func (c *converter) limits(list []text) ([]string, error) {
	for _, l := range list {
		if l.Value == "" {
			return nil, c.n.ErrorAt(l.At, "an entry of limits is empty: name a profile, or a YAML file that holds one")
		}
		if isFile(l.Value) {
			if err := c.local(l); err != nil {
				return nil, err
			}
		}
	}
	return values(list), nil
}

// word checks a text against the words that it may be.
func (c *converter) word(t text, key string, known []string) (string, error) {
	if !t.Set || slices.Contains(known, t.Value) {
		return t.Value, nil
	}
	if lower := strings.ToLower(t.Value); slices.Contains(known, lower) {
		return lower, nil
	}
	return "", c.n.ErrorAt(t.At, "%s %q is not known: use %s", key, yamlfile.Short(t.Value), orOf(known))
}

// orOf lists words of which one is to be taken: "fm, am or ssb".
func orOf(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

func (c *converter) date(t text) (string, error) {
	if t.Set {
		if _, err := time.Parse(time.DateOnly, t.Value); err != nil {
			return "", c.n.ErrorAt(t.At, "date %q is not understood: write it year-month-day, like 2026-11-02", yamlfile.Short(t.Value))
		}
	}
	return t.Value, nil
}

// tolerance is a half-width that a person stated, and the most that makes sense.
type tolerance struct {
	v    number
	key  string
	most float64
}

// tolerable refuses tolerances that no instrument has. One of 0 would take a share out
// of every verdict: what is not known is left out, and counts as usual for its kind.
func (c *converter) tolerable(t tolerance) error {
	if t.v.Set && t.v.Value == 0 {
		return c.n.ErrorAt(t.v.At, "%s of 0 would mean that it is exact, which nothing is: state its tolerance, or leave it out to have what is usual counted", t.key)
	}
	return c.within(t.v, t.key, 0, t.most)
}

func (c *converter) within(v number, key string, low, high float64) error {
	if v.Set && (v.Value < low || v.Value > high) {
		return c.n.ErrorAt(v.At, "%s must be from %g to %g, but here is %g", key, low, high, v.Value)
	}
	return nil
}

var drive = regexp.MustCompile(`^[A-Za-z]:`)

// local checks that a file name stays within the folder, as a name.
func (c *converter) local(t text) error {
	name := t.Value
	switch {
	case strings.Contains(name, `\`):
		return c.n.ErrorAt(t.At, "file \"%s\" has a backslash: write / between folders", yamlfile.Short(name))
	case path.IsAbs(name) || drive.MatchString(name):
		return c.n.ErrorAt(t.At, "file %q is not named from the job's folder: copy it there, and write only its name", yamlfile.Short(name))
	case name == "-":
		return c.n.ErrorAt(t.At, "file \"-\" means standard input, which no job has: name a recording in the job's folder")
	case name == ".." || strings.HasPrefix(path.Clean(name), "../") || path.Clean(name) == "..":
		return c.n.ErrorAt(t.At, "file %q leads out of the job's folder: copy it there, and write only its name", yamlfile.Short(name))
	}
	return nil
}

// quantity reads a quantity with its unit, 0 if it is not set.
func (c *converter) quantity(t text, parse func(string) (float64, error)) (float64, error) {
	if !t.Set {
		return 0, nil
	}
	v, err := parse(t.Value)
	if err != nil {
		return 0, c.n.ErrorAt(t.At, "%v", err)
	}
	return v, nil
}

func values(list []text) []string {
	var out []string
	for _, t := range list {
		out = append(out, t.Value)
	}
	return out
}

func (c *converter) kind(t text) (unit.LevelKind, error) {
	w, err := c.word(t, "level_kind", []string{string(unit.PD), string(unit.EMF)})
	return unit.LevelKind(w), err
}

func (c *converter) source(t text) (string, error) {
	if _, err := job.ParseSource(t.Value); err != nil {
		return "", c.n.ErrorAt(t.At, "source: %v", err)
	}
	return t.Value, nil
}

// kept takes what recordings were when they were added.
func (c *converter) kept(list []keptShape) error {
	for _, k := range list {
		if k.File.Value == "" || k.SHA256.Value == "" || k.Bytes.Value < 0 || k.Bytes.Value > 1e15 {
			return c.n.ErrorAt(k.Pos, "an entry of files needs file, bytes and sha256; hisspoint job replace writes it")
		}
		if err := c.local(k.File); err != nil {
			return err
		}
		c.job.Kept = append(c.job.Kept, job.Kept{File: k.File.Value, Bytes: int64(k.Bytes.Value), SHA256: strings.ToLower(k.SHA256.Value),
			Recorded: k.Recorded.Value, Meant: answers[strings.ToLower(k.Meant.Value)]})
	}
	return nil
}
