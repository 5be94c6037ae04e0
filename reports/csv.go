package reports

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture/doors/print"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// csvColumn is one reading of a series as it stands in the table.
type csvColumn struct {
	name, head string // name of the reading; head of its column, with its unit
	interval   bool
}

var csvColumns = []csvColumn{
	{analyze.Level, "level_dbfs", true}, {analyze.ToneFrequency, "tone_frequency_hz", true}, {analyze.ToneLevel, "tone_level_dbfs", true},
	{analyze.SINAD, "sinad_db", true}, {analyze.THD, "thd_percent", true}, {analyze.THDN, "thd_n_percent", true}, {analyze.SNR, "snr_db", true},
	{analyze.NoiseLevel, "noise_level_dbfs", true}, {analyze.HumLevel, "hum_level_dbfs", true}, {analyze.HumFrequency, "hum_frequency_hz", false},
	{analyze.DCOffset, "dc_offset_fs", true}, {analyze.Peak, "peak_dbfs", false},
	{job.QuantityQuieting, "quieting_db", true}, {job.QuantitySNN, "sn_n_db", true}, {analyze.LevelVolts, "level_volts", true}, {analyze.Power, "power_w", true},
}

// WriteSeriesCSV writes the series of all rounds as one table after RFC 4180:
// comma, CRLF, a head line with units, full precision, a point for the decimal
// sign. A cell without a value is empty. A text that a spreadsheet would take for a
// formula is given as text, see asText.
func WriteSeriesCSV(w io.Writer, rounds ...Round) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	head := []string{"round", "test", "name", "part", "level", "level_dbm", "level_uv_pd", "level_uv_emf", "level_db", "file", "channel", "from_s", "to_s"}
	for _, c := range csvColumns {
		head = append(head, c.head)
		if c.interval {
			quantity, u := cutUnit(c.head)
			head = append(head, quantity+"_low"+u, quantity+"_high"+u)
		}
	}
	if err := out.Write(append(head, "warnings")); err != nil {
		return err
	}
	for _, round := range rounds {
		for _, t := range round.Tests {
			for _, row := range csvRows(round.Name, t) {
				if err := out.Write(row); err != nil {
					return err
				}
			}
		}
	}
	out.Flush()
	return out.Error()
}

// csvRows are the recordings of one test.
func csvRows(round string, t Test) [][]string {
	var rows [][]string
	for _, u := range t.Result.Series() {
		part := u.Take.State
		if t.Result.Point == nil {
			part, u.Level = asText(u.Label), u.Take.Level
			if u.Take.Typed == "" { // the test states no level; an empty cell is not "off"
				u.Level = unit.Level{Scale: unit.Off}
			}
		}
		rows = append(rows, csvRow([]string{round, t.Kind, asText(t.Name), part}, u))
	}
	return rows
}

func csvRow(first []string, row analyze.Used) []string {
	m := row.Measured
	m.Readings = append(slices.Clip(m.Readings), row.Worth...)
	var dbm, pd, emf, db string
	level := row.Level.String()
	if row.Take.Typed == "" && row.Take.State != job.StateOff && row.Level.Scale == unit.Off {
		level = ""
	}
	switch row.Level.Scale {
	case unit.Absolute:
		dbm, pd, emf = exact(row.Level.DB), exact(unit.MicrovoltPD(row.Level.DB)), exact(unit.MicrovoltEMF(row.Level.DB))
	case unit.Relative:
		db = exact(row.Level.DB)
	}
	cells := append(first, level, dbm, pd, emf, db, asText(m.Origin.File), strconv.Itoa(m.Origin.Channel), exact(m.From), exact(m.To))
	for _, c := range csvColumns {
		r := m.Get(c.name)
		cells = append(cells, known(r.OK(), r.Value))
		if c.interval {
			cells = append(cells, known(r.HasInterval(), r.Low), known(r.HasInterval(), r.High))
		}
	}
	var codes []string
	for _, w := range m.Warnings {
		codes = append(codes, string(w.Code))
	}
	return append(cells, strings.Join(codes, " "))
}

// asText puts an apostrophe before a text that begins with =, +, -, @, a tab or
// a carriage return, spaces before it or not, since spreadsheets run what begins
// so, even within quotes. An apostrophe is a text mark there and is not shown, so
// the cell reads as typed; other programs take it off. A text that begins with an
// apostrophe gets another one, so that what was typed can always be had back.
// Figures are never touched: only texts that a person typed or a file bears.
func asText(s string) string {
	first := strings.TrimLeft(s, " \u00a0\ufeff\u3000")
	if first != "" && strings.ContainsRune("=+-@\t\r'\uff1d\uff0b\uff0d\uff20", []rune(first)[0]) {
		s = "'" + s
	}
	return print.Lines(s)
}

// cutUnit splits a head before its unit: "sinad_db" into "sinad" and "_db".
func cutUnit(head string) (quantity, unit string) {
	i := strings.LastIndex(head, "_")
	return head[:i], head[i:]
}

func known(ok bool, v float64) string {
	if !ok {
		return ""
	}
	return exact(v)
}

func exact(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
