package doc

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/reports"
)

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

// WatchState is what the person has set.
type WatchState struct {
	Source  string
	Seconds float64 // time constant
	Held    bool
	Prompt  string
	Answer  string
	Said    string // what the last key has done
}

// WatchPanel is the screen of a live reading.
func WatchPanel(w reports.Watch, s WatchState) Panel {
	n := w.Needle
	p := Panel{Title: aimNames[n.Aim], Source: s.Source, Prompt: s.Prompt, Answer: s.Answer, Advice: n.Advice, Gauges: []Gauge{gauge(n)}}
	if n.Beside != nil {
		p.Gauges = append(p.Gauges, gauge(*n.Beside))
	}
	p.State = "time constant " + Significant(s.Seconds, 2) + " s"
	if n.Unsteady != "" {
		p.State += "; unsteady: " + n.Unsteady
	}
	if s.Held {
		p.State += "; HELD"
	}
	if s.Said != "" {
		p.State += "; " + s.Said
	}
	for _, name := range []string{analyze.Level, analyze.ToneLevel, analyze.SINAD, analyze.THD, analyze.NoiseLevel, analyze.HumLevel, analyze.ToneFrequency, analyze.LevelVolts, analyze.Power} {
		r := w.Measured.Get(name)
		if r.Why == analyze.WhyNotRead {
			continue
		}
		p.Figures = append(p.Figures, Figure{liveNames[name], liveOrDash(r)})
	}
	for _, x := range w.Measured.Warnings {
		p.Warnings = append(p.Warnings, x.Text)
	}
	p.Keys = []Figure{{"b", "new best"}, {"h", "hold"}, {"m", "mark"}, {"a", "aim"}, {"+ -", "time constant"}, {"q", "quit"}}
	return p
}

func liveOrDash(r analyze.Reading) string {
	if !r.OK() {
		return "-"
	}
	return liveValue(r) + " " + r.Unit
}

// gauge is the aim for reading from far away.
func gauge(n analyze.Needle) Gauge {
	g := Gauge{Label: aimNames[n.Aim], Unit: n.Now.Unit, Value: "--", State: stateWords[n.State], HasBar: true, Scale: "12 dB worse"}
	if n.Now.OK() {
		g.Value, g.Bar = liveValue(n.Now), n.Share
	} else {
		g.State = why(n.Now.Why)
	}
	if n.ScatterDB > 0 && n.Now.OK() {
		g.Spread = "±" + fixed(max(0.1, n.ScatterDB), 1) + " dB"
	}
	if n.Best.OK() {
		g.Best = fmt.Sprintf("best %s %s at %s s", liveValue(n.Best), n.Best.Unit, fixed(n.BestAtS, 1))
		g.BestShort = fmt.Sprintf("best %s %s", liveValue(n.Best), n.Best.Unit)
		if n.Now.OK() {
			g.BestShort += ", now " + fixed(n.GapDB, 1) + " dB worse"
			g.Best += ", now " + fixed(n.GapDB, 1) + " dB worse"
		}
	}
	switch n.State {
	case analyze.AtBest:
		g.Mood = AtBest
	case analyze.PastBest:
		g.Mood = PastBest
	}
	return g
}
