package doc

// Panel is what a full screen shows of a sound that goes on: one or two gauges
// large, with what is to be said of them, the other figures small.
type Panel struct {
	Title    string   // what is looked at
	Source   string   // where the sound comes from
	Text     []string // what the person is told, a line each
	Page     string   // which part of a text that is paged this is, as "1 of 3"; empty: all of it
	Gauges   []Gauge
	Say      string // how the aim stands, in words to be read from far away
	Mood     Mood
	Figures  []Figure
	State    string // time constant and how steady the reading is
	Advice   string
	Warnings []string
	Prompt   string // a question that is being answered; empty: none
	Answer   string // what was typed so far
	Keys     []Figure
}

// Gauge is a figure to be read from far away, with a bar on a fixed scale on which the
// best is a mark, and its course.
type Gauge struct {
	Label, Value, Unit string
	Spread             string  // "±0.4 dB"
	Place              float64 // 0 to 1, from the poor end to the good one
	BestPlace          float64
	HasBar, HasBest    bool
	Poor, Good         string // what the ends stand for
	Best               string
	BestShort          string // where Best does not fit
	Course             Course
}

// Course is how a gauge went, from 60 s ago until now.
type Course struct {
	Places     []float64 // 0 to 1; below 0: no reading
	Most       int       // places of 60 s
	Poor, Good string    // what its ends stand for
}

// Mood is how a gauge stands, for colour.
type Mood int

// Moods of a gauge.
const (
	Calm Mood = iota
	AtBest
	PastBest
	Broken // nothing to follow
)

// Figure is a small figure with its name, or a key with what it does.
type Figure struct{ Label, Value string }
