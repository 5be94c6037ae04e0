package mains

import "math"

// standing is how many standard deviations of noise the orders above the hum must have
// together to count as buzz.
const standing = 4

// Stand tells whether orders stand out of the noise together.
func Stand(os []Order) bool {
	var sum, square float64
	for _, o := range os {
		sum += o.Net
		square += o.square
	}
	return sum > standing*math.Sqrt(square)
}

// Above measures the orders above the hum to a top frequency, in the same way: buzz of
// rectifiers and thyristors. Where they stand they say better than the hum did where
// the fundamental is.
func (in *Input) Above(f Family, top float64) []Order {
	v := look(in.Spectrum, in.Rate, top+2*floorHz)
	m := measuring{in: in, v: v}
	var os []Order
	for k := min(orders, int(Top/f.Hz)) + 1; float64(k)*f.Hz <= math.Min(top, v.top()); k++ {
		hz := float64(k) * f.Hz
		if m.closer(hz, in.Tones, hiddenByTone) {
			continue
		}
		floor, bins := v.flat(hz, in.Tones)
		os = append(os, Order{Order: k, Hz: hz, Floor: floor, square: floor * floor * (1 + 1/bins)})
	}
	m.f = f
	likelihood := func(at, _ float64) float64 {
		z := (at - f.Hz) / f.Doubt
		sum := -z * z / 2
		for _, o := range os {
			q := v.at(float64(o.Order)*at) / o.Floor
			sum += favour(q) + math.Max(0, q-favourTop)*meanFloors/(1+meanFloors)
		}
		return sum
	}
	m.weigh(f.Hz, f.Doubt, likelihood)
	m.weigh(m.f.Hz, f.Doubt*3.5/placeSteps, likelihood) // between two of these places
	for i := range os {
		o := &os[i]
		o.Hz = float64(o.Order) * m.f.Hz
		for _, p := range m.places {
			o.Net += p.share * (v.at(float64(o.Order)*p.hz) - o.Floor)
		}
	}
	return os
}

// flat is the floor at a frequency where it hardly slopes: the mean of the bins around,
// without those that stand out of it.
func (v *view) flat(hz float64, skip []float64) (floor, bins float64) {
	gap := math.Max(floorGap/v.seconds, gapHz)
	near := []float64{hz}
	for _, s := range skip {
		if math.Abs(s-hz) < floorHz+gap {
			near = append(near, s)
		}
	}
	_, p := v.around(hz, gap, near)
	limit := math.Inf(1)
	for range floorIter {
		var sum, n float64
		for _, x := range p {
			if x <= limit {
				sum += x
				n++
			}
		}
		if n == 0 {
			break
		}
		floor, bins = sum/n, n
		limit = outlier * floor
	}
	return math.Max(least, floor), math.Max(1, bins*float64(v.s.N)/float64(v.s.M))
}
