package chunk

import (
	"math"
	"math/cmplx"
	"slices"
	"sync"

	"hisspoint/analyze/internal/mains"
	"hisspoint/capture/dft"
)

// workers that rest keep their buffers, some 20 MB each: a pool that the garbage
// collector empties would have the system hand out the same memory again and again.
var workers = make(chan *Worker, 4)

// workerFor is a worker with room for a chunk of that many samples; one with room for far
// more is let go, or its room would stay taken through all of a long recording.
func workerFor(samples int) *Worker {
	w, m := &Worker{}, dft.Smooth(samples)
	select {
	case w = <-workers:
	default:
	}
	if cap(w.X) > m+m/2 {
		w = &Worker{}
	}
	w.X = slices.Grow(w.X[:0], m)
	return w
}

func (w *Worker) rest() {
	select {
	case workers <- w:
	default:
	}
}

// chunkQueue measures the chunks of a long recording two at a time: more would
// cost memory, and files are measured side by side as well.
type chunkQueue struct {
	chunks  int
	samples int // a chunk
	slots   chan struct{}
	group   sync.WaitGroup
}

func NewChunkQueue(chunks, samples int) *chunkQueue {
	return &chunkQueue{chunks: chunks, samples: samples, slots: make(chan struct{}, min(2, chunks))}
}

// Worker waits for a free slot and takes a worker with an empty chunk.
func (q *chunkQueue) Worker() *Worker {
	q.slots <- struct{}{}
	return workerFor(q.samples)
}

func (q *chunkQueue) Done(w *Worker) {
	w.rest()
	<-q.slots
}

func (q *chunkQueue) Run(w *Worker, f func(*Worker)) {
	q.group.Go(func() {
		f(w)
		q.Done(w)
	})
}

// Wait waits for the last chunk. After many the workers are let go: what follows looks at
// the recording as a whole and needs the memory itself.
func (q *chunkQueue) Wait() {
	q.group.Wait()
	for q.chunks > cap(workers) {
		select {
		case <-workers:
			continue
		default:
		}
		return
	}
}

// Totals are the chunks of a recording joined.
type Totals struct {
	Sums
	TonePower float64 // mean square of the fitted tone, over the chunks
	Harmonic  []harmonicSum
	Hum       mains.Level
	Buzz      mains.Level
	Parts     int
	WithTone  int // chunks in which the tone was found
	FreqVar   float64
	Slips     []SlipAt
	Refuse    string // why no reading that needs a tone is taken, a warning code; empty: they are
}

// harmonicSum is a harmonic over the chunks: its power less what noise gives, that
// power with it, what scatter.Lines.AddMean asks for, and which way it points from where
// the tone's phase is zero.
type harmonicSum struct {
	Power, Floor, Square, raw float64
	Towards                   complex128 // its amplitude, in phase and quadrature
}

// Join adds up chunks, each by its share of the samples.
func Join(parts []Sums) Totals {
	var t Totals
	t.Parts = len(parts)
	var freqWeight, freqSum float64
	var hum, buzz []mains.Family
	var shares []float64
	for _, p := range parts {
		t.N += p.N
		t.Seconds += p.Seconds
	}
	t.join(parts)
	for _, p := range parts {
		w := float64(p.N) / float64(t.N)
		t.Offset += w * p.Offset
		t.OffsetVar += w * w * p.OffsetVar
		t.Total += w * p.Total
		t.Peak = math.Max(t.Peak, p.Peak)
		t.Nd += w * p.Nd
		t.LinesVar += w * w * p.LinesVar
		t.Loose += w * p.Loose
		t.Noise += w * p.Noise
		t.Beside = t.Beside.Plus(p.Beside, w)
		t.Lifted += w * p.Lifted
		t.Top += w * p.Top
		t.Skirt += w * p.Skirt
		t.Blocks = append(t.Blocks, p.Blocks...)
		t.Clicks = append(t.Clicks, p.Clicks...)
		hum, shares = append(hum, p.Hum), append(shares, w)
		buzz = append(buzz, mains.Family{Found: mains.Stand(p.Buzz), Hz: p.Hum.Hz, Orders: p.Buzz})
		if p.Sub.Power() > t.Sub.Power() {
			t.Sub = p.Sub
		}
		if p.Other.Power() > t.Other.Power() {
			t.Other = p.Other
		}
		if p.Found {
			t.WithTone++
			t.TonePower += w * p.Tone.Power()
			t.Tone.density += w * p.Tone.density
			v := frequencyVariance(p.Tone, p.Seconds)
			fw := 1 / math.Max(v, 1e-24)
			freqSum += fw * p.Tone.Hz
			freqWeight += fw
			for i, h := range p.harmonics {
				for len(t.Harmonic) <= i {
					t.Harmonic = append(t.Harmonic, harmonicSum{})
				}
				t.Harmonic[i].Power += w * (h.Power() - h.floor)
				t.Harmonic[i].raw += w * h.Power()
				t.Harmonic[i].Towards += complex(w, 0) * h.C * cmplx.Rect(1, -float64(i+2)*cmplx.Phase(p.Tone.C))
				t.Harmonic[i].Floor += w * w * h.floor
				t.Harmonic[i].Square += w * w * h.floor * h.floor
			}
		} else if t.Why == "" {
			t.Why = p.Why
		}
	}
	t.Hum, t.Buzz = mains.Join(hum, shares), mains.Join(buzz, shares)
	if freqWeight > 0 {
		t.Tone.Hz, t.FreqVar = freqSum/freqWeight, 1/freqWeight
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
