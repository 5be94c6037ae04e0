package chunk

import "math"

const (
	mendSeconds = 0.05 // to each side of a slip, and at both ends, where one would not be seen
	mostMended  = 0.5  // share of the chunk
)

// mend puts the noise beside a slip, and beside the ends of a sound that has slips, in place
// of what is left there: two slips close to each other look like one of another size. It
// returns by how much the mean square of y, filtered, falls.
func (c *chunkWork) mend(y []float64, ratio float64) float64 {
	if len(c.slips) == 0 {
		return 0
	}
	reach := int(math.Ceil(mendSeconds * c.p.Rate * ratio))
	holes := [][2]int{{0, reach}}
	add := func(from, to int) {
		if last := &holes[len(holes)-1]; from <= last[1] {
			last[1] = max(last[1], to)
			return
		}
		holes = append(holes, [2]int{from, to})
	}
	for _, s := range c.slips {
		at := int(float64(s.At) * ratio)
		add(max(0, at-reach), min(len(y), at+reach))
	}
	add(len(y)-reach, len(y))
	in := 0
	for _, h := range holes {
		in += h[1] - h[0]
	}
	if float64(in) > mostMended*float64(len(y)) {
		return 0
	}
	before := meanSquare(y)
	for i, h := range holes {
		from, to := 0, len(y) // what lies between this hole and its neighbours
		if i > 0 {
			from = holes[i-1][1]
		}
		if i+1 < len(holes) {
			to = holes[i+1][0]
		}
		fill(y, h, from, to)
	}
	return before - meanSquare(y)
}

// fill takes the hole from the longer one of the stretches beside it, over and over if
// that is short.
func fill(y []float64, hole [2]int, from, to int) {
	start, length := from, hole[0]-from
	if after := to - hole[1]; after > length {
		start, length = hole[1], after
	}
	if length <= 0 {
		return
	}
	for t := hole[0]; t < hole[1]; t++ {
		y[t] = y[start+(t-hole[0])%length]
	}
}

func meanSquare(y []float64) float64 {
	sum := 0.0
	for _, v := range y {
		sum += v * v
	}
	return sum / float64(max(1, len(y)))
}
