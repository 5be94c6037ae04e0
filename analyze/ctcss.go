package analyze

import (
	"math"
	"slices"
)

// standardTones are the sub-audible tones in use, in Hz: those of TIA-603 and what
// makers added to them, as radio manuals and signalling-IC data sheets list them.
var standardTones = []float64{
	67.0, 69.3, 71.9, 74.4, 77.0, 79.7, 82.5, 85.4, 88.5, 91.5,
	94.8, 97.4, 100.0, 103.5, 107.2, 110.9, 114.8, 118.8, 123.0, 127.3,
	131.8, 136.5, 141.3, 146.2, 151.4, 156.7, 159.8, 162.2, 165.5, 167.9,
	171.3, 173.8, 177.3, 179.9, 183.5, 186.2, 189.9, 192.8, 196.6, 199.5,
	203.5, 206.5, 210.7, 218.1, 225.7, 229.1, 233.6, 241.8, 250.3, 254.1,
}

// StandardTones are the sub-audible tones in use, in Hz.
func StandardTones() []float64 { return slices.Clone(standardTones) }

// toneTolerance is how far a sub-audible tone may lie from its standard frequency:
// 0.5 %, which encoders keep (common practice, no source); neighbours are 1 % apart
// or more.
const toneTolerance = 0.005

// StandardTone is the standard sub-audible tone nearest to a frequency, and whether
// that frequency is within 0.5 % of it. Domain: hz above 0.
func StandardTone(hz float64) (nearest float64, within bool) {
	nearest = standardTones[0]
	for _, s := range standardTones {
		if math.Abs(math.Log(hz/s)) < math.Abs(math.Log(hz/nearest)) {
			nearest = s
		}
	}
	return nearest, math.Abs(hz/nearest-1) <= toneTolerance
}
