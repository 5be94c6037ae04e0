package watch

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/scatter"
	"hisspoint/capture"
)

// aimReading is the reading that an aim looks at.
var aimReading = map[string]string{analyze.AimSINAD: analyze.SINAD, analyze.AimAudio: analyze.ToneLevel, analyze.AimHiss: analyze.NoiseLevel, analyze.AimDistortion: analyze.THD}

// The best is taken from so many readings at least, and from more, up to a second, where
// they scatter by 0.4 dB: the largest of many single readings lies above all that the set
// can hold.
const (
	leastAveraged  = 3
	mostAveraged   = 10
	manyAveragedDB = 0.4
)

func averaged(scatterDB float64) int {
	return leastAveraged + int((mostAveraged-leastAveraged)*math.Min(1, scatterDB/manyAveragedDB))
}

// tooUnsteadyDB is the half-width from which a reading is not to be trusted:
// about what one step of a coil's core changes.
const tooUnsteadyDB = 1

// Aimer follows the aim and remembers the best and the last 60 s.
type Aimer struct {
	aim    string
	scale  scale
	recent []aimed // the last readings, for the best
	parts  []aimed // one a part, so that parts do not overlap, for the scatter
	moves  []aimed // the last 10 s as they were shown, for the state
	course []aimed // the last 60 s, four a second; without: no reading
	best   aimed
	has    bool
	lost   lost
	beside *Aimer
}

type aimed struct {
	value, from, to float64
	without         bool
}

// lost is a time without a reading.
type lost struct{ since, until float64 }

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

// Forget forgets the best and where the scale began: the next reading is a new start.
func (a *Aimer) Forget() {
	beside := a.beside
	*a = Aimer{aim: a.aim, beside: beside}
	if beside != nil {
		beside.Forget()
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
	tooMuch := clipped(m)
	if a.missing(&n, m) {
		a.recent = nil
		a.keep(aimed{to: m.To, without: true})
	} else {
		a.follow(&n, m, tooMuch)
	}
	if tooMuch {
		n.State, n.PitchHz = analyze.TooMuch, 0
	}
	a.fill(&n)
	return n
}

// follow takes a reading that has a value. One of clipped sound is shown and moves
// nothing.
func (a *Aimer) follow(n *analyze.Needle, m analyze.Measured, tooMuch bool) {
	raw := aimed{value: a.merit(a.worth(n.Now)), from: m.From, to: m.To}
	if !tooMuch {
		a.part(raw)
	}
	n.ScatterDB = a.scatter(n.Now)
	n.Unsteady = a.unsteady(*n, m)
	now := aimed{value: a.smoothed(raw.value, n.ScatterDB), from: m.From, to: m.To}
	if d := a.fromMerit(now.value) - n.Now.Value; now.value != raw.value {
		n.Now.Value, n.Now.Low, n.Now.High = n.Now.Value+d, n.Now.Low+d, n.Now.High+d
	}
	a.scale.begin(a.aim, now.value)
	if !tooMuch {
		a.scale.reach(now.value)
	}
	a.keep(now)
	n.Place, n.PitchHz = a.scale.place(now.value), a.scale.pitch(now.value)
	if tooMuch {
		a.recent = nil
		return
	}
	if now.value == raw.value { // it has moved by more than its scatter: what was before is another place
		a.recent = a.recent[max(0, len(a.recent)-leastAveraged+1):]
	}
	a.recent = append(a.recent, now)
	a.recent = a.recent[max(0, len(a.recent)-averaged(n.ScatterDB)):]
	if mean := meanOf(a.recent); len(a.recent) >= leastAveraged && (!a.has || mean.value > a.best.value) {
		a.best, a.has = mean, true
	}
	if a.has {
		n.GapDB = math.Max(0, a.best.value-now.value)
	}
	n.State = a.state(now, n.GapDB, n.ScatterDB)
}

// fill adds what is remembered.
func (a *Aimer) fill(n *analyze.Needle) {
	n.Poor, n.Good = a.fromMerit(a.scale.poor), a.fromMerit(a.scale.good)
	if a.has {
		n.Best = analyze.Exact(n.Now.Name, n.Now.Unit, a.fromMerit(a.best.value), "the best of many has no interval")
		n.BestAtS, n.BestPlace = (a.best.from+a.best.to)/2, a.scale.place(a.best.value)
	}
	n.Course = a.shownCourse()
}

// leastCourseDB is the least range of a course: less would draw chance.
const leastCourseDB = 6

// shownCourse is the last 60 s on whole dB about all that was read in them.
func (a *Aimer) shownCourse() analyze.Course {
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range a.course {
		if !c.without {
			low, high = math.Min(low, c.value), math.Max(high, c.value)
		}
	}
	out := analyze.Course{Places: make([]float64, len(a.course))}
	low, high = math.Floor(low), math.Ceil(high)
	if wider := math.Ceil((leastCourseDB - (high - low)) / 2); wider > 0 {
		low, high = low-wider, high+wider
	}
	for i, c := range a.course {
		out.Places[i] = -1
		if !c.without {
			out.Places[i] = (c.value - low) / (high - low)
		}
	}
	if low <= high {
		out.Poor, out.Good = a.fromMerit(low), a.fromMerit(high)
	}
	return out
}

func meanOf(all []aimed) aimed {
	m := aimed{from: all[0].from, to: all[len(all)-1].to}
	for _, x := range all {
		m.value += x.value / float64(len(all))
	}
	return m
}

// missing tells whether there is nothing to aim by. What a reading still holds of a
// time that was without any (a plug, a key) is no course of the coil, so until it has
// left the reading, for a second at most, there is none.
func (a *Aimer) missing(n *analyze.Needle, m analyze.Measured) bool {
	const whileS, mostS = 0.25, 1.0
	if !n.Now.OK() {
		if a.lost.until < m.From {
			a.lost.since = m.To
		}
		a.lost.until = m.To
		return true
	}
	if a.lost.until-a.lost.since < whileS || m.From >= a.lost.until-1e-9 || m.To-a.lost.until > mostS {
		return false
	}
	n.Now = analyze.None(n.Now.Name, n.Now.Unit, "it comes back")
	return true
}

// clipped tells whether the sound was clipped within the last second.
func clipped(m analyze.Measured) bool {
	for _, w := range m.Warnings {
		if w.Code != capture.Clipped && w.Code != capture.ClippedBelow {
			continue
		}
		if len(w.AtS) == 0 || slices.Max(w.AtS) > m.To-1 {
			return true
		}
	}
	return false
}

// smoothed is a reading as a needle shows it: what it moves by within its own scatter
// counts by the square of its share in that, what goes beyond at once.
func (a *Aimer) smoothed(v, scatter float64) float64 {
	const least, beyond = 0.15, 1.5
	k := len(a.moves)
	if k == 0 || scatter == 0 || a.moves[k-1].without {
		return v
	}
	was := a.moves[k-1].value
	share := (v - was) / (beyond * scatter)
	return was + (v-was)*math.Max(least, math.Min(1, share*share))
}

// How much is remembered, in seconds.
const (
	movesSeconds  = 10
	courseSeconds = 60
	courseStep    = 0.25
)

// keep remembers what was shown.
func (a *Aimer) keep(now aimed) {
	a.moves = append(a.moves, now)
	for a.moves[0].to < now.to-movesSeconds {
		a.moves = a.moves[1:]
	}
	if k := len(a.course); k > 0 && now.to < a.course[k-1].from+courseStep-1e-6 {
		now.from = a.course[k-1].from
		a.course[k-1] = now
		return
	}
	now.from = now.to // where its step began
	a.course = append(a.course, now)
	if len(a.course) > courseSeconds/courseStep {
		a.course = a.course[1:]
	}
}

// How far the aim has to move for a state, in dB at least.
const (
	leastGapDB  = 0.3 // from the best
	leastMoveDB = 0.1 // to rise or fall
	recentS     = 1.0 // how long ago a rise is one that goes on
	overScatter = 1.8 // half-widths of a reading from the best, and that it fell
	risesOver   = 1.5 // half-widths that it rose
)

// state is what is to be said of a reading, by nothing but the best and the last 10 s.
// The best is the largest of many, so it lies above what the set holds: by more than the
// scatter of one a reading has to lie below it.
func (a *Aimer) state(now aimed, gap, scatter float64) string {
	way, ago := a.lastMove(now, math.Max(leastMoveDB, risesOver*scatter))
	rising, margin := way > 0 && ago <= recentS, math.Max(leastGapDB, overScatter*scatter)
	switch {
	case gap <= margin && rising && now.to-a.best.to <= recentS:
		return analyze.Better
	case gap <= margin:
		return analyze.AtBest
	case rising:
		return analyze.Closer
	}
	if way, _ := a.lastMove(now, margin); way < 0 { // a set that drifts takes longer for as much
		return analyze.PastBest
	}
	return analyze.ShortOf
}

// lastMove is which way the aim has moved last by so many dB, within the last 10 s,
// and how many seconds ago it was that far away; 0: it has not.
func (a *Aimer) lastMove(now aimed, by float64) (way int, ago float64) {
	for i := len(a.moves) - 1; i >= 0; i-- {
		was := a.moves[i]
		switch {
		case was.without:
		case now.value-was.value > by:
			return 1, now.to - was.to
		case was.value-now.value > by:
			return -1, now.to - was.to
		}
	}
	return 0, 0
}

// mostParts is how many parts the scatter is taken from.
const mostParts = 20

// part keeps one reading a part for the scatter.
func (a *Aimer) part(now aimed) {
	if k := len(a.parts); k > 0 && now.from < a.parts[k-1].to-1e-9 {
		return
	}
	a.parts = append(a.parts, now)
	if len(a.parts) > mostParts {
		a.parts = a.parts[1:]
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
// neighbouring parts show, which a turning core makes larger. 0: not known.
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
	return math.Min(own, fewParts*seen)
}

// fewParts is by how much the scatter that some parts show may be too small by chance.
const fewParts = 1.5

// seen is the scatter that neighbouring parts show besides an even course: half the
// magnitudes of the second difference of three normal values of standard deviation s lie
// below 0.6745 sqrt(6) s.
func (a *Aimer) seen() float64 {
	const least = 4
	if len(a.parts) <= least {
		return 0
	}
	var d []float64
	for i := 2; i < len(a.parts); i++ {
		d = append(d, math.Abs(a.parts[i].value-2*a.parts[i-1].value+a.parts[i-2].value))
	}
	slices.Sort(d)
	return scatter.Normal95 * d[len(d)/2] / (0.6745 * math.Sqrt(6))
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
