package reading

import (
	"math"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/internal/weight"
	"hisspoint/capture"
	"hisspoint/capture/note"
)

// Bits of the smallest step of a file's samples: A-law and mu-law have that of 13
// and 14 bits (ITU-T G.711), and no converter is better than 24, in whatever its
// samples are kept.
const (
	aLawBits = 13
	muBits   = 14
	mostBits = 24
)

// belowSteps is the share of the power of rounding, step^2/12, below which noise cannot
// have been recorded: a sound that moves over many steps brings that power along.
const belowSteps = 0.5

// stepBits is how finely a file can keep a sample; 0 for what never was a file.
func stepBits(o capture.Origin) int {
	switch {
	case o.Container == "memory" || o.Container == "":
		return 0
	case o.Encoding == "a-law":
		return aLawBits
	case o.Encoding == "mu-law":
		return muBits
	case o.Encoding == "float":
		return mostBits
	}
	return min(o.Bits, mostBits)
}

// quantised warns of a tone with less noise than the steps of its file make by
// themselves: their error, of a mean square of a twelfth of the squared step
// (W. R. Bennett, Spectra of quantized signals, 1948), spread over all frequencies
// up to half the sample rate. What is recorded has it, dithered or not. A computed tone can hide it in
// harmonics, if its period is one of whole samples, and then shows an S/N that means nothing.
func (m *measuring) quantised(t chunk.Totals, cv weight.Curve) {
	bits := stepBits(m.Origin)
	if bits == 0 || t.WithTone == 0 || t.Refuse != "" {
		return
	}
	const bins = 4096
	half := float64(m.Rate) / 2
	passed := 0.0
	for _, w := range cv.OnBins(half/bins, bins).W {
		passed += w / bins
	}
	floor := math.Exp2(2*float64(1-bits)) / 12 * passed
	if passed == 0 || t.Noise >= belowSteps*floor {
		return
	}
	m.Warnings = append(m.Warnings, capture.Warning{Code: capture.NotRecorded, Says: note.Of("not-recorded", bits, note.DBFS(analyze.DBFS(floor)), note.DB(10*math.Log10(t.TonePower/floor)))})
}
