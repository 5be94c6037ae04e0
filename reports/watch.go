package reports

import (
	"strconv"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
)

// Watch is one reading of a sound that goes on.
type Watch struct {
	AtS      float64 // seconds from the beginning of the sound to the end of what was read
	Measured analyze.Measured
	Needle   analyze.Needle
}

type needleJSON struct {
	Name      string      `json:"name"`
	State     string      `json:"state"`
	Best      readingJSON `json:"best"`
	BestAtS   *float64    `json:"best_t_s"`
	GapDB     *float64    `json:"gap_db"`
	ScatterDB *float64    `json:"scatter_db"`
	Unsteady  string      `json:"unsteady,omitempty"`
	Advice    string      `json:"advice,omitempty"`
	Beside    *needleJSON `json:"beside,omitempty"`
}

func jsonNeedle(n analyze.Needle) needleJSON {
	j := needleJSON{Name: n.Aim, State: n.State, Best: jsonReading(n.Best), Unsteady: n.Unsteady, Advice: n.Advice}
	if n.Best.OK() {
		j.BestAtS = &n.BestAtS
		if n.Now.OK() {
			j.GapDB = &n.GapDB
		}
	}
	if n.ScatterDB > 0 {
		j.ScatterDB = &n.ScatterDB
	}
	if n.Beside != nil {
		b := jsonNeedle(*n.Beside)
		j.Beside = &b
	}
	return j
}

// MarshalJSON writes the reading as `watch --json` does, on one line.
func (w Watch) MarshalJSON() ([]byte, error) {
	return marshal(struct {
		T        float64           `json:"t_s"`
		Readings object            `json:"readings"`
		Warnings []capture.Warning `json:"warnings"`
		Aim      needleJSON        `json:"aim"`
	}{w.AtS, readings(w.Measured.Readings), warnings(w.Measured.Warnings), jsonNeedle(w.Needle)})
}

// WatchColumns are the columns of a log of live readings.
const WatchColumns = "time,t_s,level_dbfs,tone_level_dbfs,sinad_db,thd_percent,noise_dbfs,tone_hz,best,state,warnings"

// CSV is the reading as a row of such a log, at a time of day as text.
func (w Watch) CSV(at string) string {
	cells := []string{at, csvFloat(w.AtS)}
	for _, name := range []string{analyze.Level, analyze.ToneLevel, analyze.SINAD, analyze.THD, analyze.NoiseLevel, analyze.ToneFrequency} {
		cells = append(cells, csvReading(w.Measured.Get(name)))
	}
	var codes []string
	for _, x := range w.Measured.Warnings {
		codes = append(codes, string(x.Code))
	}
	cells = append(cells, csvReading(w.Needle.Best), w.Needle.State, strings.Join(codes, " "))
	return strings.Join(cells, ",")
}

func csvReading(r analyze.Reading) string {
	if !r.OK() {
		return ""
	}
	return csvFloat(r.Value)
}

func csvFloat(v float64) string { return strconv.FormatFloat(v, 'g', 8, 64) }
