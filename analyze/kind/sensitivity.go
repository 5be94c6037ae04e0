package kind

import (
	"errors"
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/point"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
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
func Sensitivity(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	if t.OneFile && len(rs) > 0 {
		return steppedSensitivity(t, rs[0])
	}
	rows, _, err := takes.Gather(t, rs, nil)
	if err != nil {
		return analyze.Result{Setup: t}, err
	}
	return SensitivityOf(t, rows)
}

// SensitivityOf is Sensitivity on recordings that have been measured already, so that
// each can be opened and closed by itself. Each row needs Take and Measured.
func SensitivityOf(t job.Setup, rows []analyze.Used) (analyze.Result, error) {
	res := analyze.Result{Setup: t, Rows: append([]analyze.Used(nil), rows...)}
	scale, err := point.Place(res.Rows, t.Path)
	if err != nil {
		return res, err
	}
	count := res.Rows
	switch t.Criterion.Quantity {
	case job.QuantityQuieting:
		err = quieting(res.Rows)
	case job.QuantitySNN:
		count, err = signalNoise(res.Rows, t)
	default:
		for i, u := range res.Rows {
			res.Rows[i].Worth = []analyze.Reading{u.Measured.Get(analyze.SINAD)}
		}
	}
	// A carrier that drifts moves the tone of an SSB set.
	if err == nil && t.Criterion.Quantity != job.QuantityQuieting && t.Mode != job.SSB {
		err = oneTone(count)
	}
	if err != nil {
		return res, err
	}
	res.Warnings = append(doubtful(res), contradicts(count, t)...)
	p := point.Of(count, t.Criterion, t.Path, t.Mode, res.Hiss())
	if scale == unit.Relative {
		p.Level.Scale = scale
	}
	return res.WithPoint(p), nil
}

// repeatsDiffer is by how much, in dB, two readings at one level may differ
// before it is said, if it is also beyond their scatter.
const repeatsDiffer = 1

// doubtful names repeats that contradict each other and readings too short to count.
func doubtful(r analyze.Result) []capture.Warning {
	var out []capture.Warning
	for i, a := range r.Rows {
		x := r.WorthOf(a)
		if a.Level.Scale == unit.Off || !x.OK() {
			continue
		}
		if !x.HasInterval() {
			out = append(out, capture.Warning{Code: capture.TooShort, Says: note.Of("too-short", a.Take.File)})
			continue
		}
		for _, b := range r.Rows[i+1:] {
			y := r.WorthOf(b)
			if b.Level != a.Level || !y.HasInterval() {
				continue
			}
			d := math.Abs(x.Value - y.Value)
			if d > math.Max(repeatsDiffer, 4*math.Hypot(analyze.StandardError(x), analyze.StandardError(y))) {
				out = append(out, capture.Warning{Code: capture.RepeatsDiffer,
					Says: note.Of("repeats-differ", a.Take.File, b.Take.File, note.DB(d))})
			}
		}
	}
	return out
}

// contradicts names levels whose readings do not fit the others.
func contradicts(rows []analyze.Used, t job.Setup) (all []capture.Warning) {
	for _, c := range point.Contradictions(rows, t.Criterion, t.Mode) {
		at, off := namedLevel(rows, c.LevelDB), note.DB(math.Abs(c.OffDB))
		says := note.Of("level-contradicts", at, off)
		if c.Fits {
			says = note.Of("level-fits-beside", at, off, note.DB(c.FitsDB-c.LevelDB))
		}
		all = append(all, capture.Warning{Code: capture.SeriesContradicts, Says: says})
	}
	if all == nil {
		return mixedLevels(t, rows)
	}
	return all
}

// namedLevel is a level as a person knows it, with its recording.
func namedLevel(rows []analyze.Used, dB float64) string {
	for _, u := range rows {
		if math.Abs(u.Level.DB-dB) < 1e-6 {
			return u.Take.TypedLevel() + " (" + u.Take.File + ")"
		}
	}
	return fmt.Sprintf("%.1f dBm", dB)
}

// mixedLevels names two readings in the wrong order, where no level lies off the course of
// the others: the first and the last have neighbours on one side only.
func mixedLevels(t job.Setup, rows []analyze.Used) []capture.Warning {
	m, ok := point.Mixed(rows, t.Criterion)
	if !ok {
		return nil
	}
	one, other := rows[m.Row], rows[m.Against]
	parts := []any{namedLevel(rows, one.Level.DB), note.DB(one.Get(t.Criterion.Quantity).Value), namedLevel(rows, other.Level.DB), note.DB(other.Get(t.Criterion.Quantity).Value)}
	says := note.Of("levels-out-of-order", parts...)
	if m.Fits.Take.File != "" {
		says = note.Of("level-fits-order", append(parts, note.DB(m.Fits.Level.DB-one.Level.DB))...)
	}
	return []capture.Warning{{Code: capture.SeriesContradicts, Says: says}}
}

// sameTone is by how much, as a share, tones of one series may differ.
const sameTone = 0.01

// oneTone refuses recordings of different tones: they are of different tests.
func oneTone(rows []analyze.Used) error {
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

// quieting sets each row's worth: by how much all that is heard of it through the filter
// lies below the hiss without a signal. Repeats of the hiss are averaged as powers.
func quieting(rows []analyze.Used) error {
	power, n := 0.0, 0
	for _, r := range rows {
		if r.Level.Scale == unit.Off {
			if h := allHeard(r.Measured); h.OK() {
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
		noise := allHeard(rows[i].Measured)
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
		rows[i].Worth = []analyze.Reading{w}
	}
	return nil
}
