package soundness

import (
	"iter"
	"math"

	"hisspoint/capture"
	"hisspoint/capture/note"
)

const (
	compareSeconds = 10    // from the middle of the file
	silentRatio    = 1e-4  // RMS to that of the loudest channel
	silentRMS      = 5e-5  // of full scale: a step or two of 16 bits
	cancels        = 0.01  // power of the sum to the sum of the powers
	sameAs         = 1e-10 // power of the difference to the sum of the powers
)

// CompareChannels says what the channels of one file show together, looking at
// no more than 10 s in its middle: a channel without sound, channels that are
// one and the same (which is but a note: many cards record mono twice), and
// channels of which one is the other turned over, so that a mixer that adds
// them leaves nothing.
func CompareChannels(channels []capture.Recording) []capture.Warning {
	if len(channels) < 2 || channels[0].Count == 0 {
		return nil
	}
	p, ok := comparePowers(channels)
	if !ok {
		return nil // whoever reads the recording will say why
	}
	loudest := 0
	for i := range p {
		if p[i].own > p[loudest].own {
			loudest = i
		}
	}
	n := math.Min(float64(channels[0].Count), float64(compareSeconds*channels[0].Rate))
	top := math.Sqrt(p[loudest].own / n)
	var out []capture.Warning
	add := func(code capture.Code, sentence string, channels ...any) {
		out = append(out, capture.Warning{Code: code, Says: note.Of(sentence, channels...)})
	}
	if top == 0 {
		add(capture.ChannelSilent, "all-silent")
		return out
	}
	for i, c := range p {
		both := c.own + p[0].own
		switch rms := math.Sqrt(c.own / n); {
		case rms <= silentRMS && rms <= silentRatio*top:
			add(capture.ChannelSilent, "channel-silent", i+1, loudest+1)
		case i == 0 || p[0].own == 0:
		case c.difference <= sameAs*both:
			add(capture.ChannelsIdentical, "channels-identical", i+1)
		case c.sum < cancels*both:
			add(capture.ChannelsInverted, "channels-inverted", i+1)
		}
	}
	return out
}

// compared are summed squares of a channel, and of its sum with and difference from the first.
type compared struct{ own, sum, difference float64 }

func comparePowers(channels []capture.Recording) ([]compared, bool) {
	out := make([]compared, len(channels))
	pulls := make([]pull, len(channels))
	for i, r := range channels {
		if n := int64(compareSeconds * r.Rate); r.Count > n {
			var err error
			if r, err = r.Cut((r.Count-n)/2, n); err != nil {
				return nil, false
			}
		}
		next, stop := iter.Pull2(r.Blocks())
		defer stop()
		pulls[i].next = next
	}
	for {
		n := math.MaxInt
		for i := range pulls {
			more, ok := pulls[i].fill()
			if !ok {
				return nil, false
			}
			if !more {
				return out, true
			}
			n = min(n, len(pulls[i].left))
		}
		first := pulls[0].left[:n]
		for i := range pulls {
			for k, v := range pulls[i].left[:n] {
				a := first[k]
				out[i].own += v * v
				out[i].sum += (v + a) * (v + a)
				out[i].difference += (v - a) * (v - a)
			}
		}
		for i := range pulls {
			pulls[i].left = pulls[i].left[n:]
		}
	}
}

// pull hands out the blocks of a channel in step with others.
type pull struct {
	next func() ([]float64, error, bool)
	left []float64
}

func (p *pull) fill() (more, ok bool) {
	for len(p.left) == 0 {
		b, err, some := p.next()
		if err != nil {
			return false, false
		}
		if !some {
			return false, true
		}
		p.left = b
	}
	return true, true
}
