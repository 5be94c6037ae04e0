package bench

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/sentence"
)

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
func WatchPanel(w reports.Watch, s WatchState) doc.Panel {
	n := w.Needle
	p := doc.Panel{Title: aimNames[n.Aim], Source: s.Source, Prompt: s.Prompt, Answer: s.Answer, Advice: n.Advice,
		Gauges: []doc.Gauge{gauge(n)}, Say: StateText(w), Mood: moods[n.State]}
	if n.Beside != nil {
		p.Gauges = append(p.Gauges, gauge(*n.Beside))
	}
	p.State = "time constant " + say.Significant(s.Seconds, 2) + " s"
	if n.Unsteady != "" {
		p.State += "; unsteady: " + n.Unsteady
	}
	if s.Held {
		p.State += "; HELD"
	}
	if s.Said != "" {
		p.State += "; " + s.Said
	}
	for _, name := range []string{analyze.Level, analyze.ToneLevel, analyze.SINAD, analyze.THD, analyze.NoiseLevel,
		analyze.HumLevel, analyze.ToneFrequency, analyze.LevelVolts, analyze.Power} {
		r := w.Measured.Get(name)
		if r.Why == analyze.WhyNotRead {
			continue
		}
		p.Figures = append(p.Figures, doc.Figure{Label: liveNames[name], Value: liveOrDash(r)})
	}
	for _, x := range w.Measured.Warnings {
		p.Warnings = append(p.Warnings, sentence.Of(x.Says))
	}
	p.Keys = []doc.Figure{{Label: "b", Value: "new best"}, {Label: "h", Value: "hold"}, {Label: "m", Value: "mark"},
		{Label: "a", Value: "aim"}, {Label: "+ -", Value: "time constant"}, {Label: "q", Value: "quit"}}
	return p
}

func liveOrDash(r analyze.Reading) string {
	if !r.OK() {
		return "-"
	}
	return liveValue(r) + " " + r.Unit
}

// placesOfMinute is how many places a course of 60 s has.
const placesOfMinute = 240

// gauge is the aim for reading from far away.
func gauge(n analyze.Needle) doc.Gauge {
	g := doc.Gauge{Label: aimNames[n.Aim], Unit: n.Now.Unit, Value: "--", Place: n.Place, BestPlace: n.BestPlace, HasBest: n.Best.OK()}
	if n.Now.OK() {
		g.Value, g.HasBar = liveValue(n.Now), true
	}
	if n.Now.OK() || n.Best.OK() {
		g.Poor, g.Good = end(n.Poor, n.Now.Unit), end(n.Good, n.Now.Unit)
		g.Course = doc.Course{Places: n.Course.Places, Most: placesOfMinute, Poor: end(n.Course.Poor, n.Now.Unit), Good: end(n.Course.Good, n.Now.Unit)}
	}
	if n.ScatterDB > 0 && n.Now.OK() {
		g.Spread = "±" + say.Fixed(max(0.1, n.ScatterDB), 1) + " dB"
	}
	if n.Best.OK() {
		g.BestShort = fmt.Sprintf("best %s %s", liveValue(n.Best), n.Best.Unit)
		g.Best = fmt.Sprintf("%s at %s s", g.BestShort, say.Fixed(n.BestAtS, 1))
		if n.Now.OK() && beside(n.State) {
			worse := ", now " + say.Fixed(n.GapDB, 1) + " dB worse"
			g.BestShort, g.Best = g.BestShort+worse, g.Best+worse
		}
	}
	return g
}

// beside tells whether a state is one beside the best, so that the distance says more.
func beside(state string) bool {
	return state == analyze.PastBest || state == analyze.Closer || state == analyze.ShortOf
}

// end is a reading at an end of a scale.
func end(v float64, unit string) string {
	r := analyze.Reading{Value: v, Unit: unit}
	if unit == "%" {
		return say.Significant(v, 2) + " %"
	}
	return say.Fixed(r.Value, 0) + " " + unit
}

// moods are the colours of states, which never stand without their words.
var moods = map[string]doc.Mood{analyze.Better: doc.AtBest, analyze.AtBest: doc.AtBest, analyze.PastBest: doc.PastBest,
	analyze.TooMuch: doc.Broken, analyze.NoReading: doc.Broken}
