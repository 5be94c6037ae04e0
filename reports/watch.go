package reports

import (
	"strconv"
	"strings"
	"time"

	"hisspoint/analyze"
)

// A time of day, exact (RFC 3339), and as a spreadsheet takes it.
const (
	timeOfDay = "2006-01-02T15:04:05.000Z07:00"
	timeInRow = "2006-01-02T15:04:05.000"
)

// WatchHead says where the readings that follow come from.
type WatchHead struct {
	Version, Device string
	Rate, Channels  int
	Filter          string
	Seconds         float64 // time constant
}

// MarshalJSON writes it as the first line of `watch --json`.
func (h WatchHead) MarshalJSON() ([]byte, error) {
	return marshal(object{{"schema", Schema}, {"tool", Tool}, {"version", h.Version}, {"command", "watch"}, {"device", h.Device},
		{"sample_rate_hz", h.Rate}, {"channels", h.Channels}, {"filter", h.Filter}, {"time_constant_s", h.Seconds}})
}

// Watch is one reading of a sound that goes on.
type Watch struct {
	At       time.Time // of day
	AtS      float64   // seconds from the beginning of the sound to the end of what was read
	Measured analyze.Measured
	Needle   analyze.Needle
}

type needleJSON struct {
	Name      string      `json:"name"`
	State     string      `json:"state"`
	Best      readingJSON `json:"best"`
	BestAtS   *float64    `json:"best_t_s"`
	GapDB     *float64    `json:"gap_db"`
	Scale     *scaleJSON  `json:"scale"`
	Place     *float64    `json:"place"`
	BestPlace *float64    `json:"best_place"`
	PitchHz   float64     `json:"pitch_hz"`
	ScatterDB *float64    `json:"scatter_db"`
	Unsteady  string      `json:"unsteady,omitempty"`
	Advice    string      `json:"advice,omitempty"`
	Beside    *needleJSON `json:"beside,omitempty"`
}

// scaleJSON is what the ends of the bar stand for.
type scaleJSON struct {
	Poor float64 `json:"poor"`
	Good float64 `json:"good"`
	Unit string  `json:"unit"`
}

func jsonNeedle(n analyze.Needle) needleJSON {
	j := needleJSON{Name: n.Aim, State: n.State, Best: jsonReading(n.Best), Unsteady: n.Unsteady, Advice: n.Advice, PitchHz: n.PitchHz}
	if n.Now.OK() {
		j.Scale, j.Place = &scaleJSON{n.Poor, n.Good, n.Now.Unit}, &n.Place
	}
	if n.Best.OK() {
		j.BestAtS, j.BestPlace = &n.BestAtS, &n.BestPlace
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
		T        float64       `json:"t_s"`
		Time     string        `json:"time"`
		Readings object        `json:"readings"`
		Warnings []warningJSON `json:"warnings"`
		Aim      needleJSON    `json:"aim"`
	}{w.AtS, w.At.Format(timeOfDay), readings(w.Measured.Readings), warnings(w.Measured.Warnings), jsonNeedle(w.Needle)})
}

// WatchColumns are the columns of a log of live readings.
const WatchColumns = "time,t_s,level_dbfs,tone_level_dbfs,sinad_db,thd_percent,noise_dbfs,tone_hz,best,state,warnings"

// CSV is the reading as a row of such a log.
func (w Watch) CSV() string {
	cells := []string{w.At.Format(timeInRow), csvFloat(w.AtS)}
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
