package kind

import (
	"errors"
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/point"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// Sensitivity measures the recordings of a test, one for each of its takes in
// the same order, and finds the level at which the series crosses the criterion.
//
// Levels are those at the set: what the generator was set to less pad and cable.
// The crossing is found on the measured curve itself and never extrapolated; a
// row without a tone counts as worse than the criterion. The interval joins the
// scatter of the readings with the stated uncertainties of generator and pad,
// each taken as the half-width of a rectangular distribution (u = a/sqrt 3), as
// in ETSI TR 100 028, with the expansion k = 1.96.
//
// It fails if a recording cannot be read, or if the recordings do not belong
// into one series.
func Sensitivity(t job.Setup, rs []capture.Recording) (analyze.SensitivityResult, error) {
	if len(rs) != len(t.Takes) {
		return analyze.SensitivityResult{Setup: t}, fmt.Errorf("%d recordings for %d levels: give each recording one level", len(rs), len(t.Takes))
	}
	rows := make([]analyze.Row, len(rs))
	for i, r := range rs {
		m, err := reading.Measure(r, t.Reading)
		if err != nil {
			return analyze.SensitivityResult{Setup: t}, err
		}
		rows[i] = analyze.Row{Take: t.Takes[i], Measured: m}
	}
	return SensitivityOf(t, rows)
}

// SensitivityOf is Sensitivity on recordings that have been measured already,
// so that they can be measured on all cores. Each row needs Take and Measured.
func SensitivityOf(t job.Setup, rows []analyze.Row) (analyze.SensitivityResult, error) {
	res := analyze.SensitivityResult{Setup: t, Series: analyze.Series{Axis: "level", Unit: "dBm"}}
	rows = append([]analyze.Row(nil), rows...)
	scale, err := point.Place(rows, t.Path)
	if err != nil {
		return res, err
	}
	res.Series.Unit = scale
	count := rows
	switch t.Criterion.Quantity {
	case job.QuantityQuieting:
		if err := quieting(rows, &res); err != nil {
			return res, err
		}
	case job.QuantitySNN:
		if count, err = signalNoise(rows, t); err != nil {
			return res, err
		}
	default:
		for i := range rows {
			rows[i].Worth = rows[i].Measured.Get(analyze.SINAD)
		}
	}
	// A carrier that drifts moves the tone of an SSB set.
	if t.Criterion.Quantity != job.QuantityQuieting && t.Reading.Mode != job.SSB {
		if err := oneTone(count); err != nil {
			return res, err
		}
	}
	res.Series.Rows = rows
	for i := range rows {
		if rows[i].Level.Scale == unit.Off && res.Hiss == nil {
			res.Hiss = &res.Series.Rows[i]
		}
	}
	res.Warnings = append(res.Warnings, doubtful(rows)...)
	res.Point = point.Of(count, t.Criterion, t.Path, res.Hiss)
	return res, nil
}

// repeatsDiffer is by how much, in dB, two readings at one level may differ
// before it is said, if it is also beyond their scatter.
const repeatsDiffer = 1

// doubtful names repeats that contradict each other and readings too short to count.
func doubtful(rows []analyze.Row) []capture.Warning {
	var out []capture.Warning
	for i, a := range rows {
		if a.Level.Scale == unit.Off || !a.Worth.OK() {
			continue
		}
		if !a.Worth.HasInterval() {
			out = append(out, capture.Warning{Code: capture.TooShort, Text: a.Take.File + " is too short for an interval and counts only if nothing better is there"})
			continue
		}
		for _, b := range rows[i+1:] {
			if b.Level != a.Level || !b.Worth.HasInterval() {
				continue
			}
			d := math.Abs(a.Worth.Value - b.Worth.Value)
			if d > math.Max(repeatsDiffer, 4*math.Hypot(analyze.StandardError(a.Worth), analyze.StandardError(b.Worth))) {
				out = append(out, capture.Warning{Code: capture.RepeatsDiffer,
					Text: fmt.Sprintf("%s and %s have the same level but differ by %.1f dB: check which level was set", a.Take.File, b.Take.File, d)})
			}
		}
	}
	return out
}

// sameTone is by how much, as a share, tones of one series may differ.
const sameTone = 0.01

// oneTone refuses recordings of different tones: they are of different tests.
func oneTone(rows []analyze.Row) error {
	hz, file := 0.0, ""
	for _, r := range rows {
		f := r.Measured.Get(analyze.ToneFrequency).Value
		if f == 0 {
			f = r.Measured.OtherTone
		}
		switch {
		case f == 0:
		case hz == 0:
			hz, file = f, r.Take.File
		case math.Abs(f/hz-1) > sameTone:
			return fmt.Errorf("%s has a tone of %.0f Hz and %s one of %.0f Hz: a series needs one tone at every level", r.Take.File, f, file, hz)
		}
	}
	return nil
}

// quieting sets each row's worth: by how much its noise lies below the hiss
// without a signal. Repeats of the hiss are averaged as powers.
func quieting(rows []analyze.Row, res *analyze.SensitivityResult) error {
	power, n := 0.0, 0
	for _, r := range rows {
		if r.Level.Scale == unit.Off {
			if h := r.Measured.Get(analyze.NoiseLevel); h.OK() {
				power += math.Pow(10, h.Value/10)
				n++
			}
		}
	}
	if n == 0 {
		return errors.New("quieting needs a recording with the generator off: name it off.wav or give the level off")
	}
	hiss := 10 * math.Log10(power/float64(n))
	for i := range rows {
		noise := rows[i].Measured.Get(analyze.NoiseLevel)
		tone := rows[i].Measured.Get(analyze.ToneLevel)
		w := analyze.None(job.QuantityQuieting, "dB", noise.Why)
		switch {
		case tone.OK():
			w = analyze.None(job.QuantityQuieting, "dB", "modulated: quieting needs a carrier without modulation")
		case noise.HasInterval():
			w = analyze.NewReading(job.QuantityQuieting, "dB", hiss-noise.Value, hiss-noise.High, hiss-noise.Low)
		case noise.OK():
			w = analyze.Exact(job.QuantityQuieting, "dB", hiss-noise.Value, noise.NoInterval)
		}
		rows[i].Worth = w
	}
	return nil
}
