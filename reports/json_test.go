package reports_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/unit"
	"hisspoint/reports"
	"hisspoint/reports/internal/handmade"
)

func written(t *testing.T, r json.Marshaler) string {
	var b bytes.Buffer
	require.NoError(t, reports.WriteJSON(&b, r))
	return b.String()
}

// keys are those of an object in the order in which they stand.
func keys(t *testing.T, object []byte) []string {
	d := json.NewDecoder(bytes.NewReader(object))
	_, err := d.Token()
	require.NoError(t, err)
	var out []string
	for d.More() {
		k, err := d.Token()
		require.NoError(t, err)
		out = append(out, k.(string))
		var skip json.RawMessage
		require.NoError(t, d.Decode(&skip))
	}
	return out
}

type raw = map[string]json.RawMessage

func object(t *testing.T, text []byte) raw {
	var o raw
	require.NoError(t, json.Unmarshal(text, &o), string(text))
	return o
}

func TestMeasureJSON(t *testing.T) {
	text := written(t, handmade.Measure())
	assert.Equal(t, []string{"schema", "tool", "version", "command", "filter", "recordings"}, keys(t, []byte(text)))
	top := object(t, []byte(text))
	assert.JSONEq(t, `1`, string(top["schema"]))
	assert.JSONEq(t, `"hisspoint"`, string(top["tool"]))
	assert.JSONEq(t, `"measure"`, string(top["command"]))
	assert.JSONEq(t, `"speech-band"`, string(top["filter"]))
	var recordings []json.RawMessage
	require.NoError(t, json.Unmarshal(top["recordings"], &recordings))
	require.Len(t, recordings, 3)

	assert.Equal(t, []string{"file", "sha256", "channel", "sample_rate_hz", "bits", "encoding", "frames", "duration_s", "used_from_s", "used_to_s",
		"readings", "harmonics", "hum_lines", "warnings"}, keys(t, recordings[0]))
	clean := object(t, recordings[0])
	assert.Equal(t, []string{"level", "tone_frequency", "tone_level", "sinad", "thd", "thd_n", "snr", "noise_level", "hum_level", "hum_frequency",
		"dc_offset", "peak"}, keys(t, clean["readings"]))
	readings := object(t, clean["readings"])
	assert.JSONEq(t, `{"value": 1.51, "unit": "%", "low": 1.31, "high": 1.66}`, string(readings["thd"]))
	assert.JSONEq(t, `{"value": -16.23, "unit": "dBFS", "no_interval": "a largest sample has no interval"}`, string(readings["peak"]))
	assert.JSONEq(t, `[{"order": 2, "percent": 1.18}, {"order": 3, "percent": 0.94}, {"order": 4, "percent": 0.001}]`, string(clean["harmonics"]))
	assert.JSONEq(t, `[{"frequency_hz": 50, "level_dbfs": -79.9}, {"frequency_hz": 100, "level_dbfs": -70.6}]`, string(clean["hum_lines"]))
	assert.JSONEq(t, `[]`, string(clean["warnings"]))
	assert.JSONEq(t, `10`, string(clean["duration_s"]))

	assert.JSONEq(t, `{"file": "missing.wav", "error": "no such file; check the name and the folder"}`, string(recordings[1]))

	lost := object(t, recordings[2])
	assert.JSONEq(t, `{"value": null, "unit": "dB", "why": "tone-missing"}`, string(object(t, lost["readings"])["sinad"]))
	assert.JSONEq(t, `[]`, string(lost["harmonics"]))
	assert.JSONEq(t, `[{"code": "clipped", "text": "12 samples are clipped: turn the input down", "at_s": [1.25, 3.5, 3.75, 4, 4.5, 5]}]`, string(lost["warnings"]))
	assert.Contains(t, text, `"folder/no <tone> & two.wav"`, "names stand as they are")
	assert.Equal(t, text, written(t, handmade.Measure()), "the same record gives the same bytes")
}

func TestSensitivityJSON(t *testing.T) {
	text := written(t, reports.Single{Version: "1.2.3", Test: handmade.Sensitivity()})
	assert.Equal(t, []string{"schema", "tool", "version", "command", "criterion", "filter", "point", "series", "budget", "verdict", "warnings"}, keys(t, []byte(text)))
	top := object(t, []byte(text))
	assert.JSONEq(t, `{"quantity": "sinad", "value": 12, "unit": "dB"}`, string(top["criterion"]))
	assert.Equal(t, []string{"status", "dbm", "low_dbm", "high_dbm", "microvolt_pd", "microvolt_emf", "contributions_db"}, keys(t, top["point"]))
	var point struct {
		Status string
		DBm    float64 `json:"dbm"`
		PD     float64 `json:"microvolt_pd"`
		EMF    float64 `json:"microvolt_emf"`
		Shares raw     `json:"contributions_db"`
	}
	require.NoError(t, json.Unmarshal(top["point"], &point))
	assert.Equal(t, "found", point.Status)
	assert.Equal(t, -117.2, point.DBm)
	assert.InDelta(t, math.Pow(10, (-117.2-10*math.Log10(1e-12/50/1e-3))/20), point.PD, 1e-12) // definition of dBm into 50 ohm
	assert.InDelta(t, 2*point.PD, point.EMF, 1e-15)
	assert.JSONEq(t, `0.58`, string(point.Shares["generator"]))

	var series []json.RawMessage
	require.NoError(t, json.Unmarshal(top["series"], &series))
	require.Len(t, series, 5)
	assert.Equal(t, []string{"dbm", "microvolt_pd", "file", "sha256", "channel", "from_s", "to_s", "readings", "warnings"}, keys(t, series[0]))

	verdict := object(t, top["verdict"])
	assert.JSONEq(t, `"pass"`, string(verdict["outcome"]))
	assert.JSONEq(t, `4.19`, string(verdict["margin_db"]))
	assert.JSONEq(t, `"guarded"`, string(verdict["rule"]))
	assert.JSONEq(t, `{"name": "sensitivity", "quantity": "sensitivity", "bound": "max", "value": -113.0103, "unit": "dBm", "typed": "0.5 \u00b5V PD",
		"source": "service manual", "standing": "user"}`, string(verdict["limit"]))
}

func TestPointsThatAreNot(t *testing.T) {
	r := reports.Single{Test: handmade.Sensitivity()}
	*r.Test.Result.Point = analyze.Point{Status: analyze.BelowRange, Why: "every reading meets it"}
	r.Test.Judged = nil
	top := object(t, []byte(written(t, r)))
	assert.JSONEq(t, `{"status": "below-range", "dbm": null, "low_dbm": null, "high_dbm": null, "microvolt_pd": null, "microvolt_emf": null, "why": "every reading meets it"}`,
		string(top["point"]))
	assert.JSONEq(t, `null`, string(top["verdict"]))

	*r.Test.Result.Point = analyze.Point{Status: analyze.Found, Level: unit.Level{Scale: unit.Relative, DB: -3.2}, Low: -3.5, High: -2.9, NotStated: []string{"generator"}}
	r.Test.Result.Rows = []analyze.Used{{Level: unit.Level{Scale: unit.Relative, DB: -3}}, {Level: unit.Level{Scale: unit.Off}}}
	top = object(t, []byte(written(t, r)))
	assert.JSONEq(t, `{"status": "found", "dbm": null, "db": -3.2, "low_db": -3.5, "high_db": -2.9, "contributions_db": {}, "not_stated": ["generator"]}`, string(top["point"]))
	var series []raw
	require.NoError(t, json.Unmarshal(top["series"], &series))
	assert.JSONEq(t, `-3`, string(series[0]["db"]))
	assert.JSONEq(t, `null`, string(series[0]["dbm"]))
	assert.JSONEq(t, `true`, string(series[1]["off"]))

	*r.Test.Result.Point = analyze.Point{Status: analyze.Found, Level: unit.DBm(-117), Low: -118, High: -116, NoInterval: "too short"}
	point := object(t, object(t, []byte(written(t, r)))["point"])
	assert.JSONEq(t, `null`, string(point["low_dbm"]))
	assert.JSONEq(t, `null`, string(point["high_dbm"]))
	assert.JSONEq(t, `"too short"`, string(point["no_interval"]))

	*r.Test.Result.Point = analyze.Point{Status: analyze.Found, Level: unit.DBm(-117), Low: -118, High: -116, OneSided: "low"}
	point = object(t, object(t, []byte(written(t, r)))["point"])
	assert.JSONEq(t, `null`, string(point["low_dbm"]))
	assert.JSONEq(t, `-116`, string(point["high_dbm"]))
	assert.JSONEq(t, `"low"`, string(point["open_side"]))
}

func TestJobJSON(t *testing.T) {
	top := object(t, []byte(written(t, handmade.Job())))
	assert.JSONEq(t, `"report"`, string(top["command"]))
	assert.Equal(t, []string{"as_found", "as_left"}, keys(t, top["rounds"]))
	left := object(t, object(t, top["rounds"])["as_left"])
	var tests []json.RawMessage
	require.NoError(t, json.Unmarshal(left["tests"], &tests))
	require.Len(t, tests, 1)
	assert.JSONEq(t, `"pass"`, string(object(t, object(t, tests[0])["verdict"])["outcome"]))
	assert.JSONEq(t, `[{"kind": "sensitivity", "figure": "sensitivity", "change": {"value": 10, "unit": "dB", "low": 9.72, "high": 10.28}, "significant": false}]`, string(top["changes"]))
}

// A record that holds no number that JSON can write is refused, not bent.
func TestNoNumberIsRefused(t *testing.T) {
	r := reports.Single{Test: handmade.Sensitivity()}
	r.Test.Result.Point.Level.DB = math.NaN()
	var b bytes.Buffer
	assert.Error(t, reports.WriteJSON(&b, r))
	assert.Empty(t, b.String())
}

// RFC 4180: lines end in CRLF, all have as many cells as the head, a cell with
// a comma or a quote is quoted and its quotes are doubled.
func TestSeriesCSV(t *testing.T) {
	job := handmade.Job()
	job.Rounds[0].Tests[0].Result.Rows[1].Measured.Origin.File = `a "quoted", name.wav`
	var b bytes.Buffer
	require.NoError(t, reports.WriteSeriesCSV(&b, job.Rounds...))
	text := b.String()
	assert.Equal(t, strings.Count(text, "\n"), strings.Count(text, "\r\n"))
	assert.Contains(t, text, `,"a ""quoted"", name.wav",`)
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+2*5)
	cell := func(row int, head string) string {
		for i, h := range rows[0] {
			if h == head {
				return rows[row][i]
			}
		}
		t.Fatalf("no column %s in %v", head, rows[0])
		return ""
	}
	assert.Equal(t, "as_found", cell(1, "round"))
	assert.Equal(t, "as_left", cell(6, "round"))
	assert.Equal(t, "", cell(1, "sinad_db"))
	assert.Equal(t, "clipped", cell(1, "warnings"))
	assert.Equal(t, "5.31", cell(2, "sinad_db"))
	low, err := strconv.ParseFloat(cell(2, "sinad_low_db"), 64)
	require.NoError(t, err)
	assert.InDelta(t, 5.31-0.44, low, 1e-12)
	assert.Equal(t, "-120.97", cell(2, "level_dbm"))
	assert.Equal(t, "-16.23", cell(2, "peak_dbfs"))
}
