// Package card is what the sound card does to figures: qualified from its own loop
// (noise, hum, distortion, response, clock), taken into account in what was recorded
// through it, and said where it limits. It must not know limits of sets, nor how a
// kind of test finds its figures: it looks at readings that are there.
package card

import (
	"errors"
	"fmt"
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/reading"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/soundcard/loopback"
)

// Bounds of a card that is fit for measuring; common practice, no source. Noise and
// distortion are those a 20 dB SINAD or 1 % figure needs ten times less of.
const (
	cardStepDB    = 0.2 // gain that depends on level
	cardDriftDB   = 0.2 // gain that depends on time
	cardNoiseDBFS = -70.0
	cardTHD       = 0.1
	cardRippleDB  = 0.5 // 300 to 3000 Hz
	cardClockPPM  = 200
	guardSeconds  = 0.15 // left out at the ends of a part
)

var errNoProgram = errors.New("the test program is not in it: is the output connected to the input, and loud enough?")

// Qualify reads the recording of a loop-back: all channels, of which the one
// with the program is used. volts is the RMS voltage read across the line during
// the first tone, 0: not read. findings are what speaks against measuring with the card.
func Qualify(channels []capture.Recording, volts float64) (c job.Card, findings []note.Note, err error) {
	if len(channels) == 0 {
		return c, nil, errNoProgram
	}
	best, start, level := -1, 0.0, math.Inf(-1)
	for i, r := range channels {
		at, l, err := programStart(r)
		if err != nil {
			return c, nil, err
		}
		if l > level+0.5 {
			best, start, level = i, at, l
		}
	}
	r := channels[max(0, best)]
	if best < 0 || level < -50 || start+loopback.Seconds()-loopback.Lead-loopback.Tail > r.Seconds()+0.05 {
		return c, nil, fmt.Errorf("%s: %w", r.Origin.File, errNoProgram)
	}
	q := qualifier{r: r, start: start, card: job.Card{RateHz: r.Rate, NoiseDBFS: map[string]float64{}, RestDBFS: map[string]float64{}}}
	for _, step := range []func() error{q.loud, q.silence, q.steps, q.response} {
		if err := step(); err != nil {
			return c, nil, err
		}
	}
	if len(channels) > 1 {
		if err := q.balance(channels, best); err != nil {
			return c, nil, err
		}
	}
	if volts > 0 {
		v := volts / math.Pow(10, q.level/20)
		q.card.FullScaleVolts = &v
	}
	return q.card, q.judge(), nil
}

// risesFrom is the power, against the loudest, from which sound is the program: a
// gain control may let a later tone through 20 dB louder than the first.
const risesFrom = 1.0 / 300

// programStart finds where the first tone begins: the first 10 ms that are within
// 25 dB of the loudest. level is that of the loudest, dBFS.
func programStart(r capture.Recording) (seconds, level float64, err error) {
	n := r.Rate / 100
	var powers []float64
	var sum float64
	k := 0
	for b, err := range r.Blocks() {
		if err != nil {
			return 0, 0, err
		}
		for _, v := range b {
			sum += v * v
			if k++; k == n {
				powers = append(powers, sum/float64(n))
				sum, k = 0, 0
			}
		}
	}
	top := 0.0
	for _, p := range powers {
		top = math.Max(top, p)
	}
	if top == 0 {
		return 0, math.Inf(-1), nil
	}
	for i, p := range powers {
		if p >= top*risesFrom {
			return float64(i) / 100, analyze.DBFS(top), nil
		}
	}
	return 0, analyze.DBFS(top), nil
}

// qualifier reads one part after the other.
type qualifier struct {
	r      capture.Recording
	start  float64
	card   job.Card
	level  float64 // of the loud tone, dBFS
	warned []capture.Warning
}

// part measures a part, without what lies near its ends.
func (q *qualifier) part(p loopback.Part, filter string) (analyze.Measured, error) {
	rate := float64(q.r.Rate)
	first := int64((q.start + p.From + guardSeconds) * rate)
	n := int64((p.To - p.From - 2*guardSeconds) * rate)
	cut, err := q.r.Cut(first, n)
	if err != nil {
		return analyze.Measured{}, err
	}
	f, err := job.ParseFilter(filter)
	if err != nil {
		return analyze.Measured{}, err
	}
	hz := p.Hz
	if hz == 0 {
		hz = 1000
	}
	return reading.Measure(cut, job.Reading{Filter: f, ToneHz: hz})
}

// programParts are the parts of one name.
func programParts(name string) (out []loopback.Part) {
	for _, p := range loopback.Parts() {
		if p.Name == name {
			out = append(out, p)
		}
	}
	return out
}

// toneOf is the level of a part's tone.
func (q *qualifier) toneOf(p loopback.Part) (float64, error) {
	m, err := q.part(p, job.Wide)
	if err != nil {
		return 0, err
	}
	l := m.Get(analyze.ToneLevel)
	if !l.OK() {
		return 0, q.missing(m)
	}
	return l.Value, nil
}

// Broken is the error of a loop-back that lost samples, so that the program is not
// found in it. Says is what was heard, for whoever has words for it.
type Broken struct {
	File string
	Says note.Note
}

func (b *Broken) Error() string {
	return b.File + ": samples were lost; close other programs and record again"
}

// missing says why a part has no tone: lost samples break it as well.
func (q *qualifier) missing(m analyze.Measured) error {
	for _, w := range m.Warnings {
		if w.Code == capture.DroppedSamples || w.Code == capture.ZeroRun {
			return &Broken{File: q.r.Origin.File, Says: w.Says}
		}
	}
	return fmt.Errorf("%s: %w", q.r.Origin.File, errNoProgram)
}

func (q *qualifier) loud() error {
	m, err := q.part(programParts(loopback.Loud)[0], job.Wide)
	if err != nil {
		return err
	}
	l, d := m.Get(analyze.ToneLevel), m.Get(analyze.THD)
	if !l.OK() || !d.OK() {
		return q.missing(m)
	}
	q.level, q.card.GainDB, q.card.DistortionPC, q.warned = l.Value, l.Value-loopback.LoudDBFS, d.Value, m.Warnings
	return nil
}

func (q *qualifier) silence() error {
	for _, filter := range job.FilterNames {
		m, err := q.part(programParts(loopback.Silence)[0], filter)
		if err != nil {
			return err
		}
		v := m.Get(analyze.NoiseLevel)
		switch {
		case v.OK():
			q.card.NoiseDBFS[filter] = v.Value
		default: // digital silence, or hum that hides the noise: what is there in all
			q.card.NoiseDBFS[filter] = belowStep(q.r.Origin.Bits)
			if l := m.Get(analyze.Level); l.OK() {
				q.card.NoiseDBFS[filter] = l.Value
			}
		}
		if o := m.Kept.Output; o.OK() {
			q.card.RestDBFS[filter] = o.Value
		}
		if h := m.Get(analyze.HumLevel); h.OK() && filter == job.Wide {
			q.card.HumDBFS = &h.Value
		}
	}
	return nil
}

// belowStep is what noise may hide in digital silence at most: that of rounding to
// steps of 2/2^bits, 10 log10(step^2/6) dBFS.
func belowStep(bits int) float64 {
	return 20*math.Log10(2/math.Exp2(float64(bits))) - 10*math.Log10(6)
}

// steps compare the gain at two levels, and at the beginning and end of the soft
// part and of the program: a gain control shows in one of them.
func (q *qualifier) steps() error {
	soft := programParts(loopback.Soft)[0]
	middle := (soft.From + soft.To) / 2
	early, late := soft, soft
	early.To, late.From = middle+guardSeconds, middle-guardSeconds
	var l [3]float64
	for i, p := range []loopback.Part{early, late, programParts(loopback.Again)[0]} {
		var err error
		if l[i], err = q.toneOf(p); err != nil {
			return err
		}
	}
	q.card.StepDB = (l[1] - q.level) - (loopback.SoftDBFS - loopback.LoudDBFS)
	q.card.DriftDB = l[1] - l[0]
	if d := l[2] - q.level; math.Abs(d) > math.Abs(q.card.DriftDB) {
		q.card.DriftDB = d
	}
	return nil
}

func (q *qualifier) response() error {
	reference := math.NaN()
	for _, p := range programParts(loopback.Response) {
		if p.Hz > 0.45*float64(q.r.Rate) {
			continue
		}
		m, err := q.part(p, job.Wide)
		if err != nil {
			return err
		}
		l := m.Get(analyze.ToneLevel)
		if !l.OK() {
			continue // cut off: the response ends here
		}
		if p.Hz == 1000 {
			reference = l.Value
		}
		q.card.Response = append(q.card.Response, job.CardTone{Hz: p.Hz, DB: l.Value})
	}
	if math.IsNaN(reference) { // relative to nothing
		q.card.Response = nil
	}
	for i := range q.card.Response {
		q.card.Response[i].DB -= reference
	}
	return nil
}

func (q *qualifier) balance(channels []capture.Recording, best int) error {
	var l [2]float64
	for i := range l {
		other := *q
		other.r = channels[i]
		v, err := other.toneOf(programParts(loopback.Loud)[0])
		if err != nil {
			return nil // one channel does not carry it: there is no balance to tell
		}
		l[i] = v
	}
	d := l[1] - l[0]
	q.card.BalanceDB = &d
	return nil
}

// judge says what speaks against measuring with the card.
func (q *qualifier) judge() (found []note.Note) {
	c := &q.card
	add := func(sentence string, figures ...any) { found = append(found, note.Of(sentence, figures...)) }
	for _, w := range q.warned {
		if w.Code == capture.Clipped || w.Code == capture.ClippedBelow || w.Code == capture.ProcessedAudio || w.Code == capture.CodedAudio || w.Code == capture.DroppedSamples {
			found = append(found, w.Says)
		}
	}
	if math.Abs(c.StepDB) > cardStepDB || math.Abs(c.DriftDB) > cardDriftDB {
		add("card-gain-moves", note.DB(c.StepDB), note.DB(c.DriftDB))
	}
	if n, ok := c.NoiseDBFS[job.SpeechBand]; ok && n > cardNoiseDBFS {
		add("card-is-noisy", note.DBFS(n))
	}
	if c.DistortionPC > cardTHD {
		add("card-distorts", note.Percent(c.DistortionPC))
	}
	for _, t := range c.Response {
		if t.Hz >= 300 && t.Hz <= 3000 && math.Abs(t.DB) > cardRippleDB {
			add("card-is-not-flat", note.DB(t.DB), note.Hz(t.Hz))
			break
		}
	}
	return found
}

// Clock compares the tone of a recording with the frequency that an outside
// standard gave, in parts in a million.
func Clock(r capture.Recording, hz float64) (ppm float64, err error) {
	m, err := reading.Measure(r, job.Reading{ToneHz: hz})
	if err != nil {
		return 0, err
	}
	f := m.Get(analyze.ToneFrequency)
	if !f.OK() {
		return 0, fmt.Errorf("%s: it holds no tone of %g Hz", r.Origin.File, hz)
	}
	return (f.Value/hz - 1) * 1e6, nil
}
