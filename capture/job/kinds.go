package job

import "slices"

// Kind is all that the program knows of a kind of test by a table: how its stanza is
// written, what its recordings hold, how it is planned and recorded, what the manual
// says of it. Whoever adds a kind adds a row, in kindrows.go; what most kinds do needs
// no entry.
type Kind struct {
	Name     string   // key in the job file: "hum_and_noise"
	Title    string   // for people, in running text: "hum and noise"
	Transmit bool     // the transmitter is keyed for it: dummy load first
	OfBench  bool     // it looks at the bench, not at the set: it warns the other tests, and is not warned itself
	Modes    []string // modes of set that it makes sense for; nil: all

	// How its stanza is written.
	Axis     string     // what tells its recordings apart: one of the Axis constants; empty: there is one recording
	States   bool       // its recordings or parts have a State: off, carrier, modulated
	Single   bool       // one file without a list will do: the parts are found in it, or it is read whole
	Settings []string   // its own keys beside the common ones; see SettingWords
	Point    bool       // it is after the level at which its recordings meet a criterion, which its stanza has
	Needs    [][]string // settings without which it gives nothing; those of one list belong together, and one list is enough
	ByEye    []string   // settings read off an instrument that stand in for its recordings
	Limits   []string   // figures that may be bounded beside the test; the first is that of a bare limit
	Sketch   string     // a stanza as a person would write it, for help and errors

	// What its recordings hold.
	Holds  Holds
	HeldAt string // its figures hold for one level of the signal: that of its recordings in this state, or AllStates; empty: for none
	Rises  bool   // its SINAD rises with the level: readings that fall are doubted
	NoCard bool   // what the card adds is no matter to it: nothing warns of it

	// How it is planned and recorded.
	Short  bool              // part of the short plan: about four minutes of recording in all
	Plan   map[string]string // how a plan writes its stanza in a mode, "": in any; none: as the sketch, without files
	Each   string            // a plan has one test for each word of this setting
	EachAt map[string]string // the places of a word of it that has others than Plan or Sketch
	Words  []string          // beginnings of words in file names that tell the kind; a transmit kind has tx or transmit beside them
	Prompt string            // what is set at the bench where it is not set as before

	// The manual: what to record, and what it gives.
	Record, Gives string
}

// Holds is what all recordings of a kind hold alike.
type Holds int

// What recordings hold.
const (
	HoldsVarious Holds = iota // what their state or their tone says, or what changes on purpose
	HoldsSilence              // nothing is modulated for them
	HoldsLeak                 // a tone is modulated, and ought not to be heard
	HoldsTone                 // one tone from end to end, whatever their place
	HoldsSpeech               // speech, or noise like it
)

// AllStates are the recordings of a test in any state, as Kind.HeldAt has them.
const AllStates = "all"

// Toneless tells whether no tone ought to be heard in recordings of a kind.
func (k Kind) Toneless() bool { return k.Holds == HoldsSilence || k.Holds == HoldsLeak }

// Axes along which the recordings of a test lie, as the keys of a recording
// are named. The list of a file with many stretches is named by the plural.
const (
	AxisLevel  = "level"  // RF level
	AxisTone   = "tone"   // modulating frequency
	AxisOffset = "offset" // of the generator's frequency, Hz
	AxisVolume = "volume" // setting of the volume control, as typed
	AxisInput  = "input"  // audio at the microphone socket: mV, or dB relative
)

// Kinds lists the kinds of tests in the usual order of a round: the bench
// first, receive before transmit.
func Kinds() []Kind { return slices.Clone(kinds) }

// KindOf finds a kind by its name.
func KindOf(name string) (Kind, bool) {
	return find(kinds, func(k Kind) bool { return k.Name == name })
}

// Fits tells whether a kind makes sense for a set of a mode; an unstated mode
// fits everything.
func (k Kind) Fits(mode string) bool {
	return mode == "" || len(k.Modes) == 0 || slices.Contains(k.Modes, mode)
}

// KindCalled finds a kind by its name or its title, however its words are joined.
func KindCalled(name string) (Kind, bool) {
	return find(kinds, func(k Kind) bool {
		return plainName(k.Name) == plainName(name) || plainName(k.Title) == plainName(name)
	})
}
