package run

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/card"
	"hisspoint/analyze/response"
	"hisspoint/capture"
	"hisspoint/capture/doors/read"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

// Response reads the audio response from files, and what became of it since
// other files if there are any.
func (rn Runner) Response(files, before []string, how analyze.ResponseHow, use Use) (reports.Response, error) {
	out := reports.Response{Version: rn.Version}
	var err error
	if out.Result, err = rn.response(files, how, use); err != nil || len(before) == 0 {
		return out, err
	}
	if how.Kind == "" || how.Kind == analyze.ResponseAuto {
		how.Kind = out.Result.Kind
	}
	was, err := rn.response(before, how, use)
	if err != nil {
		return out, err
	}
	out.Change = &reports.ResponseChange{Before: was, Difference: response.Compare(out.Result, was)}
	return out, nil
}

func (rn Runner) response(files []string, how analyze.ResponseHow, use Use) (analyze.ResponseResult, error) {
	if use.Channel == AllChannels {
		return analyze.ResponseResult{}, errors.New("--channel all: a response is read from one channel; give its number")
	}
	reading, err := rn.tied(job.Reading{}, files...)
	if err != nil {
		return analyze.ResponseResult{}, err
	}
	how.Card = reading.Card
	opened, closeAll, err := rn.openAll(files)
	if err != nil {
		return analyze.ResponseResult{}, err
	}
	defer closeAll()
	use, why, err := rn.oneChannel(inOrder(files, opened), job.Reading{}, use, true)
	if err != nil || why != "" {
		return analyze.ResponseResult{How: how, Why: why}, err
	}
	var rs []capture.Recording
	for _, f := range inOrder(files, opened) {
		one, err := use.of(f)
		if err != nil {
			return analyze.ResponseResult{}, err
		}
		rs = append(rs, one[0])
	}
	r, err := response.Measure(rs, how)
	if err == nil {
		r.Warnings = append(r.Warnings, card.OfResponse(r)...)
	}
	return r, err
}

// MonitorCurve is a monitor's curve by name, or as a file states it: what
// response --json wrote of a recording of the monitor, or two columns, Hz and dB,
// separated by commas or semicolons, with or without a heading.
func (rn Runner) MonitorCurve(name string) (analyze.MonitorCurve, error) {
	plain := strings.ToLower(strings.ReplaceAll(unit.Plain(name), " ", ""))
	if plain == "" || slices.Contains(analyze.MonitorNames, plain) {
		return analyze.MonitorCurve{Name: plain}, nil
	}
	shown := display(name)
	b, err := read.Whole(filepath.Join(rn.Dir, name), read.MostCurve)
	switch {
	case errors.Is(err, read.ErrLarge):
		return analyze.MonitorCurve{}, fmt.Errorf("%s: is too large for a curve; name a file of response --json, or of two columns, Hz and dB", shown)
	case errors.Is(err, fs.ErrNotExist):
		return analyze.MonitorCurve{}, fmt.Errorf("%s: is no curve with a name (%s) and cannot be opened as a file", shown, strings.Join(analyze.MonitorNames, ", "))
	case err != nil:
		return analyze.MonitorCurve{}, fmt.Errorf("%s: cannot be read (%w); name a file of response --json, or of two columns, Hz and dB", shown, err)
	}
	points, err := curvePoints(b)
	if err != nil {
		return analyze.MonitorCurve{}, fmt.Errorf("%s: %w", shown, err)
	}
	return monitorOf(shown, points)
}

// curvePoint is one line of a curve: Hz, dB and the half-width of its interval.
type curvePoint struct{ hz, dB, half float64 }

func curvePoints(b []byte) ([]curvePoint, error) {
	b = bytes.TrimPrefix(b, []byte("\xef\xbb\xbf"))
	if t := bytes.TrimSpace(b); len(t) > 0 && t[0] == '{' {
		return curveJSON(t)
	}
	r := csv.NewReader(bytes.NewReader(b))
	if bytes.IndexByte(b, ';') >= 0 {
		r.Comma = ';'
	}
	r.FieldsPerRecord, r.TrimLeadingSpace, r.Comment = -1, true, '#'
	rows, err := r.ReadAll()
	if err != nil {
		return nil, errors.New("is neither JSON nor columns of Hz and dB")
	}
	var out []curvePoint
	for i, row := range rows {
		if len(row) < 2 {
			return nil, fmt.Errorf("row %d has no two columns; write Hz and dB", i+1)
		}
		hz, errHz := unit.ParseNumber(strings.TrimSpace(row[0]))
		dB, errDB := unit.ParseNumber(strings.TrimSpace(row[1]))
		if errHz != nil || errDB != nil {
			if i == 0 {
				continue // a heading
			}
			return nil, fmt.Errorf("row %d does not hold two numbers; write Hz and dB", i+1)
		}
		out = append(out, curvePoint{hz: hz, dB: dB})
	}
	return out, nil
}

func curveJSON(b []byte) ([]curvePoint, error) {
	var in struct {
		Command string `json:"command"`
		Points  []struct {
			Hz   float64 `json:"frequency_hz"`
			DB   float64 `json:"db"`
			Low  float64 `json:"low"`
			High float64 `json:"high"`
		} `json:"points"`
	}
	if err := json.Unmarshal(b, &in); err != nil || in.Command != "response" {
		return nil, errors.New("is no record that response --json wrote")
	}
	var out []curvePoint
	for _, p := range in.Points {
		out = append(out, curvePoint{p.Hz, p.DB, (p.High - p.Low) / 2})
	}
	return out, nil
}

// monitorOf checks the points of a curve.
func monitorOf(name string, points []curvePoint) (analyze.MonitorCurve, error) {
	m := analyze.MonitorCurve{Name: name}
	slices.SortFunc(points, func(a, b curvePoint) int {
		switch {
		case a.hz < b.hz:
			return -1
		case a.hz > b.hz:
			return 1
		}
		return 0
	})
	for i, p := range points {
		if !(p.hz > 0 && p.hz < 1e6 && p.dB > -200 && p.dB < 200 && p.half >= 0 && p.half < 200) {
			return m, fmt.Errorf("%s: %g Hz, %g dB is no point of a curve", name, p.hz, p.dB)
		}
		if i > 0 && p.hz == points[i-1].hz {
			return m, fmt.Errorf("%s: has two lines for %g Hz; keep one", name, p.hz)
		}
		m.Hz, m.DB, m.SD = append(m.Hz, p.hz), append(m.DB, p.dB), append(m.SD, p.half/1.96)
	}
	if len(points) < 2 || points[0].hz > 1000 || points[len(points)-1].hz < 1000 {
		return m, fmt.Errorf("%s: does not reach from below to above 1000 Hz; a curve is relative to 1 kHz", name)
	}
	return m, nil
}
