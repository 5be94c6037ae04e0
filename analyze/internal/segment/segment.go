// Package segment cuts a recording that was described block by block into
// stretches within which nothing was turned.
//
// What goes in is one vector of features for each block: whatever tells one
// setting from the next, such as the logarithm of a tone's level, of the noise
// in a band, of a frequency. Features should be on a scale on which their
// scatter does not depend much on their value (levels in dB, frequencies in
// octaves); their units and scatters may differ from each other, since each is
// measured against the scatter that it shows itself from block to block.
//
// What comes out are stretches and the borders between them. Find works in
// three steps:
//
//  1. Every feature is weighed by its own scatter nearby, and what stands out
//     for a few blocks only (a click, a knock) is held back (weigh).
//  2. Dynamic programming over all places of the cuts gives, for each number of
//     stretches, the best cut (Bellman 1961); the number is either known or
//     found with a penalty for each stretch (search).
//  3. Each border is placed by the likelihoods of the blocks under what both its
//     sides are like away from it, and gets the range in which it lies
//     (borders). Stretches end where the range begins.
package segment

import "math"

// Stretch is a run of blocks: From is the first, To the one behind the last.
type Stretch struct{ From, To int }

// Len is the number of blocks.
func (s Stretch) Len() int { return s.To - s.From }

// Border lies between two stretches.
type Border struct {
	// At is the first block that is more likely behind the border than before it.
	At int
	// Low and High bound At: the blocks before Low lie before the border and
	// those from High on behind it, each with a chance of error below doubt.
	Low, High int
	// Errors is by how many standard errors the two sides differ, all features
	// taken together as a root of summed squares.
	Errors float64
	// Change is, for each feature, the median behind the border less that before it.
	Change []float64
}

// Cut is a way to cut the blocks: one more stretch than there are borders. The
// blocks from Low to High of a border belong to no stretch.
type Cut struct {
	Stretches []Stretch
	Borders   []Border
}

// Weakest is the smallest Errors of the cut's borders; +Inf if it has none.
func (c Cut) Weakest() float64 {
	w := math.Inf(1)
	for _, b := range c.Borders {
		w = math.Min(w, b.Errors)
	}
	return w
}

// Options say what is looked for. Count, Most, Min and Reach are in stretches
// and blocks.
type Options struct {
	// Count is the number of stretches, if it is known; 0 finds it.
	Count int
	// Most is how many stretches there are at most, if Count is 0.
	Most int
	// Min is how many blocks a stretch has at least; 2 or more.
	Min int
	// Penalty is what each further stretch has to win, in units of twice the
	// log-likelihood, if Count is 0; and Sure the Errors that each border has
	// to have. 0 stands for DefaultPenalty and DefaultSure. A negative Penalty is
	// none: the most stretches, up to Most, that are all sure.
	Penalty, Sure float64
	// Aside is how many of the last features take no part in the search and in
	// Errors, and only help to place a border within the range that the others
	// give it: what usually goes along, but may change for reasons of its own.
	Aside int
	// Floor is, for each feature, the scatter below which it is as good as
	// constant: what the equipment itself wanders, or rounding.
	Floor []float64
	// Least is, for each feature, the change that counts as one. A border needs
	// one feature that changes by so much. Nil: any.
	Least []float64
}

// Penalty and Sure unless the options say otherwise. Chance alone wins a
// stretch 10 to 25 where features scatter normally; the clicks of FM noise win
// more. A step of 1 dB between plateaus of 1.5 s wins 60 and more.
const (
	DefaultPenalty = 40
	DefaultSure    = 6.3
)

// Find cuts the blocks x, which all have the same number of finite features.
//
// With Count set it is the best cut into so many stretches, whatever its
// borders are worth: the caller looks at their Errors. Otherwise it is the best
// cut of the number of stretches that is worth its penalty, or of the next
// smaller number in which every border is sure. ok is false where so many stretches
// do not fit into x.
func Find(x [][]float64, o Options) (cut Cut, ok bool) {
	if len(x) == 0 || len(x[0]) == 0 {
		return Cut{}, false
	}
	w := weigh(x, o)
	found := w.search(o)
	if o.Count > len(found) {
		return Cut{}, false
	}
	for k := len(found) - 1; ; k-- {
		if cut = borders(x, found[k], o); o.Count > 0 || k == 0 || o.Worth(cut) {
			return cut, true
		}
	}
}

// Worth tells whether every border of a cut is sure, by Sure and Least.
func (o Options) Worth(c Cut) bool {
	for _, b := range c.Borders {
		if b.Errors < or(o.Sure, DefaultSure) || !o.enough(b.Change) {
			return false
		}
	}
	return true
}

func (o Options) enough(change []float64) bool {
	if len(o.Least) == 0 {
		return true
	}
	for f, d := range change[:len(change)-o.Aside] {
		if math.Abs(d) >= o.Least[f] {
			return true
		}
	}
	return false
}

func or(v, otherwise float64) float64 {
	if v == 0 {
		return otherwise
	}
	return v
}
