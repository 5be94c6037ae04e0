package kind

import (
	"fmt"
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/parts"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

// apartDB is by how much a muted recording is quieter than an open one.
const apartDB = 10

// SquelchLevels tells at which level the squelch opens and closes from recordings
// in the order in which they were made: up to the strongest level, then down. The
// widest gap between their levels, of 10 dB or more, parts muted from open ones. It opens
// between the last level at which it was muted and the first at which it is open,
// which is the value; it closes likewise. What is known of the generator's level joins
// these intervals, and cancels in the hysteresis. SINAD at opening is that of the first
// open recording. At full (tight) setting a strong signal must still open it.
func SquelchLevels(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	taken := t.Takes
	if t.OneFile {
		var err error
		taken, rs, err = squelchSteps(t, rs[0])
		if why := takes.MisfitText(err); why != "" {
			return analyze.Refused(t, why), nil
		}
		if err != nil {
			return analyze.Result{}, err
		}
	}
	rows, err := takes.MeasureAll(t, taken, rs)
	if err != nil {
		return analyze.Result{}, err
	}
	out := analyze.Result{Setup: t, Rows: rows, Why: takes.OneScale(t, rows)}
	if out.Why != "" {
		return out, nil
	}
	open, why := openOnes(t, rows)
	if why != "" {
		out.Why = why
		return out, nil
	}
	top := 0
	for i := range rows {
		if levelOf(t, rows[i]) > levelOf(t, rows[top]) {
			top = i
		}
	}
	u := unitOf(t, rows[top])
	opens, first := opening(t, rows[:top+1], open[:top+1], u)
	closes := closing(t, rows[top:], open[top:], u)
	out.Figures = []analyze.Reading{sinadAt(t, rows, first, opens), opens, closes, hysteresis(opens, closes)}
	if t.Setting(job.SettingSquelch) == "tight" {
		out.Says = []note.Note{note.Phrase("At the tight setting the squelch " + map[bool]string{true: "still opens on the strongest signal recorded.", false: "does not open on the strongest signal recorded."}[open[top]])}
	}
	for i := range rows {
		state := 0.0
		if open[i] {
			state = 1
		}
		rows[i].Worth = append(rows[i].Worth, analyze.Exact("open", "", state, "1 is open, 0 muted"), rows[i].Measured.Get(analyze.SINAD))
	}
	out.Says = append(out.Says, takes.GeneratorSays(t, out.Figures)...)
	return out, nil
}

func levelOf(t job.Setup, u analyze.Used) float64 {
	l, ok := analyze.AtSet(t, u.Take)
	if !ok {
		return math.Inf(-1)
	}
	return l.DB
}

func unitOf(t job.Setup, u analyze.Used) string {
	if l, _ := analyze.AtSet(t, u.Take); l.Scale == unit.Relative {
		return "dB"
	}
	return "dBm"
}

// openOnes tells the open recordings from the muted ones by the widest gap
// between their levels. Where there is none of 10 dB, all are open if a tone is
// heard, else all are muted. A tone alone proves no opening: mutes leak.
func openOnes(t job.Setup, rows []analyze.Used) (open []bool, why string) {
	loud := make([]float64, len(rows))
	tone := false
	for i, u := range rows {
		loud[i] = -200
		if l := u.Measured.Get(analyze.Level); l.OK() {
			loud[i] = math.Max(-200, l.Value)
		}
		tone = tone || analyze.HasTone(u)
	}
	sorted := slices.Sorted(slices.Values(loud))
	gap, least := 0.0, sorted[0]
	for i := 1; i < len(sorted); i++ {
		if d := sorted[i] - sorted[i-1]; d > gap {
			gap, least = d, sorted[i]
		}
	}
	open = make([]bool, len(rows))
	if gap < apartDB {
		least = map[bool]float64{true: math.Inf(-1), false: math.Inf(1)}[tone]
	}
	for i := range rows {
		open[i] = loud[i] >= least
		if gap >= apartDB && loud[i] < least && loud[i] > least-apartDB {
			return nil, takes.Named(rows[i]) + " is neither open nor 10 dB quieter: turn the volume up, or look for noise on the bench, and record again"
		}
	}
	if gap >= apartDB {
		return open, onlyWeaker(t, rows, loud, least, gap)
	}
	return open, ""
}

// onlyWeaker says that the louder recordings are louder by no more than their
// signals are stronger, the quieter ones having the tone too: a set without AGC
// sounds like that with its squelch open all the time. "" if the gap is a mute's.
func onlyWeaker(t job.Setup, rows []analyze.Used, loud []float64, least, gap float64) string {
	muted, open := -1, -1 // the two beside the gap
	for i := range rows {
		switch {
		case loud[i] < least && (muted < 0 || loud[i] > loud[muted]):
			muted = i
		case loud[i] >= least && (open < 0 || loud[i] < loud[open]):
			open = i
		}
	}
	step := levelOf(t, rows[open]) - levelOf(t, rows[muted])
	if !analyze.HasTone(rows[muted]) || math.IsInf(step, 0) || gap > step+stepSlack {
		return ""
	}
	return takes.Named(rows[open]) + " is louder than " + takes.Named(rows[muted]) + " by no more than its signal is stronger, and both have the tone: whether the squelch was open cannot be told; step the level more finely"
}

// opening is between the last muted level and the first open one, upwards.
func opening(t job.Setup, rows []analyze.Used, open []bool, u string) (analyze.Reading, int) {
	for i := range rows {
		if !open[i] {
			continue
		}
		at := levelOf(t, rows[i])
		if i == 0 || math.IsInf(at, 0) {
			return analyze.None(job.FigureOpensAt, u, "it is open at the weakest level: record weaker ones"), i
		}
		before := levelOf(t, rows[i-1])
		if math.IsInf(before, 0) {
			return analyze.Exact(job.FigureOpensAt, u, at, "the level before was off"), i
		}
		return atLevel(t, analyze.NewReading(job.FigureOpensAt, u, at, math.Min(before, at), at)), i
	}
	return analyze.None(job.FigureOpensAt, u, analyze.WhyNeverOpens), -1
}

// closing is between the last open level and the first muted one, downwards.
func closing(t job.Setup, rows []analyze.Used, open []bool, u string) analyze.Reading {
	for i := 1; i < len(rows); i++ {
		if open[i] || !open[i-1] {
			continue
		}
		at, before := levelOf(t, rows[i]), levelOf(t, rows[i-1])
		if math.IsInf(at, 0) {
			return analyze.Exact(job.FigureClosesAt, u, before, "it closed when the signal was switched off")
		}
		return atLevel(t, analyze.NewReading(job.FigureClosesAt, u, at, at, math.Max(before, at)))
	}
	if len(rows) < 2 {
		return analyze.None(job.FigureClosesAt, u, "the levels do not come down again: step them down too")
	}
	return analyze.None(job.FigureClosesAt, u, "it did not close: step the level further down")
}

// atLevel joins what is known of the generator's level with a level that lies
// between two that were set.
func atLevel(t job.Setup, r analyze.Reading) analyze.Reading {
	if r.Unit != "dBm" {
		return r
	}
	return r.Sharing(takes.LevelKnown(t.Path))
}

// hysteresis is the difference of two levels of one generator through one pad,
// which cancel.
func hysteresis(opens, closes analyze.Reading) analyze.Reading {
	opens, closes = opens.Alone(), closes.Alone()
	if !opens.OK() || !closes.OK() {
		return analyze.None(job.FigureHysteresis, "dB", "it needs both levels")
	}
	d := opens.Value - closes.Value
	if !opens.HasInterval() || !closes.HasInterval() {
		return analyze.Exact(job.FigureHysteresis, "dB", d, "one of the levels is known from one side only")
	}
	return analyze.NewReading(job.FigureHysteresis, "dB", d, opens.Low-closes.High, opens.High-closes.Low)
}

// steepest is by how many dB SINAD may fall for one dB less of signal: an FM set at
// its threshold falls by 2 to 3 (common practice, no source).
const steepest = 3.0

// sinadAt is the SINAD at opening: that of the first open recording, at most; it
// opened somewhere between the level before and that one, so the interval reaches
// down as far as SINAD can fall in between. Without a muted level before it, it is
// not known.
func sinadAt(t job.Setup, rows []analyze.Used, first int, opens analyze.Reading) analyze.Reading {
	if first < 0 || !opens.OK() {
		return analyze.None(job.QuantityOpening, "dB", opens.Why)
	}
	r := rows[first].Measured.Get(analyze.SINAD)
	r.Name = job.QuantityOpening
	if r.HasInterval() {
		step := levelOf(t, rows[first]) - levelOf(t, rows[first-1])
		r.Low = math.Min(r.Value, math.Max(0, r.Low-steepest*math.Max(0, step)))
	}
	return r
}

// squelchSteps finds the stretches of one recording. While the set is muted all
// levels sound alike, so the stretches before the opening and after the closing
// have no edges of their own: only those that are heard are found, and the one
// with the most tone over its noise is the strongest level of the list, which
// tells which the others are.
func squelchSteps(t job.Setup, r capture.Recording) ([]job.Take, []capture.Recording, error) {
	misfit := func(text string) error { return &parts.Misfit{File: r.Origin.File, Why: text} }
	top, alone := topOf(t)
	if !alone {
		return nil, nil, misfit("the list needs one strongest level, by which the others are told: step up to it, then down")
	}
	e, err := envelopeOf(r)
	if err != nil {
		return nil, nil, err
	}
	open, floor, ok := e.Open()
	if !ok || len(open) != 1 {
		return nil, nil, misfit(fmt.Sprintf("the squelch opened %d times, not once: give one recording a level", len(open)))
	}
	s := squelch{r: r, how: t.Reading, envelope: e, floor: floor}
	first, last, begins, ends, err := s.edges(open, 0, open[0])
	if err != nil {
		return nil, nil, err
	}
	heard, err := r.Cut(int64(first), int64(last-first))
	if err != nil {
		return nil, nil, err
	}
	stretches, at := heardSteps(heard, len(t.Takes), t.Reading)
	before := top - at
	if stretches == nil || before < 0 || before+len(stretches) > len(t.Takes) || begins != (before > 0) || ends != (before+len(stretches) < len(t.Takes)) {
		return nil, nil, misfit(fmt.Sprintf("it was open from %.1f s to %.1f s, in which the levels of the list are not found: leave the generator alone for 3 s at each", s.seconds(first), s.seconds(last)))
	}
	taken := append([]job.Take(nil), t.Takes...)
	for i := range taken {
		switch {
		case i < before:
			taken[i].From, taken[i].To = r.FromSeconds(), s.seconds(first)-muteMargin
		case i < before+len(stretches):
			taken[i].From, taken[i].To = stretches[i-before].From, stretches[i-before].To
		default:
			taken[i].From, taken[i].To = s.seconds(last)+muteMargin, r.ToSeconds()
		}
		if taken[i].To-taken[i].From < muteMargin {
			return nil, nil, misfit("the muted stretch is too short to be heard: leave the generator alone for 3 s at each level")
		}
	}
	rs := make([]capture.Recording, len(taken))
	for i, k := range taken {
		from := parts.Frames(r, k.From-r.FromSeconds())
		if rs[i], err = r.Cut(from, parts.Frames(r, k.To-r.FromSeconds())-from); err != nil {
			return nil, nil, err
		}
	}
	return taken, rs, nil
}

// muteMargin is left out beside an opening and a closing, in seconds.
const muteMargin = 0.1

// topOf is the strongest level of a list, and whether it is there once.
func topOf(t job.Setup) (top int, alone bool) {
	for i, k := range t.Takes {
		switch {
		case k.Level.Scale == unit.Off:
		case t.Takes[top].Level.Scale == unit.Off || k.Level.DB > t.Takes[top].Level.DB:
			top, alone = i, true
		case i != top && k.Level.DB == t.Takes[top].Level.DB:
			alone = false
		}
	}
	return top, alone || len(t.Takes) == 1
}

// heardSteps are the plateaus of what is heard: the one number of them that fits,
// and which stands out most over its noise.
func heardSteps(r capture.Recording, most int, how job.Reading) (stretches []parts.Part, at int) {
	for n := min(most, parts.Most); n >= 1; n-- {
		found, err := parts.Steps(r, n, how)
		if err == nil {
			stretches = found
			break
		}
	}
	for i, p := range stretches {
		if p.Tone-p.Noise > stretches[at].Tone-stretches[at].Noise {
			at = i
		}
	}
	return stretches, at
}
