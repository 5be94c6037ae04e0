package audio

import (
	"math"
	"slices"

	"hisspoint/capture/dft"
)

// Speech collects the power of sound in third-octave bands, frame by frame.
type Speech struct {
	rate      float64
	size, hop int
	window    []float64
	scale     float64
	buffer    []float64
	work      []float64
	bins      []complex128
	edges     []float64   // Hz, one more than bands
	frames    [][]float32 // mean squares, by band
	level     []float64   // dB of each frame between levelLow and levelHigh
	period    []float64   // how nearly each frame repeats itself at the pitch of a voice, up to 1
	lags      []float64   // of the window with itself
	auto      []float64
}

const (
	speechFrame = 0.125 // seconds; frames overlap by half
	levelLow    = 250   // Hz, the band in which activity is heard
	levelHigh   = 4000
	silentDB    = -200
	activeBelow = 15.9 // dB under the active level that still count as active
	apartFrom   = 6    // dB above the noise that active frames have to stand
	pauseSpread = 3    // dB over which frames of pauses scatter
	noiseBelow  = 10   // dB under the active level that pauses have to lie to tell the noise
)

// NewSpeech prepares for sound of a rate; edges are those of the bands in Hz, one
// after the other.
func NewSpeech(rate float64, edges []float64) *Speech {
	size := dft.Smooth(int(speechFrame * rate))
	s := &Speech{rate: rate, size: size, hop: size / 2, window: make([]float64, size), work: make([]float64, size), edges: edges}
	sum := 0.0
	for i := range s.window {
		s.window[i] = 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(size))
		sum += s.window[i] * s.window[i]
	}
	s.scale = 2 / (float64(size) * sum)
	for lag := range int(rate*longestPeriod) + 1 {
		v := 0.0
		for i := 0; i+lag < size; i++ {
			v += s.window[i] * s.window[i+lag]
		}
		s.lags = append(s.lags, v/sum)
	}
	return s
}

// Where the pitch of a voice is looked for.
const (
	shortestPeriod = 0.0028 // s
	longestPeriod  = 0.0143
	pitchLow       = 150 // Hz, the band that is compared with itself
	pitchHigh      = 1500
	voicedFrom     = 0.5 // correlation from which a frame is voiced
)

// periodic is the highest correlation of the frame in bins with itself, one period
// of a voice later.
func (s *Speech) periodic() float64 {
	width := s.rate / float64(s.size)
	for k, c := range s.bins {
		if hz := float64(k) * width; hz < pitchLow || hz > pitchHigh {
			s.bins[k] = 0
		} else {
			s.bins[k] = complex(real(c)*real(c)+imag(c)*imag(c), 0)
		}
	}
	s.auto = dft.Inverse(s.auto, s.bins, s.size)
	if s.auto[0] <= 0 {
		return 0
	}
	best := 0.0
	for lag := int(shortestPeriod * s.rate); lag < len(s.lags); lag++ {
		best = math.Max(best, s.auto[lag]/s.auto[0]/s.lags[lag])
	}
	return best
}

// Add takes the next samples.
func (s *Speech) Add(block []float64) {
	for len(block) > 0 {
		k := min(len(block), s.size-len(s.buffer))
		s.buffer = append(s.buffer, block[:k]...)
		block = block[k:]
		if len(s.buffer) == s.size {
			s.take()
			s.buffer = s.buffer[:copy(s.buffer, s.buffer[s.hop:])]
		}
	}
}

func (s *Speech) take() {
	for i, v := range s.buffer {
		s.work[i] = v * s.window[i]
	}
	s.bins = dft.Forward(s.bins, s.work)
	powers := make([]float32, len(s.edges)-1)
	for i := range powers {
		powers[i] = float32(s.between(s.edges[i], s.edges[i+1]))
	}
	s.frames = append(s.frames, powers)
	s.level = append(s.level, math.Max(silentDB, 10*math.Log10(math.Max(1e-30, s.between(levelLow, levelHigh)))))
	s.period = append(s.period, s.periodic())
}

// between is the mean square between two frequencies; a bin on an edge counts by
// the part of it that lies inside.
func (s *Speech) between(low, high float64) float64 {
	width := s.rate / float64(s.size)
	sum := 0.0
	for k := max(1, int(low/width)); k < len(s.bins) && (float64(k)-0.5)*width < high; k++ {
		a, b := (float64(k)-0.5)*width, (float64(k)+0.5)*width
		part := (math.Min(b, high) - math.Max(a, low)) / width
		if part > 0 {
			c := s.bins[k]
			sum += part * (real(c)*real(c) + imag(c)*imag(c))
		}
	}
	return sum * s.scale
}

// Spoken is what was heard of speech.
type Spoken struct {
	Active   float64     // seconds of it
	Varies   float64     // dB between the 10th and the 90th percentile of active frames: talk rises and falls
	Voiced   float64     // share of active frames that repeat themselves at the pitch of a voice
	Noise    bool        // pauses told the noise, which is taken off
	Overlaid bool        // nothing falls 10 dB below it: what noise adds cannot be told
	DB       []float64   // band levels, 10 log10 of mean square
	Over     []float64   // dB by which each band stands above the noise; +Inf where none is known
	Without  [][]float64 // the levels with one block of frames left out each
}

// Blocks is in how many parts active frames are divided to see how they scatter.
const Blocks = 16

// Spoken sums up. Active frames are those within 15.9 dB of the mean level of the
// active ones (the margin of ITU-T P.56, from memory) and 6 dB above the noise. That
// is read in frames up to 3 dB above the quietest twentieth, so that it scatters to
// both sides, if a tenth of all lies 10 dB below the talk. ok is false
// where too few frames are active.
func (s *Speech) Spoken() (out Spoken, ok bool) {
	var heard []int
	for i, l := range s.level {
		if l > silentDB+50 {
			heard = append(heard, i)
		}
	}
	if len(heard) < 2*Blocks {
		return out, false
	}
	sorted := make([]float64, 0, len(heard))
	for _, i := range heard {
		sorted = append(sorted, s.level[i])
	}
	slices.Sort(sorted)
	threshold, mean := activeFrom(sorted)
	quiet := sorted[len(sorted)/10]
	var noise []float64
	if sorted[len(sorted)*9/10]-quiet < noiseBelow {
		threshold = math.Inf(-1)
		out.Overlaid = true
	} else if quiet < mean-noiseBelow {
		pauses := pick(heard, func(i int) bool { return s.level[i] <= sorted[len(sorted)/20]+pauseSpread })
		noise = s.mean(pauses)
		out.Noise = true
		threshold = math.Max(threshold, s.meanLevel(pauses)+apartFrom)
	} else {
		out.Overlaid = true
	}
	active := pick(heard, func(i int) bool { return s.level[i] >= threshold })
	if len(active) < 2*Blocks {
		return out, false
	}
	out.Active = float64(len(active)*s.hop) / s.rate
	loud := make([]float64, 0, len(active))
	for _, i := range active {
		loud = append(loud, s.level[i])
		if s.period[i] > voicedFrom {
			out.Voiced += 1 / float64(len(active))
		}
	}
	slices.Sort(loud)
	out.Varies = loud[len(loud)*9/10] - loud[len(loud)/10]
	out.DB, out.Over = s.levels(active, noise)
	for b := range Blocks {
		lo, hi := b*len(active)/Blocks, (b+1)*len(active)/Blocks
		rest := append(slices.Clone(active[:lo]), active[hi:]...)
		db, _ := s.levels(rest, noise)
		out.Without = append(out.Without, db)
	}
	return out, true
}

func pick(all []int, f func(int) bool) []int {
	var out []int
	for _, i := range all {
		if f(i) {
			out = append(out, i)
		}
	}
	return out
}

// activeFrom is the level from which frames are active, and the mean level of
// those; levels rise.
func activeFrom(levels []float64) (threshold, mean float64) {
	threshold = math.Inf(-1)
	for range 20 {
		sum, n := 0.0, 0.0
		for _, l := range levels {
			if l >= threshold {
				sum += math.Pow(10, l/10)
				n++
			}
		}
		mean = 10 * math.Log10(sum/n)
		if math.Abs(mean-activeBelow-threshold) < 1e-6 {
			break
		}
		threshold = mean - activeBelow
	}
	return threshold, mean
}

// meanLevel is the level of the mean square of frames, in dB.
func (s *Speech) meanLevel(frames []int) float64 {
	sum := 0.0
	for _, i := range frames {
		sum += math.Pow(10, s.level[i]/10) / float64(len(frames))
	}
	return 10 * math.Log10(sum)
}

// mean is the mean power by band.
func (s *Speech) mean(frames []int) []float64 {
	sum := make([]float64, len(s.edges)-1)
	for _, i := range frames {
		for b, v := range s.frames[i] {
			sum[b] += float64(v) / float64(len(frames))
		}
	}
	return sum
}

// levels are the band levels of frames, noise taken off, and how far they stand
// above it.
func (s *Speech) levels(frames []int, noise []float64) (dB, over []float64) {
	p := s.mean(frames)
	over = make([]float64, len(p))
	for b := range p {
		over[b] = math.Inf(1)
		if noise != nil {
			over[b] = 10 * math.Log10(math.Max(1e-30, p[b])/math.Max(1e-30, noise[b]))
			p[b] = math.Max(p[b]/100, p[b]-noise[b])
		}
		dB = append(dB, 10*math.Log10(math.Max(1e-30, p[b])))
	}
	return dB, over
}

// Break begins another recording: no frame reaches over it.
func (s *Speech) Break() { s.buffer = s.buffer[:0] }
