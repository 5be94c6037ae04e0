package kind

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/stat"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/keyed"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

const (
	chatterSeconds = 0.2
	edgeSeconds    = 0.02 // around a coarse edge the fine one is looked for
	settleSeconds  = 0.03 // of an opening, that its tone and SINAD leave out
	speechBandHz   = 3400 // two samples a hertz are independent
)

// Squelch tells when the audio of a keyed signal opened and closed, to within a
// few ms: where the level, weighed so that hum hardly counts, leaves that of the
// muted set, the edge is the sample that splits the sound best into two
// variances. The tail is what lies between the moment the signal goes (the tone,
// fitted before, no longer explains the sound) and the mute, so it needs a tone in its
// own opening. With key times, typed or from a second channel that carries sound while
// the signal is there (the second recording), the attack is given too: from the signal
// to 90 % of the audio's final level, whatever the mute lets through before.
//
// Sound that comes and goes without tone or steady level, such as speech, is no
// keyed signal and is refused.
func Squelch(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	r := rs[0]
	e, err := envelopeOf(r)
	if err != nil {
		return analyze.Result{}, err
	}
	out := analyze.Result{Setup: t, Rows: []analyze.Used{{Take: t.Takes[0], Measured: bare(r)}}}
	if spans, err := job.ParseKeyed(t.Setting(job.SettingKeyed)); err == nil {
		if why := KeyedBeyond(spans, out.Rows[0].Measured); why != "" {
			return analyze.Refused(t, why, out.Rows...), nil
		}
	}
	open, floor, ok := e.Open()
	if !ok {
		return analyze.Refused(t, "the sound never came or went: it is as loud at its quietest as at its loudest, within 10 dB", out.Rows...), nil
	}
	keys, err := keyTimes(t, rs)
	if err != nil {
		return analyze.Result{}, err
	}
	s := squelch{r: r, how: t.Reading, envelope: e, floor: floor, keys: keys}
	for i, span := range open {
		if err := s.opening(open, i, span); err != nil {
			return analyze.Result{}, err
		}
	}
	if len(s.events) == 0 {
		return analyze.Refused(t, "what comes and goes is neither a tone nor a steady noise, so it is no keyed signal: key the generator with a tone", out.Rows...), nil
	}
	out.Events, out.Figures, out.Says = s.events, s.figures(), s.says()
	out.Lines, out.Warnings = []analyze.Line{e.line(r)}, unread(s.events)
	return out, nil
}

type squelch struct {
	r        capture.Recording
	how      job.Reading
	envelope *envelope
	floor    float64
	keys     []job.Span
	events   []analyze.Event
	strange  int  // stretches that are no keyed signal
	rings    bool // a mute before the de-emphasis
}

type envelope struct{ *keyed.Envelope }

func envelopeOf(r capture.Recording) (*envelope, error) {
	e := &envelope{keyed.NewEnvelope(r.Rate)}
	for block, err := range r.Blocks() {
		if err != nil {
			return nil, err
		}
		e.Add(block)
	}
	return e, nil
}

// line is the level in steps of 20 ms, for a picture.
func (e *envelope) line(r capture.Recording) analyze.Line {
	l := analyze.Line{Picture: "sound in time", Name: "level, hum weighed down", Role: analyze.RoleCurve, X: analyze.Quantity{Name: "time", Unit: "s"}, Y: analyze.Quantity{Name: "level", Unit: "dB"}}
	step := max(20, len(e.Power)/400)
	for i := 0; i+step <= len(e.Power); i += step {
		sum := 0.0
		for _, p := range e.Power[i : i+step] {
			sum += p
		}
		y := math.Max(-140, 10*math.Log10(math.Max(1e-20, sum/float64(step))))
		l.Points = append(l.Points, analyze.Dot{X: r.FromSeconds() + float64(i)*keyed.HopSeconds + float64(step)*keyed.HopSeconds/2, Y: y, Low: y, High: y})
	}
	return l
}

// bare is a recording of which nothing was read.
func bare(r capture.Recording) analyze.Measured {
	return analyze.Measured{Origin: r.Origin, Rate: r.Rate, Frames: r.Total, From: r.FromSeconds(), To: r.ToSeconds(), Warnings: r.Origin.Warnings}
}

// keyTimes are when the signal came and went, in seconds of the file.
func keyTimes(t job.Setup, rs []capture.Recording) ([]job.Span, error) {
	if text := t.Setting(job.SettingKeyed); text != "" {
		return job.ParseKeyed(text)
	}
	if len(rs) < 2 {
		return nil, nil
	}
	key, err := envelopeOf(rs[1])
	if err != nil {
		return nil, err
	}
	open, floor, ok := key.Open()
	if !ok {
		return nil, fmt.Errorf("%s: channel %d never comes or goes, so it does not tell when the signal was keyed; leave key_channel out", rs[1].Origin.File, rs[1].Origin.Channel)
	}
	k := squelch{r: rs[1], envelope: key, floor: floor}
	var keys []job.Span
	for i, span := range open {
		first, last, _, _, err := k.edges(open, i, span)
		if err != nil {
			return nil, err
		}
		keys = append(keys, job.Span{From: k.seconds(first), To: k.seconds(last)})
	}
	return keys, nil
}

// keyedSlack is how far typed times may reach beyond the end, in seconds: they
// are typed to a tenth.
const keyedSlack = 0.1

// KeyedBeyond says which time of keying, in seconds of the file, lies outside the
// recording; empty: none.
func KeyedBeyond(keys []job.Span, m analyze.Measured) string {
	length := float64(m.Frames) / float64(m.Rate)
	for _, k := range keys {
		if k.From >= length || k.To > length+keyedSlack {
			return fmt.Sprintf("the recording is %.3f s long, and the signal cannot have been keyed from %g s to %g s in it; give times within it", length, k.From, k.To)
		}
	}
	return ""
}

// seconds is the time of a sample, counted from the start of the file.
func (s *squelch) seconds(sample int) float64 {
	return float64(s.r.First+int64(sample)) / float64(s.r.Rate)
}

// read is the samples from first to before last.
func (s *squelch) read(first, last int) ([]float64, error) {
	first, last = max(0, first), min(int(s.r.Count), last)
	if first >= last {
		return nil, nil
	}
	part, err := s.r.Cut(int64(first), int64(last-first))
	if err != nil {
		return nil, err
	}
	x := make([]float64, 0, last-first)
	for block, err := range part.Blocks() {
		if err != nil {
			return nil, err
		}
		x = append(x, block...)
	}
	return x, nil
}

// edges are the samples at which an open stretch begins and ends; begins and
// ends are false where it reaches the ends of the recording.
func (s *squelch) edges(open []keyed.Span, i int, span keyed.Span) (first, last int, begins, ends bool, err error) {
	hop := s.envelope.Hop
	first, last = span.First*hop, span.Last*hop
	begins, ends = span.First > 5, span.Last < len(s.envelope.Power)-5
	if begins {
		lowest := 0
		if i > 0 {
			lowest = open[i-1].Last * hop
		}
		first, err = s.edge(first, lowest, (first+last)/2)
	} else {
		first = 0
	}
	if ends && err == nil {
		highest := int(s.r.Count)
		if i+1 < len(open) {
			highest = open[i+1].First * hop
		}
		last, err = s.edge(last, (first+last)/2, highest)
	} else if !ends {
		last = int(s.r.Count)
	}
	return first, last, begins, ends, err
}

// edge is the sample at which the level changes, near a coarse one.
func (s *squelch) edge(coarse, lowest, highest int) (int, error) {
	reach := int(edgeSeconds * float64(s.r.Rate))
	from, to := max(lowest, coarse-reach), min(highest, coarse+reach)
	x, err := s.read(from, to)
	if err != nil || len(x) < 8 {
		return coarse, err
	}
	d := differences(x)
	at, _, _, _ := keyed.Change(d, d, s.spread())
	return from + at, nil
}

// differences are those of neighbouring samples: what the envelope is made of.
func differences(x []float64) []float64 {
	d := make([]float64, len(x))
	for i := 1; i < len(x); i++ {
		d[i] = x[i] - x[i-1]
	}
	return d
}

// spread is how many samples make one that is independent.
func (s *squelch) spread() float64 { return math.Max(1, float64(s.r.Rate)/(2*speechBandHz)) }

// opening books one open stretch.
func (s *squelch) opening(open []keyed.Span, i int, span keyed.Span) error {
	first, last, begins, ends, err := s.edges(open, i, span)
	if err != nil {
		return err
	}
	w, err := s.heard(first, last)
	if err != nil {
		return err
	}
	if !w.keyed {
		s.strange++
		return nil
	}
	if w.hz > 0 {
		at, leaks, err := s.pastLeak(w, first)
		if err != nil {
			return err
		}
		first, begins = at, begins || leaks
	}
	soft := false
	if ends && w.toldApart {
		if soft, err = s.soft(last); err != nil {
			return err
		}
		s.rings = s.rings || soft
	}
	e := analyze.Event{What: "open", AtS: s.seconds(first), UntilS: s.seconds(last), NoStart: !begins, NoEnd: !ends}
	attack, err := s.openingTime(w, first, e)
	if err != nil {
		return err
	}
	e.Readings = append(e.Readings, attack, s.tail(w, last, ends, soft), w.sinad)
	s.events = append(s.events, e)
	return nil
}

// tail is from the moment the signal goes to the mute.
func (s *squelch) tail(w heard, last int, ends, soft bool) analyze.Reading {
	switch {
	case !ends:
		return analyze.None(job.FigureTail, "ms", "the recording ends open")
	case !w.toldApart:
		return analyze.None(job.FigureTail, "ms", "there is no tone by which to tell when the signal went")
	}
	ring := 0.0
	if soft {
		ring = 1000 * softSeconds
	}
	ms := func(n int) float64 { return math.Max(0, 1000*float64(n)/float64(s.r.Rate)) }
	// The mute itself is known to about a period of the tone.
	return analyze.NewReading(job.FigureTail, "ms", ms(last-w.gone), math.Max(0, ms(last-w.goneHigh)-1-ring), ms(last-w.goneLow)+1)
}

// figures are the longest tail, the longest time to open, and the chatter.
func (s *squelch) figures() []analyze.Reading {
	longest := func(name, quantity string) analyze.Reading {
		out := analyze.None(quantity, "ms", "no closing was seen")
		if quantity == job.QuantityAttack {
			out.Why = "when the signal came is not known"
		}
		for _, e := range s.events {
			for _, r := range e.Readings {
				if r.Name == name {
					r.Name = quantity
					if !out.OK() && !r.OK() && !e.NoEnd && !e.NoStart {
						out.Why = r.Why
					}
					out = analyze.Highest(out, r)
				}
			}
		}
		return out
	}
	chatter := 0
	for i := 1; i < len(s.events); i++ {
		if s.events[i].AtS-s.events[i-1].UntilS < chatterSeconds {
			chatter++
		}
	}
	return []analyze.Reading{longest(job.FigureTail, job.QuantityClosing), longest(job.FigureOpening, job.QuantityAttack),
		analyze.Exact(job.FigureChatter, "", float64(chatter), "it is a count"), analyze.Exact("openings", "", float64(len(s.events)), "it is a count")}
}

func (s *squelch) says() []note.Note {
	var says []note.Note
	if s.strange > 0 {
		says = append(says, note.Of("stretches-left-out", s.strange))
	}
	if s.rings {
		says = append(says, softSays)
	}
	var open []string
	for _, e := range s.events {
		if e.NoStart {
			open = append(open, "it begins open")
		}
		if e.NoEnd {
			open = append(open, "it ends open")
		}
	}
	if open != nil {
		says = append(says, note.Phrase("Of the recording: "+strings.Join(open, ", ")+"; that edge is not in it."))
	}
	return says
}

// steadyNoise is how far the level of a steady noise scatters in blocks of 20 ms
// at most, in dB: three times what 3.4 kHz of bandwidth give.
var steadyNoise = 3 * 4.34 / math.Sqrt(0.02*speechBandHz)

// levelScatter is the standard deviation of the level in blocks of 20 ms, in dB.
func levelScatter(power []float64) float64 {
	var db []float64
	for i := 0; i+20 <= len(power); i += 20 {
		sum := 0.0
		for _, p := range power[i : i+20] {
			sum += p
		}
		db = append(db, 10*math.Log10(math.Max(1e-20, sum)))
	}
	if len(db) < 2 {
		return 0
	}
	return stat.StdDev(db, nil)
}
