package mains

import (
	"math"

	"hisspoint/analyze/internal/scatter"
)

// publicOff is how far, as a share, public mains are off at most.
const publicOff = 0.003

// lone sums the power, at its upper end, of lone lines that may be one order of a hum
// that shows no other: those where an order of public mains stands, or one of the first
// two of any mains, and of the others the two strongest that stand no higher than all
// orders may together. A standard tone is one, unless it may be the second order.
func (m *measuring) lone() {
	var all scatter.Lines
	for _, o := range m.f.Orders {
		all.AddMean(o.Net, o.Floor, o.square)
	}
	_, most := all.Interval95()
	others := 0
	for _, l := range m.f.Others {
		near, ok := m.in.standard(l.Hz)
		standard := ok && math.Abs(near-l.Hz) < math.Max(0.3/m.v.seconds, subSpread*l.Hz)
		low := l.Hz >= loHz && l.Hz <= hiHz || l.Hz >= 2*loHz && l.Hz <= 2*hiHz
		switch order := m.public(l.Hz); {
		case order == 1 || order == 2 || !standard && (order > 2 || low):
		case !standard && others < 2 && l.Net <= most:
			others++
		default:
			continue
		}
		m.f.maybe += l.Net * (1 + 2.2*math.Sqrt(2/l.Q))
		if l.Net > m.f.Alone.Net {
			m.f.Alone = l
		}
	}
}

// public is which order of public mains a line may be, 0: none.
func (m *measuring) public(hz float64) int {
	for _, mains := range []float64{50, 60} {
		if m.in.Mains != 0 && m.in.Mains != mains {
			continue
		}
		order := int(math.Round(hz / mains))
		if order >= 1 && order <= orders && hz < Top && math.Abs(hz-float64(order)*mains) < math.Max(0.3/m.v.seconds, publicOff*hz) {
			return order
		}
	}
	return 0
}
