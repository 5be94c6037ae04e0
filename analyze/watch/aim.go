package watch

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
)

// aimReading is the reading that an aim looks at.
var aimReading = map[string]string{analyze.AimSINAD: analyze.SINAD, analyze.AimAudio: analyze.ToneLevel, analyze.AimHiss: analyze.NoiseLevel, analyze.AimDistortion: analyze.THD}

// barDB is how far below the best a bar is empty.
const barDB = 12

// averaged is how many readings the best is taken from: the largest of many
// single readings lies above all that the set can hold.
const averaged = 3

// tooUnsteadyDB is the half-width from which a reading is not to be trusted:
// about what one step of a coil's core changes.
const tooUnsteadyDB = 1

// Aimer follows the aim and remembers the best.
type Aimer struct {
	aim    string
	recent []aimed
	trail  []aimed // for the scatter: one a part, so that parts do not overlap
	best   aimed
	has    bool
	was    string
	beside *Aimer
}

type aimed struct{ value, from, to float64 }

// NewAimer follows one of Aims.
func NewAimer(aim string) (*Aimer, error) {
	if !slices.Contains(analyze.Aims, aim) {
		return nil, fmt.Errorf("%q is no aim; choose %s or %s", aim, strings.Join(analyze.Aims[:len(analyze.Aims)-1], ", "), analyze.Aims[len(analyze.Aims)-1])
	}
	a := &Aimer{aim: aim}
	if aim == analyze.AimDistortion {
		a.beside = &Aimer{aim: analyze.AimAudio}
	}
	return a, nil
}

// Forget forgets the best: the next reading is a new one.
func (a *Aimer) Forget() {
	a.recent, a.trail, a.has, a.was = nil, nil, false, ""
	if a.beside != nil {
		a.beside.Forget()
	}
}

// merit is a reading on a scale of dB on which more is better.
func (a *Aimer) merit(v float64) float64 {
	switch a.aim {
	case analyze.AimHiss:
		return -v
	case analyze.AimDistortion:
		return -20 * math.Log10(math.Max(v, 1e-4))
	}
	return v
}

func (a *Aimer) fromMerit(m float64) float64 {
	switch a.aim {
	case analyze.AimHiss:
		return -m
	case analyze.AimDistortion:
		return math.Pow(10, -m/20)
	}
	return m
}

// Add takes a reading.
func (a *Aimer) Add(m analyze.Measured) analyze.Needle {
	n := analyze.Needle{Aim: a.aim, Now: m.Get(aimReading[a.aim]), State: analyze.NoReading, Advice: a.advice(m)}
	if a.beside != nil {
		b := a.beside.Add(m)
		n.Beside = &b
	}
	n.Best = analyze.None(n.Now.Name, n.Now.Unit, "nothing was read yet")
	if !n.Now.OK() {
		a.recent = nil
		a.fillBest(&n)
		return n
	}
	now := aimed{a.merit(a.worth(n.Now)), m.From, m.To}
	a.recent = append(a.recent, now)
	if len(a.recent) > averaged {
		a.recent = a.recent[1:]
	}
	a.follow(now)
	n.ScatterDB = a.scatter(n.Now)
	n.Unsteady = a.unsteady(n, m)
	mean := meanOf(a.recent)
	if len(a.recent) == averaged && (!a.has || mean.value > a.best.value) {
		a.best, a.has = mean, true
	}
	a.fillBest(&n)
	if !a.has {
		n.State = analyze.ShortOf
		return n
	}
	n.GapDB = math.Max(0, a.best.value-now.value)
	n.Share = math.Max(0, math.Min(1, 1-n.GapDB/barDB))
	n.State = a.state(a.best.value-mean.value, n.ScatterDB)
	return n
}

func (a *Aimer) fillBest(n *analyze.Needle) {
	if a.has {
		n.Best = analyze.Exact(n.Now.Name, n.Now.Unit, a.fromMerit(a.best.value), "the best of many has no interval")
		n.BestAtS = (a.best.from + a.best.to) / 2
	}
}

func meanOf(all []aimed) aimed {
	m := aimed{from: all[0].from, to: all[len(all)-1].to}
	for _, x := range all {
		m.value += x.value / float64(len(all))
	}
	return m
}

// leastGapDB is how far the aim has to fall from the best at least to count as past it.
const leastGapDB = 0.3

// state compares the mean of the last readings with the best.
func (a *Aimer) state(gap, scatter float64) string {
	// The best is the largest of many, so it lies above what the set holds: two
	// half-widths lie between chance and a fall.
	margin := math.Max(leastGapDB, 2*scatter)
	switch {
	case gap <= margin/2:
		a.was = analyze.AtBest
	case gap > margin && (a.was == analyze.AtBest || a.was == analyze.PastBest):
		a.was = analyze.PastBest
	case gap > margin:
		a.was = analyze.ShortOf
	case a.was == "":
		a.was = analyze.ShortOf
	}
	return a.was
}

// follow keeps one reading a part for the scatter.
func (a *Aimer) follow(now aimed) {
	if k := len(a.trail); k > 0 && now.from < a.trail[k-1].to-1e-9 {
		return
	}
	a.trail = append(a.trail, now)
	if len(a.trail) > 12 {
		a.trail = a.trail[1:]
	}
}

// worth is the value that is aimed by. Distortion below what the noise lets be seen
// is no better than that.
func (a *Aimer) worth(r analyze.Reading) float64 {
	if a.aim == analyze.AimDistortion && r.HasInterval() {
		return math.Max(r.Value, (r.High-r.Low)/2)
	}
	return r.Value
}

// scatter is the 95 % half-width of a reading in dB: the smaller of its own
// interval, which has to allow for noise clicks that were not heard, and of what
// neighbouring parts differ by, which a turning core makes larger. 0: not known.
func (a *Aimer) scatter(r analyze.Reading) float64 {
	own, seen := 0.0, a.seen()
	switch {
	case r.HasInterval() && a.aim == analyze.AimDistortion:
		own = math.Abs(a.merit(a.worth(r)) - a.merit(r.High))
	case r.HasInterval():
		own = (r.High - r.Low) / 2
	}
	if own == 0 || seen == 0 {
		return math.Max(own, seen)
	}
	return math.Min(own, seen)
}

// seen is the scatter that neighbouring parts show: the median of the differences
// of two normal values is 0.954 of their standard deviation.
func (a *Aimer) seen() float64 {
	const least = 5
	if len(a.trail) <= least {
		return 0
	}
	var d []float64
	for i := 1; i < len(a.trail); i++ {
		d = append(d, math.Abs(a.trail[i].value-a.trail[i-1].value))
	}
	slices.Sort(d)
	return 1.96 * d[len(d)/2] / 0.954
}

// unsteady says why a reading is not to be trusted.
func (a *Aimer) unsteady(n analyze.Needle, m analyze.Measured) string {
	if n.ScatterDB > tooUnsteadyDB {
		return "scatters too much: use a longer time constant"
	}
	for _, w := range m.Warnings {
		if w.Code == capture.Unsteady {
			return "moves within the time constant"
		}
	}
	return ""
}

// deafDB is the SINAD below which it hardly moves with the signal: below it the
// simulated FM set of the tests gains 0.25 to 0.7 dB of SINAD a dB of signal, while
// its hiss falls by 0.9 to 1.9 dB.
const deafDB = 3

// advice is what would serve the aim better.
func (a *Aimer) advice(m analyze.Measured) string {
	s := m.Get(analyze.SINAD)
	switch {
	case a.aim == analyze.AimSINAD && (!s.OK() && m.Get(analyze.NoiseLevel).OK() || s.OK() && s.Value < deafDB):
		return "on so weak a signal SINAD hardly moves: switch the modulation off and aim for hiss"
	case a.aim == analyze.AimHiss && s.OK():
		return "the modulation is on: hiss is clearest on a carrier without it"
	case (a.aim == analyze.AimAudio || a.aim == analyze.AimDistortion) && !m.Get(analyze.ToneLevel).OK():
		return "no tone is heard: switch the modulation on"
	}
	return ""
}
