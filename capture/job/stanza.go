package job

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/capture/unit"
)

// Test is one test of a round.
type Test struct {
	Kind   string
	Name   string // tells tests of one kind in a round apart; empty: the only one
	Stanza *Stanza
}

// Stanza is how a test is written. Which of its entries a kind takes is said by Kind.
type Stanza struct {
	Criterion                Criterion // that the recordings of a kind with a point are to meet
	ToneHz, Deviation, Depth float64   // of the modulation; 0: 1000 Hz, not stated, not stated
	Filter                   Filter
	Level                    unit.Level // of the generator, for the whole test; LevelTyped empty: not stated
	LevelTyped               string
	Takes                    []Take            // its recordings, or the stretches of its one file
	OneFile                  bool              // all takes are stretches of one file, in this order; a kind that is Single may have one take without a place instead
	Settings                 map[string]string // the kind's own keys, as typed
	Limits                   []Limit           // as typed beside the test
	LimitTexts               map[string]string // quantity -> how it was typed
	Uncertainty              []Contribution    // as stated beside the test
	Note                     string            // whatever the technician wants said of it
}

// States of a signal in a recording or in a part of one.
const (
	StateOff       = "off"       // no signal
	StateCarrier   = "carrier"   // a carrier without modulation
	StateModulated = "modulated" // with the standard modulation
)

// States lists them in the order in which help shows them.
var States = []string{StateOff, StateCarrier, StateModulated}

// ParsePart reads what a part of a recording held: "off", "carrier",
// "modulated", "0.5 uV carrier", "1 mV modulated". The level may be left out.
func ParsePart(s string, kind unit.LevelKind) (Take, error) {
	fields := strings.Fields(strings.ToLower(strings.TrimSpace(s)))
	fail := fmt.Errorf("part %q is not understood: write off, carrier or modulated, with the level before it where there is one: 0.5 uV carrier", s)
	if len(fields) == 0 || !slices.Contains(States, fields[len(fields)-1]) {
		return Take{}, fail
	}
	t := Take{State: fields[len(fields)-1], Level: unit.Level{Scale: unit.Off}}
	text := strings.Join(strings.Fields(s)[:len(fields)-1], " ")
	if text == "" {
		return t, nil
	}
	if t.State == StateOff {
		return Take{}, fmt.Errorf("part %q has a level, but off is without a signal: leave one of them out", s)
	}
	l, err := unit.ParseLevel(text, kind)
	if err != nil {
		return Take{}, fmt.Errorf("part %q: %w", s, err)
	}
	t.Level, t.Typed = l, text
	return t, nil
}

// Part is a take's state as ParsePart reads it.
func (t Take) Part() string { return strings.TrimSpace(t.Typed + " " + t.State) }

// Setup is a test with everything that holds for it: what its analysis needs
// beside the recordings, which stand in the order of Takes.
type Setup struct {
	Kind string
	Name string
	Stanza
	Reading          Reading // how its recordings are to be read
	Mode             string  // of the set; empty: not stated
	Path             RFPath
	LevelKind        unit.LevelKind // how the person writes µV: PD or EMF
	DeviationPercent float64        // half-width of the tolerance of the generator's deviation; 0: not stated
	Conditions       RoundConditions
	AGCHeld          bool                          // the automatic gain was held: an SSB set may be judged with the signal on against off
	Decide           string                        // Guarded or ByValue; empty is Guarded
	NotAsKept        func(file, sum string) string // what is wrong with the identity of a file of the job; nil: nothing was kept
	Monitor          Curve                         // the monitor's own curve, where the kind has one; a file of it is read beforehand
	Stated           Stated                        // tolerances of what no other field holds
	Assumed          map[Input]bool                // tolerances that nobody stated, and so stand here as assumed; nil: nothing is assumed
}

// Setting is one of the kind's own keys, "" if it was not typed.
func (s Stanza) Setting(key string) string { return s.Settings[key] }

// Setup joins a test with its round's conditions, the equipment's uncertainties and
// the job's rule. Files stay named from the job's folder.
func (j *Job) Setup(r *Round, t Test) Setup {
	c, calibration, all := r.Conditions, j.Calibrates(r), j.AllEquipment()
	s := Setup{Kind: t.Kind, Name: t.Name, Stanza: *t.Stanza, Mode: j.Set.Mode, LevelKind: c.LevelKind, Conditions: c, Decide: j.Rule(),
		Path:    RFPath{PadDB: c.RFPadDB, PadUncertaintyDB: c.RFPadUncertaintyDB},
		AGCHeld: AGCHeld(c.Controls, t.Stanza.Note),
		Reading: Reading{Filter: t.Stanza.Filter, ToneHz: t.Stanza.ToneHz, MainsHz: c.MainsHz, LoadOhms: c.LoadOhms, Mode: j.Set.Mode, Deviation: t.Stanza.Deviation,
			FullScaleVolts: calibration.Volts, VoltsPercent: calibration.Percent, Card: c.Card, Source: j.source(r), Channel: j.AudioChannel(r)},
	}
	if len(j.Kept) > 0 {
		s.NotAsKept = j.NotAsKept
	}
	s.Takes = recorded(t.Stanza.Takes)
	s.OneFile = s.OneFile && len(s.Takes) > 0
	if s.LevelKind == "" {
		s.LevelKind = unit.PD
	}
	s.Stated = j.StatedOf(r)
	s.DeviationPercent = s.Stated.DeviationPercent
	if level := s.Stated.LevelDB; level > 0 {
		s.Path.LevelUncertainty = &level
	}
	if e, ok := find(all, func(e Equipment) bool { return e.ReadingDB != nil }); ok {
		s.Reading.CardDB = *e.ReadingDB
	}
	for _, e := range all {
		generator := strings.Contains(strings.ToLower(e.What), "generator")
		switch {
		case e.ReflectionFactor != nil && generator:
			s.Path.GeneratorReflection = *e.ReflectionFactor
		case e.ReflectionFactor != nil:
			s.Path.InputReflection = *e.ReflectionFactor
		}
	}
	return s
}

// Label is a test as people call it: its kind's title and its name.
func (t Test) Label() string { return label(t.Kind, t.Name) }

// Label is a test as people call it: its kind's title and its name.
func (s Setup) Label() string { return label(s.Kind, s.Name) }

func label(kind, name string) string {
	title := kind
	if k, ok := KindOf(kind); ok {
		title = k.Title
	}
	if name != "" {
		return title + ", " + name
	}
	return title
}

// Files are the files of a test's recordings, each once, in their order.
func (t Test) Files() []string {
	var files []string
	for _, k := range t.AllTakes() {
		if k.File != "" && !slices.Contains(files, k.File) {
			files = append(files, k.File)
		}
	}
	if t.Stanza != nil {
		if f := t.Stanza.Setting(SettingReferenceFile); f != "" && !slices.Contains(files, f) {
			files = append(files, f)
		}
	}
	return files
}
