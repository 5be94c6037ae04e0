package doc

// Panel is what a full screen shows of a sound that goes on: one or two gauges
// large, the other figures small.
type Panel struct {
	Title    string   // what is looked at
	Source   string   // where the sound comes from
	Text     []string // what the person is told, a line each
	Gauges   []Gauge
	Figures  []Figure
	State    string // time constant and how steady the reading is
	Advice   string
	Warnings []string
	Prompt   string // a question that is being answered; empty: none
	Answer   string // what was typed so far
	Keys     []Figure
}

// Gauge is a figure to be read from far away, with a bar that is full at the best.
type Gauge struct {
	Label, Value, Unit string
	Spread             string // "±0.4 dB"
	Bar                float64
	HasBar             bool
	Scale              string // what the bar's left end stands for
	Best, State        string
	BestShort          string // where Best does not fit
	Mood               Mood
}

// Mood is how a gauge stands, for colour.
type Mood int

// Moods of a gauge.
const (
	Calm Mood = iota
	AtBest
	PastBest
)

// Figure is a small figure with its name, or a key with what it does.
type Figure struct{ Label, Value string }
