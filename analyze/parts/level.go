package parts

import (
	"fmt"
	"math"

	"hisspoint/analyze/internal/segment"
	"hisspoint/analyze/internal/track"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

const levelChange = 0.25 // dB by which a tone's level changes at least from step to step

// LevelSteps finds the n plateaus of a recording in which a constant tone was
// stepped in level: by the volume control, or at a transmitter's input. n = 0
// finds their number. Only the tone counts: what else changes is no step, and what lies
// before the tone comes and after it has gone belongs to none. Where the plateaus that
// stand out are not n, but each jump lies where n plateaus of one length have theirs, as
// in a signal that was played, they are those: between inputs beyond a limiter no edge is
// heard, and one that creeps does not keep still. Where no plateaus fit, the error wraps
// a Misfit and the parts are what was found. Domain: n from 0 to 60; plateaus of
// 1.5 s or more, of one length 0.8 s or more, that differ by 0.25 dB or more and by what
// noise lets see.
func LevelSteps(r capture.Recording, n int, how job.Reading) ([]Part, error) {
	if n < 0 || n > Most {
		return nil, fmt.Errorf("%s: steps are found for 1 to %d levels, not %d", r.Origin.File, Most, n)
	}
	b, err := blocksOf(r, how)
	if err != nil {
		return nil, err
	}
	whole := b
	b = b.toned()
	if b.blocks(stepMin) > len(b.x) {
		return nil, fmt.Errorf("%s: is %.1f s long, too short for steps: leave 3 s for each", r.Origin.File, r.Seconds())
	}
	for i := range b.x {
		b.x[i] = b.x[i][:featTone+1]
	}
	o := segment.Options{Min: b.blocks(stepMin), Most: Most, Floor: []float64{floorTone}, Least: []float64{levelChange}}
	var cut segment.Cut
	if n > 0 {
		cut = b.known(n+stepSpare, o)
	} else {
		cut, _ = segment.Find(b.x, o)
	}
	parts := b.parts(cut)
	if b.start > whole.start { // what comes up and goes down is no plateau
		parts[0].From = math.Min(parts[0].From+stepMargin, parts[0].To)
	}
	if last := &parts[len(parts)-1]; b.end < whole.end {
		last.To = math.Max(last.From, last.To-stepMargin)
	}
	if n == 0 {
		n = len(parts)
	}
	if why := Unfit(parts, n, "level"); why != "" {
		if even, ok := b.even(n); ok {
			return even, nil
		}
		return parts, &Misfit{r.Origin.File, why, times(parts)}
	}
	return parts, nil
}

const (
	tonelessDB = -6  // a tone against noise of a block: noise alone has some 13 dB less in the bins of a tone than in all, by chance 5 dB more
	toneStays  = 0.1 // seconds that a tone stays where it has come
)

// toned is the recording from where its tone comes to where it has gone.
func (b blocked) toned() blocked {
	has := func(i int) bool { return b.tone[i] > silentDBFS && b.tone[i]-b.noise[i] > tonelessDB }
	stay := max(1, b.blocks(toneStays))
	first, last, run := -1, 0, 0
	for i := range b.tone {
		if run++; !has(i) {
			run = 0
		}
		if run >= stay {
			if first < 0 {
				first = i + 1 - stay
			}
			last = i + 1
		}
	}
	if first < 0 || first == 0 && last == len(b.tone) {
		return b
	}
	start, end := b.at(first), b.at(last)
	b.x, b.tone, b.noise, b.start, b.end = b.x[first:last], b.tone[first:last], b.noise[first:last], start, end
	return b
}

// How plateaus of one length are told.
const (
	evenLeast = 0.8  // seconds of a plateau
	evenNear  = 0.12 // seconds that a jump may lie beside its place: blocks are 0.05 s long
	jumpDB    = 1.0  // least jump
	jumpReach = 5    // blocks on either side from which its size is taken, but for the two beside it
	evenJumps = 2    // jumps at least, of n-1
)

// even are n plateaus of one length from where the tone comes to where it has gone, if
// each jump of the tone lies between two of them.
func (b blocked) even(n int) ([]Part, bool) {
	long := (b.end - b.start) / float64(n)
	if n < 2 || long < evenLeast {
		return nil, false
	}
	jumps := b.jumps()
	at := map[int]bool{}
	for _, j := range jumps {
		k := math.Round((j - b.start) / long)
		if math.Abs(j-b.start-k*long) > evenNear || k < 1 || k > float64(n-1) {
			return nil, false
		}
		at[int(k)] = true
	}
	if len(at) < min(evenJumps, n-1) {
		return nil, false
	}
	out := make([]Part, n)
	for i := range out {
		from, to := b.start+float64(i)*long, b.start+float64(i+1)*long
		p := Part{From: from + stepMargin, To: to - stepMargin, Turned: from}
		first, last := b.near(p.From), b.near(p.To)
		first = b.settled(segment.Stretch{From: first, To: last})
		p.From = math.Max(p.From, b.at(first))
		p.Tone, p.Noise = track.Median(b.tone[first:last]), track.Median(b.noise[first:last])
		out[i] = p
	}
	return out, true
}

// near is the block at a time.
func (b blocked) near(at float64) int {
	return max(0, min(len(b.tone), int(math.Round((at-b.start)/b.hop))))
}

// jumps are the times at which the tone's level jumps.
func (b blocked) jumps() (at []float64) {
	size := func(i int) float64 {
		return track.Median(b.tone[i+2:i+jumpReach]) - track.Median(b.tone[i-jumpReach:i-2])
	}
	for i := jumpReach; i+jumpReach <= len(b.tone); i++ {
		d := math.Abs(size(i))
		if d < jumpDB {
			continue
		}
		best, top := i, d
		for ; i+jumpReach <= len(b.tone); i++ { // the largest of those in a row
			d := math.Abs(size(i))
			if d < jumpDB {
				break
			}
			if d > top {
				best, top = i, d
			}
		}
		at = append(at, b.at(best))
	}
	return at
}
