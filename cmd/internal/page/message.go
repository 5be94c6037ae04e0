package page

import "hisspoint/reports/doc"

// message is what a viewer is sent: what is seen, in the words in which it is seen
// everywhere.
type message struct {
	N       int      `json:"n"` // rises by one with each
	Step    string   `json:"step"`
	Buttons []Button `json:"buttons"`
	Panel   panel    `json:"panel"`
}

type panel struct {
	Title    string   `json:"title"`
	Source   string   `json:"source"`
	Page     string   `json:"page"`
	Text     []string `json:"text"`
	Gauges   []gauge  `json:"gauges"`
	Say      string   `json:"say"`
	Mood     doc.Mood `json:"mood"`
	Figures  []figure `json:"figures"`
	State    string   `json:"state"`
	Advice   string   `json:"advice"`
	Warnings []string `json:"warnings"`
	Prompt   string   `json:"prompt"`
}

type gauge struct {
	Label     string  `json:"label"`
	Value     string  `json:"value"`
	Unit      string  `json:"unit"`
	Spread    string  `json:"spread"`
	Place     float64 `json:"place"`
	BestPlace float64 `json:"best_place"`
	HasBar    bool    `json:"has_bar"`
	HasBest   bool    `json:"has_best"`
	Poor      string  `json:"poor"`
	Good      string  `json:"good"`
	Best      string  `json:"best"`
	Course    course  `json:"course"`
}

type course struct {
	Places []float64 `json:"places"`
	Most   int       `json:"most"`
	Poor   string    `json:"poor"`
	Good   string    `json:"good"`
}

type figure struct {
	Label string `json:"label"`
	Value string `json:"value"`
}

// places to a thousandth: no screen shows more.
func places(all []float64) []float64 {
	out := make([]float64, len(all))
	for i, p := range all {
		out[i] = float64(int(1000*p)) / 1000
	}
	return out
}

func plain(p doc.Panel) panel {
	out := panel{Title: p.Title, Source: p.Source, Page: p.Page, Text: append([]string{}, p.Text...), Gauges: []gauge{}, Say: p.Say, Mood: p.Mood,
		Figures: []figure{}, State: p.State, Advice: p.Advice, Warnings: append([]string{}, p.Warnings...), Prompt: p.Prompt}
	for _, g := range p.Gauges {
		out.Gauges = append(out.Gauges, gauge{g.Label, g.Value, g.Unit, g.Spread, g.Place, g.BestPlace, g.HasBar, g.HasBest, g.Poor, g.Good, g.Best,
			course{places(g.Course.Places), g.Course.Most, g.Course.Poor, g.Course.Good}})
	}
	for _, f := range p.Figures {
		out.Figures = append(out.Figures, figure{f.Label, f.Value})
	}
	return out
}
