package analyze

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"hisspoint/analyze/internal/spectrum"
	"hisspoint/analyze/internal/track"
	"hisspoint/analyze/internal/weight"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// weighting gives the curve of a filter at a sample rate.
func weighting(f job.Filter, rate float64) (weight.Curve, error) {
	top := 0.45 * rate
	switch f.Name {
	case "", job.SpeechBand:
		return weight.Flat(300, math.Min(3400, top)), nil
	case job.Psophometric:
		return weight.Psophometric(), nil
	case job.CMessage:
		return weight.CMessage(), nil
	case job.AWeighting:
		return weight.A(), nil
	case job.Wide:
		return weight.Flat(20, math.Min(20000, top)), nil
	case job.Band:
		if f.Low >= top {
			return weight.Curve{}, fmt.Errorf("filter %s lies above what a sample rate of %.0f Hz can hold: use a lower band", f, rate)
		}
		return weight.Flat(f.Low, math.Min(f.High, rate/2)), nil
	}
	return weight.Curve{}, fmt.Errorf("filter %q is not known", f.Name)
}

const (
	blockSeconds = 0.5  // longest block whose scatter is looked at
	wantBlocks   = 40   // a recording is divided into so many blocks if they stay long enough
	minBlock     = 0.05 // shortest block, well over the memory of the speech band after de-emphasis
)

// MinSeconds is the shortest recording that is measured at all.
const MinSeconds = 0.1

// measuring is a recording that is being measured.
type measuring struct{ Measured }

// refused takes all readings back where the samples are no sound.
func (m *measuring) refused(why string) {
	if why != whyNotFinite {
		return
	}
	for i, r := range m.Readings {
		m.Readings[i] = none(r.Name, r.Unit, why)
	}
	m.Harmonics, m.HumLines, m.OtherTone, m.SubAudibleTone = nil, nil, 0, 0
}

// Measure takes all readings of one recording.
//
// The powers of the noise and of noise and distortion are mean squares of the
// filtered signal over every sample of the part in use; the tone is the
// least-squares fit of a sine with frequency, amplitude, phase and offset free
// (IEEE 1057). Intervals are 95 % ones from the recording's own scatter. See
// the constants of the reading names for the units.
//
// It fails only if the recording cannot be read, is shorter than MinSeconds, or the
// filter does not fit its rate; what is wrong with the sound is said in readings and warnings.
func Measure(r capture.Recording, how job.Reading) (Measured, error) {
	m := measuring{Measured{Origin: r.Origin, Rate: r.Rate, Frames: r.Total, From: r.FromSeconds(), To: r.ToSeconds(), Filter: how.Filter}}
	m.Warnings = append(m.Warnings, r.Origin.Warnings...)
	cv, err := weighting(how.Filter, float64(r.Rate))
	if err != nil {
		return m.Measured, fmt.Errorf("%s: %w", r.Origin.File, err)
	}
	if how.Tone() > 0.45*float64(r.Rate) {
		return m.Measured, fmt.Errorf("%s: a tone of %g Hz is too high for its sample rate of %d Hz: record at a higher rate", r.Origin.File, how.Tone(), r.Rate)
	}
	if r.Seconds() < MinSeconds {
		return m.Measured, fmt.Errorf("%s: only %.3g s long: record 5 s or more", r.Origin.File, r.Seconds())
	}
	plan := planOf(r, cv, how)
	parts, err := followDrift(r, plan)
	if err != nil {
		return m.Measured, err
	}
	t, err := examine(&m.Measured, r, parts, join(parts), how, func(r capture.Recording) (totals, error) {
		parts, err := followDrift(r, plan)
		return join(parts), err
	})
	if err != nil {
		return m.Measured, err
	}
	m.fill(t, cv, how)
	m.keep(t, cv, how)
	m.quantised(t, cv)
	if how.Mode == job.SSB { // off tune, which is no wrong tone
		m.Warnings = slices.DeleteFunc(m.Warnings, func(w capture.Warning) bool { return w.Code == "tone-off-frequency" })
	}
	m.refused(t.refuse)
	m.doubtHum()
	return m.Measured, nil
}

// planOf is what is looked for in a recording.
func planOf(r capture.Recording, cv weight.Curve, how job.Reading) chunkPlan {
	return chunkPlan{rate: float64(r.Rate), curve: cv, expected: how.Tone(), spread: spreadOf(how), mains: how.MainsHz, hop: track.Length(r.Seconds())}
}

const (
	driftMatters = 0.01 // share of noise and distortion from which a drift of the tone is followed
	shortest     = 0.6  // s: shorter chunks are not made to follow it
)

// ssbSpread is how far, as a share, the tone of an SSB set may stand from where it
// is expected: it moves with the tuning of set and generator, hertz for hertz.
const ssbSpread = 0.6

func spreadOf(how job.Reading) float64 {
	if how.Mode == job.SSB {
		return ssbSpread
	}
	return toneSpread
}

// followDrift measures a recording, in shorter chunks if the tone's frequency
// drifts so far within one that a single sine no longer fits: an audio oscillator
// that warms up is no noise of the set.
func followDrift(r capture.Recording, p chunkPlan) ([]sums, error) {
	parts, err := measureParts(r, p)
	for err == nil && len(parts) > 0 {
		t := join(parts)
		seconds := r.Seconds() / float64(len(parts))
		if t.curved <= driftMatters*t.nd || seconds/2 < shortest {
			return parts, nil
		}
		p.longest = int(float64(parts[0].n)/2) + 1
		parts, err = measureParts(r, p)
	}
	return parts, err
}

// workers that rest keep their buffers, some 20 MB each: a pool that the garbage
// collector empties would have the system hand out the same memory again and again.
var workers = make(chan *worker, 4)

// workerFor is a worker with room for a chunk of that many samples.
func workerFor(samples int) *worker {
	w := &worker{}
	select {
	case w = <-workers:
	default:
	}
	w.x = slices.Grow(w.x[:0], spectrum.Smooth(samples))
	return w
}

func (w *worker) rest() {
	select {
	case workers <- w:
	default:
	}
}

// measureParts runs over the recording chunk by chunk.
func measureParts(r capture.Recording, p chunkPlan) ([]sums, error) {
	if r.Count == 0 {
		return nil, nil
	}
	n := 1
	if r.Count > maxChunk {
		n = int((r.Count + longChunk - 1) / longChunk)
	}
	if p.longest > 0 {
		n = max(n, int((r.Count+int64(p.longest)-1)/int64(p.longest)))
	}
	size := int((r.Count + int64(n) - 1) / int64(n))
	block := math.Min(blockSeconds, math.Max(minBlock, r.Seconds()/wantBlocks))
	out := make([]sums, n)
	q := newChunkQueue(n, size)
	i, w := 0, q.worker()
	flush := func() {
		plan := p
		plan.blocks = max(1, int(math.Round(float64(len(w.x))/p.rate/block)))
		at := &out[i]
		if i == 0 {
			*at = w.measure(plan)
			if at.found { // the tone of the others is looked for where the first one's was
				p.expected, p.spread = at.tone.hz, 0.02
			}
			q.done(w)
		} else {
			q.run(w, func(w *worker) { *at = w.measure(plan) })
		}
		i++
		w = nil
	}
	for b, err := range r.Blocks() {
		if err != nil {
			q.wait()
			return nil, err
		}
		for len(b) > 0 && i < n {
			if w == nil {
				w = q.worker()
			}
			k := min(len(b), size-len(w.x))
			w.x = append(w.x, b[:k]...)
			b = b[k:]
			if len(w.x) == size {
				flush()
			}
		}
	}
	if w != nil && len(w.x) > 0 {
		flush()
	}
	q.wait()
	return out[:i], nil
}

// chunkQueue measures the chunks of a long recording two at a time: more would
// cost memory, and files are measured side by side as well.
type chunkQueue struct {
	samples int // a chunk
	slots   chan struct{}
	group   sync.WaitGroup
}

func newChunkQueue(chunks, samples int) *chunkQueue {
	return &chunkQueue{samples: samples, slots: make(chan struct{}, min(2, chunks))}
}

// worker waits for a free slot and takes a worker with an empty chunk.
func (q *chunkQueue) worker() *worker {
	q.slots <- struct{}{}
	return workerFor(q.samples)
}

func (q *chunkQueue) done(w *worker) {
	w.rest()
	<-q.slots
}

func (q *chunkQueue) run(w *worker, f func(*worker)) {
	q.group.Go(func() {
		f(w)
		q.done(w)
	})
}

func (q *chunkQueue) wait() { q.group.Wait() }

// totals are the chunks of a recording joined.
type totals struct {
	sums
	tonePower float64 // mean square of the fitted tone, over the chunks
	harmonic  []harmonicSum
	humLines  []humTotal
	humPower  float64
	humVar    float64
	humHz     float64
	parts     int
	withTone  int // chunks in which the tone was found
	freqVar   float64
	refuse    string // why no reading that needs a tone is taken, a warning code; empty: they are
}

// humTotal is one line of the mains family over the chunks.
type humTotal struct{ hz, power, variance float64 }

// harmonicSum is a harmonic over the chunks: its power less what noise gives, that
// power with it, and what scatter.Lines.AddMean asks for.
type harmonicSum struct{ power, floor, square, raw float64 }

// join adds up chunks, each by its share of the samples.
func join(parts []sums) totals {
	var t totals
	t.parts = len(parts)
	var humWeight, freqWeight, freqSum float64
	hum := map[int]*humTotal{}
	humPower, humShare := map[int]float64{}, map[int]float64{}
	for _, p := range parts {
		t.n += p.n
		t.seconds += p.seconds
	}
	for _, p := range parts {
		w := float64(p.n) / float64(t.n)
		t.offset += w * p.offset
		t.offsetVar += w * w * p.offsetVar
		t.total += w * p.total
		t.peak = math.Max(t.peak, p.peak)
		t.nd += w * p.nd
		t.linesVar += w * w * p.linesVar
		t.curved += w * p.curved
		t.loose += w * p.loose
		if len(p.hum) > 0 && p.onMains > 0 {
			t.onMains = p.onMains
		}
		t.noise += w * p.noise
		t.skirt += w * p.skirt
		t.blocks = append(t.blocks, p.blocks...)
		t.clicks = append(t.clicks, p.clicks...)
		if p.mains != 0 {
			t.mains = p.mains
		}
		if p.sub.Power() > t.sub.Power() {
			t.sub = p.sub
		}
		if p.other.Power() > t.other.Power() {
			t.other = p.other
		}
		if p.found {
			t.withTone++
			t.tonePower += w * p.tone.Power()
			t.tone.density += w * p.tone.density
			v := frequencyVariance(p.tone, p.seconds)
			fw := 1 / math.Max(v, 1e-24)
			freqSum += fw * p.tone.hz
			freqWeight += fw
			for i, h := range p.harmonics {
				for len(t.harmonic) <= i {
					t.harmonic = append(t.harmonic, harmonicSum{})
				}
				t.harmonic[i].power += w * (h.Power() - h.floor)
				t.harmonic[i].raw += w * h.Power()
				t.harmonic[i].floor += w * w * h.floor
				t.harmonic[i].square += w * w * h.floor * h.floor
			}
		} else if t.why == "" {
			t.why = p.why
		}
		for _, h := range p.hum {
			l, ok := hum[h.order]
			if !ok {
				l = &humTotal{}
				hum[h.order] = l
			}
			l.hz += w * h.mean * h.hz
			humPower[h.order] += w * h.mean
			humShare[h.order] += w
			l.variance += w * w * (2*h.mean*h.floor + h.floor*h.floor)
			t.humHz += w * h.mean * h.hz / float64(h.order)
			humWeight += w * h.mean
		}
	}
	if freqWeight > 0 {
		t.tone.hz, t.freqVar = freqSum/freqWeight, 1/freqWeight
	}
	if humWeight > 0 {
		t.humHz /= humWeight
	}
	for order := 1; order <= 12; order++ {
		if l, ok := hum[order]; ok && humPower[order] > 0 {
			l.hz /= humPower[order]
			// A weak line is lost in some chunks; they say nothing of its level.
			power, k := humPower[order]/humShare[order], 1/humShare[order]
			l.power = power
			l.variance *= k * k
			t.humPower += power
			t.humVar += l.variance
			t.humLines = append(t.humLines, *l)
		}
	}
	return t
}

// frequencyVariance is the Cramer-Rao bound of a tone's frequency in noise of the density
// found around it: 3 N0 / (pi^2 A^2 T^3) (Rife & Boorstyn 1974).
func frequencyVariance(l line, seconds float64) float64 {
	a := l.Amplitude()
	if a == 0 {
		return 0
	}
	return 3 * l.density / (math.Pi * math.Pi * a * a * seconds * seconds * seconds)
}

// dbfs is a mean square in dB against a sine whose peaks touch full scale (AES17).
func dbfs(meanSquare float64) float64 { return 10 * math.Log10(2*meanSquare) }
