package bench

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
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
		Gauges: []doc.Gauge{gauge(n)}}
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
		p.Warnings = append(p.Warnings, x.Text)
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

// gauge is the aim for reading from far away.
func gauge(n analyze.Needle) doc.Gauge {
	g := doc.Gauge{Label: aimNames[n.Aim], Unit: n.Now.Unit, Value: "--", State: stateWords[n.State], HasBar: true, Scale: "12 dB worse"}
	if n.Now.OK() {
		g.Value, g.Bar = liveValue(n.Now), n.Share
	} else {
		g.State = say.Why(n.Now.Why)
	}
	if n.ScatterDB > 0 && n.Now.OK() {
		g.Spread = "±" + say.Fixed(max(0.1, n.ScatterDB), 1) + " dB"
	}
	if n.Best.OK() {
		g.Best = fmt.Sprintf("best %s %s at %s s", liveValue(n.Best), n.Best.Unit, say.Fixed(n.BestAtS, 1))
		g.BestShort = fmt.Sprintf("best %s %s", liveValue(n.Best), n.Best.Unit)
		if n.Now.OK() {
			g.BestShort += ", now " + say.Fixed(n.GapDB, 1) + " dB worse"
			g.Best += ", now " + say.Fixed(n.GapDB, 1) + " dB worse"
		}
	}
	switch n.State {
	case analyze.AtBest:
		g.Mood = doc.AtBest
	case analyze.PastBest:
		g.Mood = doc.PastBest
	}
	return g
}
