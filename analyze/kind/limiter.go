package kind

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/parts"
	"hisspoint/analyze/point"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

const (
	standardShare = 0.6  // of the rated deviation: standard test modulation
	raisedBy      = 20.0 // dB above the input for that (modulation limiting, TIA-603 2.2.3, from memory)
)

// Limiter measures deviation against the audio at the microphone socket, each by
// substitution as Deviation does: the input for 60 % of the rated deviation (the
// microphone gain), the deviation with 20 dB more, and the largest of all, which
// must not exceed the rated one. In one recording in which the input was stepped,
// the steps are found, and the peaks after each upward step tell how far the
// limiter overshoots before it holds.
func Limiter(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	known, why := knownReference(t, rs, job.SettingReferenceDeviation, unit.ParseFrequency)
	rated, err := unit.ParseFrequency(t.Setting(job.SettingRatedDeviation))
	if why == "" && (err != nil || rated <= 0) {
		why = "the set's rated deviation is needed: write it as rated_deviation"
	}
	for _, k := range t.Takes {
		if why == "" && InputsRelative([]job.Take{k}) != InputsRelative(t.Takes) {
			why = "some inputs are in volts and some in dB: write all alike"
		}
	}
	if why != "" {
		return analyze.Refused(t, why), nil
	}
	m, ref, why, err := referenceOf(t, rs[len(rs)-1], known)
	if err != nil {
		return analyze.Result{}, err
	}
	if why != "" {
		return analyze.Refused(t, why, ref), nil
	}
	l := limiter{t: t, m: m, rated: rated}
	if t.OneFile {
		why, err = l.stepped(rs[0])
	} else {
		for i, k := range t.Takes {
			if why, err = l.add(k, rs[i]); why != "" || err != nil {
				break
			}
		}
	}
	if err != nil {
		return analyze.Result{}, err
	}
	if why != "" {
		return analyze.Refused(t, why, append(l.rows, ref)...), nil
	}
	return l.result(ref), nil
}

type limiter struct {
	t     job.Setup
	m     monitor
	rated float64
	rows  []analyze.Used
	ps    []point.Spot // deviation over input
	own   []point.Spot // the same without the reference's uncertainty, which all inputs share
	shoot analyze.Reading

	warnings []capture.Warning
}

// add measures the deviation at one input.
func (l *limiter) add(k job.Take, r capture.Recording) (why string, err error) {
	u, w, why, err := readWave(r, l.t.Reading, "input "+k.AtTyped)
	if why != "" || err != nil {
		return why, err
	}
	u.Take = k
	if l.warnings == nil {
		l.warnings = l.m.otherTone(w)
	}
	own := l.m.peak(w, job.QuantityDeviation, math.Max)
	dev := l.m.widened(own)
	u.Worth = []analyze.Reading{dev, u.Measured.Get(analyze.THD)}
	l.rows = append(l.rows, u)
	l.ps, l.own = append(l.ps, point.Spot{X: k.At, Y: dev}), append(l.own, point.Spot{X: k.At, Y: own})
	return "", nil
}

// stepped finds the inputs' stretches in one recording.
func (l *limiter) stepped(r capture.Recording) (why string, err error) {
	stretches, err := l.plateaus(r)
	if why := takes.MisfitText(err); why != "" {
		return why, nil
	}
	if err != nil {
		return "", err
	}
	for i := range l.t.Takes {
		p := stretches[min(i, len(stretches)-1)]
		from := parts.Frames(r, p.From-r.FromSeconds())
		part, err := r.Cut(from, parts.Frames(r, p.To-r.FromSeconds())-from)
		if err != nil {
			return "", err
		}
		k := l.t.Takes[i]
		k.From, k.To = p.From, p.To
		if why, err := l.add(k, part); why != "" || err != nil {
			return why, err
		}
		if i > 0 && i < len(stretches) && k.At > l.t.Takes[i-1].At {
			if err := l.overshoot(r, stretches[i-1].To, p, l.ps[i].Y); err != nil {
				return "", err
			}
		}
	}
	return "", nil
}

// plateaus are the stretches of the inputs, one each or fewer: inputs beyond the
// limiter sound alike, and no edge lies between them. Fewer are taken where the list
// rises, the first step is heard as large as it is listed and none larger, and the last
// stretch is long enough for all the inputs that it stands for.
func (l *limiter) plateaus(r capture.Recording) ([]parts.Part, error) {
	whole, err := parts.LevelSteps(r, len(l.t.Takes), l.t.Reading)
	if err == nil || !parts.IsMisfit(err) {
		return whole, err
	}
	for n := len(l.t.Takes) - 1; n >= 3; n-- {
		stretches, failed := parts.LevelSteps(r, n, l.t.Reading)
		if failed == nil && l.fits(stretches) {
			return stretches, nil
		}
	}
	return nil, err
}

// stepSlack is by how many dB a step may be heard other than it is listed.
const stepSlack = 1.0

// stretchSlack is how much shorter than its inputs together, each as long as the
// longest of the others, the last stretch may be.
const stretchSlack = 0.75

func (l *limiter) fits(stretches []parts.Part) bool {
	last, longest := stretches[len(stretches)-1], 0.0
	for _, p := range stretches[:len(stretches)-1] {
		longest = math.Max(longest, p.To-p.From)
	}
	if behind := len(l.t.Takes) - len(stretches) + 1; last.To-last.From < stretchSlack*float64(behind)*longest {
		return false
	}
	for i := 1; i < len(l.t.Takes); i++ {
		listed := l.t.Takes[i].At - l.t.Takes[i-1].At
		if listed <= 0 {
			return false
		}
		if i >= len(stretches) {
			continue
		}
		heard := stretches[i].Tone - stretches[i-1].Tone
		if heard > listed+stepSlack || i == 1 && heard < listed-stepSlack {
			return false
		}
	}
	return true
}

// overshoot compares the highest sample after an upward step with the highest of
// the settled stretch behind it, both as they are: noise counts in both alike.
func (l *limiter) overshoot(r capture.Recording, before float64, settled parts.Part, dev analyze.Reading) error {
	if l.m.curve == analyze.Monitor6dB || l.m.curve == analyze.Monitor750us || !dev.OK() {
		return nil // a monitor that is not flat smears the peaks
	}
	span := math.Min(0.5, settled.To-settled.From)
	first, err := highest(r, before, settled.From)
	if err != nil {
		return err
	}
	then, err := highest(r, settled.From, settled.From+span)
	if err != nil || then == 0 || first == 0 {
		return err
	}
	db := math.Max(0, 20*math.Log10(first/then))
	if !l.shoot.OK() || l.shoot.Name == "" || db > l.shoot.Value {
		l.shoot = analyze.Exact(job.FigureOvershoot, "dB", db, "it is the highest sample")
	}
	return nil
}

// highest is the largest magnitude of the samples between two times of the file.
func highest(r capture.Recording, from, to float64) (float64, error) {
	first := max(0, parts.Frames(r, from-r.FromSeconds()))
	n := min(parts.Frames(r, to-r.FromSeconds()), r.Count) - first
	if n <= 0 {
		return 0, nil
	}
	part, err := r.Cut(first, n)
	if err != nil {
		return 0, err
	}
	most := 0.0
	for block, err := range part.Blocks() {
		if err != nil {
			return 0, err
		}
		for _, v := range block {
			most = math.Max(most, math.Abs(v))
		}
	}
	return most, nil
}

func (l *limiter) result(ref analyze.Used) analyze.Result {
	out := analyze.Result{Setup: l.t, Rows: append(l.rows, ref), Warnings: l.warnings}
	largest := analyze.None(job.QuantityDeviation, "Hz", "no deviation was read")
	line := analyze.Line{Picture: "deviation against input", Name: "deviation", Role: analyze.RoleCurve, X: analyze.Quantity{Name: "input", Unit: "dB"}, Y: analyze.Quantity{Name: "deviation", Unit: "Hz"}}
	for _, p := range l.ps {
		if !p.Y.OK() {
			continue
		}
		largest = analyze.Highest(largest, p.Y)
		line.Points = append(line.Points, dotAt(p.X, p.Y))
	}
	sortDots(line.Points)
	out.Lines = []analyze.Line{line}
	input := l.inputFor60()
	raised, at := l.raised(input)
	if raised.HasInterval() {
		raised.Common = l.m.common * raised.Value
	}
	out.Figures = []analyze.Reading{largest, input, raised, l.ofRated(largest)}
	if !at.None() {
		out.Says = append(out.Says, at)
	}
	if l.shoot.Name != "" {
		out.Figures = append(out.Figures, l.shoot)
	}
	out.Says = append(out.Says, l.m.says(largest)...)
	if !InputsRelative(l.t.Takes) {
		out.Says = append(out.Says, note.Phrase("Inputs are in dB above 1 mV."))
	}
	return out
}

// InputsRelative tells whether inputs were typed in dB instead of volts.
func InputsRelative(taken []job.Take) bool {
	return len(taken) > 0 && job.InputIsRelative(taken[0].AtTyped)
}

func renamed(r analyze.Reading, name string) analyze.Reading {
	r.Name = name
	return r
}

func (l *limiter) ofRated(largest analyze.Reading) analyze.Reading {
	r := renamed(largest, job.FigureLimitGain)
	r.Unit = "%"
	k := 100 / l.rated
	r.Value, r.Low, r.High, r.Common = k*r.Value, k*r.Low, k*r.High, k*r.Common
	return r
}
