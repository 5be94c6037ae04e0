package job

import (
	"iter"
	"slices"
	"strings"

	"hisspoint/capture/unit"
)

// Job is one set on the bench: what it is, what was done to it, and how it was
// measured in its rounds. Texts are as a person typed them.
type Job struct {
	Dir           string // the folder its files are named from, as the user gave it; not part of the file
	ID            string // the shop's number of the job: "0417"
	Set           Set
	Customer      string
	Received      string // a date, year-month-day
	Issued        string // day that the report is dated, year-month-day; empty: that of the last test
	Contact       string // of the customer: how to reach them
	FaultReported string
	Complaints    []Complaint // what the customer reported, one each; none: FaultReported says it
	Work          []string
	Parts         []Part
	Outcome       string // one of Outcomes; empty: not yet known
	Reason        string // for the customer: why the outcome is what it is, or why a figure is worse than before
	Language      string // of the customer's pages, one of Languages; empty: as the shop has it, else English
	Authorised    string // who authorised the report; overrides the shop's
	ShopFile      string // where the shop's file lies, from the job's folder; empty: none
	Shop          Shop   // what that file says
	Technician    string // overrides the shop's
	Equipment     []Equipment
	Limits        []string  // names of limit profiles, or files that hold one
	Profiles      []Profile // those that were files, of job and shop
	Decide        string    // Guarded or ByValue; empty: as the shop has it, else Guarded
	Simulated     string    // not empty for a job that was never on a bench, and says so in a sentence
	Kept          []Kept    // what its recordings were when they were added
	AsFound       *Round
	AsLeft        *Round
}

// Names of the rounds, as the job file has them.
const (
	AsFound = "as_found"
	AsLeft  = "as_left"
)

// Round is a round by its name; nil: there is none.
func (j *Job) Round(name string) *Round {
	return map[string]*Round{AsFound: j.AsFound, AsLeft: j.AsLeft}[name]
}

// Rounds are those that there are with their names, as found first.
func (j *Job) Rounds() iter.Seq2[string, *Round] {
	return func(yield func(string, *Round) bool) {
		for _, name := range []string{AsFound, AsLeft} {
			if r := j.Round(name); r != nil && !yield(name, r) {
				return
			}
		}
	}
}

// Set is the radio set on the bench.
type Set struct {
	Description string
	Maker       string // as typed
	Model       string // as typed
	Serial      string
	Mode        string // FM, AM or SSB; empty: not stated
}

// Complaint is one thing that the customer reported.
type Complaint struct {
	Reported string   // in the customer's words
	Tests    []string // what shows it: kinds of tests (kind, or kind:name), meter readings or checks of the rounds
	Work     string   // what was done about it
}

// Part is a part that was replaced.
type Part struct{ Ref, Fitted, Removed string }

// Outcomes of a job.
const (
	Repaired      = "repaired"
	NoFaultFound  = "no fault found"
	NotRepairable = "not repairable"
	Estimate      = "estimate"
	Worse         = "worse than before"
	Returned      = "returned"
)

// Outcomes lists the outcomes of a job.
var Outcomes = []string{Repaired, NoFaultFound, NotRepairable, Estimate, Worse, Returned}

// Languages lists those that the customer's pages are written in, English first.
var Languages = []string{"en", "de", "fr", "es"}

// Shop is what is the same for every job.
type Shop struct {
	Heading    string
	Picture    string // a PNG for the letterhead, or an SVG beside its PNG, named from the shop file's folder; PictureFile is where it lies
	Technician string
	Authorised string // who authorises reports
	Language   string
	Equipment  []Equipment
	Limits     []string
	Decide     string
	Dial       Dial
	Deviation  float64 // standard deviation of the generator in Hz, that new jobs take; 0: not stated
	MainsHz    float64 // 50 or 60; 0: the recording decides

	PictureFile string // where the picture lies; no part of the file
}

// Dial is what the levels on the generator's dial mean at the set.
type Dial struct {
	LevelKind        unit.LevelKind // of volts that say neither PD nor EMF; empty: not stated
	PadDB            float64        // of pad and cable
	NoPad            bool           // somebody said that there is none, and PadDB is 0
	PadUncertaintyDB float64
}

// Conditions are those of a round with what the shop's file states for every day.
func (s Shop) Conditions(c RoundConditions) RoundConditions {
	if c.LevelKind == "" {
		c.LevelKind = s.Dial.LevelKind
	}
	if !c.PadStated() {
		c.RFPadDB, c.NoRFPad = s.Dial.PadDB, s.Dial.NoPad
		if c.RFPadUncertaintyDB == 0 {
			c.RFPadUncertaintyDB = s.Dial.PadUncertaintyDB
		}
	}
	if c.MainsHz == 0 {
		c.MainsHz = s.MainsHz
	}
	return c
}

// Equipment is an instrument with what is known of it. Nil: not stated.
type Equipment struct {
	What               string // "signal generator", "sound card", ...
	Serial             string
	Certificate        string   // number of its calibration certificate
	Calibrated         string   // a date, year-month-day
	LevelUncertaintyDB *float64 // half-width of the stated tolerance of its RF level
	DeviationPercent   *float64 // half-width of the tolerance of its deviation
	ReflectionFactor   *float64 // magnitude, 0 to 1; what is no generator stands for the set's input
	FullScaleVolts     *float64 // RMS volts of a full-scale sine at a sound card's input
	VoltsPercent       *float64 // half-width of the tolerance of its volts: of a sound card full_scale_volts, of a meter what it shows
	DistortionPercent  *float64 // most distortion of a generator's audio tone, of a monitor or of a sound card
	ResponseDB         *float64 // half-width of a response against 1 kHz, 300 to 3000 Hz: of a sound card, a generator's modulation or a monitor
	ReadingDB          *float64 // half-width in dB of what a sound card without a qualification may add to a reading
	InputGain          string
	Source             string // of a sound card: how sound comes to it but by cable, one of Sources; empty: nobody said
	Channel            int    // of a sound card, from 1, that the set's audio goes to; 0: not stated
	Note               string
}

// IsCard tells whether an instrument is a sound card.
func (e Equipment) IsCard() bool { return strings.Contains(strings.ToLower(e.What), "sound card") }

// Round is one pass over the set: as found or as left.
type Round struct {
	Tested        string // a date, year-month-day
	Channel       int    // of its recordings, from 1, that holds the set's audio; 0: as the sound card has it
	Conditions    RoundConditions
	Tests         []Test
	MeterReadings []MeterReading
	Checks        []Check
	NotMeasured   []NotMeasured
}

// RoundConditions are what holds for all tests of a round.
type RoundConditions struct {
	RFMHz              *float64
	Channel            string
	SupplyVolts        *float64
	TemperatureC       *float64
	LevelKind          unit.LevelKind // what µV without PD or EMF mean; empty: PD
	RFPadDB            float64        // pad and cable between generator and set
	NoRFPad            bool           // somebody said that there is none, and RFPadDB is 0
	RFPadUncertaintyDB float64
	MeteredVolts       float64    // RMS volts of a full-scale sine, from a meter read during a recording of the round; no part of the file; 0: none
	Card               *Qualified // the sound card that recorded the round; no part of the file; nil: nothing tells
	NoVolts            string     // why levels are not given in volts though a calibration was made; no part of the file; empty: nothing speaks against it
	AudioPadDB         float64    // between the set's audio and the sound card
	InputGain          string     // position of the sound card's gain control; empty: as the equipment has it
	Source             string     // how the round was recorded but by cable, one of Sources; empty: as the equipment has it
	Load               string
	LoadOhms           float64 // 0: not stated
	LoadPercent        float64 // half-width of its tolerance; 0: not stated
	ReconnectDB        float64 // half-width of what connecting and setting the volume again changes; 0: not stated
	MainsHz            float64 // 50 or 60; 0: the recording decides
	Controls           string
	S9                 string // the level at which an S-meter shall read S9, as typed; empty: see S9Level
}

// PadStated tells whether somebody said what lies between generator and set.
func (c RoundConditions) PadStated() bool { return c.RFPadDB != 0 || c.NoRFPad }

// MeterReading is what the technician read off an instrument. Values keep
// their text; a limit is either a text or a nominal value with a tolerance.
// Without a value it is planned, and not read yet.
type MeterReading struct {
	What, Value     string
	Limit           string // "at most 2 kHz"
	Nominal, Within string // "50 uV PD", "6 dB"
	Note            string
}

// Check is a question answered with yes or no.
type Check struct {
	What string
	Yes  bool
	Open bool // it is planned, and not answered yet
	Note string
}

// NotMeasured is what was left out, and why.
type NotMeasured struct{ What, Why string }

// Newest is the round that decides the job: as left, or as found where the set
// was not repaired. It is nil for a job without rounds.
func (j *Job) Newest() *Round {
	if j.AsLeft != nil {
		return j.AsLeft
	}
	return j.AsFound
}

// Rule is the decision rule of the job.
func (j *Job) Rule() string {
	for _, r := range []string{j.Decide, j.Shop.Decide} {
		if r != "" {
			return r
		}
	}
	return Guarded
}

// PageLanguage is that of the customer's pages.
func (j *Job) PageLanguage() string {
	for _, l := range []string{j.Language, j.Shop.Language} {
		if l != "" {
			return l
		}
	}
	return Languages[0]
}

// Reported is what the customer reported, one entry each; the fault as a whole where no
// complaints are written down.
func (j *Job) Reported() []Complaint {
	if len(j.Complaints) == 0 && j.FaultReported != "" {
		return []Complaint{{Reported: j.FaultReported}}
	}
	return j.Complaints
}

// Shows tells whether an entry of a complaint names a test of the rounds, a meter reading
// or a check; kind and name are empty for the latter two.
func (c Complaint) Shows(kind, name, what string) bool {
	for _, t := range c.Tests {
		if kind == "" && plainName(t) == plainName(what) {
			return true
		}
		k, n, _ := strings.Cut(t, ":")
		if kind != "" && plainName(k) == plainName(kind) && (n == "" || plainName(n) == plainName(name)) {
			return true
		}
	}
	return false
}

// Unknown is the first entry of a complaint that names nothing of any round; empty: all do.
func (j *Job) Unknown(c Complaint) string {
	for _, entry := range c.Tests {
		one, known := Complaint{Tests: []string{entry}}, false
		for _, r := range j.Rounds() {
			for _, t := range r.Tests {
				known = known || one.Shows(t.Kind, t.Name, "")
			}
			for _, m := range r.MeterReadings {
				known = known || one.Shows("", "", m.What)
			}
			for _, k := range r.Checks {
				known = known || one.Shows("", "", k.What)
			}
			for _, n := range r.NotMeasured {
				known = known || one.Shows("", "", n.What)
			}
		}
		if !known {
			return entry
		}
	}
	return ""
}

// AllEquipment is the job's equipment and that of the shop. An entry of the
// job stands in for the shop's of the same kind.
func (j *Job) AllEquipment() []Equipment {
	all := append([]Equipment(nil), j.Equipment...)
	for _, e := range j.Shop.Equipment {
		if _, has := find(j.Equipment, func(own Equipment) bool { return strings.EqualFold(own.What, e.What) }); !has {
			all = append(all, e)
		}
	}
	return all
}

// AllLimits names the limit profiles that count: the job's own or, if it names
// none, those of the shop, which are for every day.
func (j *Job) AllLimits() []string {
	if len(j.Limits) > 0 {
		return slices.Clone(j.Limits)
	}
	return slices.Clone(j.Shop.Limits)
}

// ResolveProfiles gives the limit profiles in the order in which they apply.
// lookup finds a built-in one.
func (j *Job) ResolveProfiles(lookup func(name string) (Profile, error)) ([]Profile, error) {
	var all []Profile
	for _, name := range j.AllLimits() {
		p, own := find(j.Profiles, func(p Profile) bool { return p.File == name })
		if !own {
			var err error
			if p, err = lookup(name); err != nil {
				return nil, err
			}
		}
		all = append(all, p)
	}
	return all, nil
}

func find[T any](list []T, is func(T) bool) (T, bool) {
	for _, x := range list {
		if is(x) {
			return x, true
		}
	}
	var none T
	return none, false
}

// AudioChannel is the channel, from 1, of a round's recordings that holds the set's
// audio: as the round states it, else the sound card; 0: neither does.
func (j *Job) AudioChannel(r *Round) int {
	if r.Channel > 0 {
		return r.Channel
	}
	card, _ := find(j.AllEquipment(), func(e Equipment) bool { return e.Channel > 0 })
	return card.Channel
}
