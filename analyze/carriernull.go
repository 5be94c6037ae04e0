package analyze

import (
	"math"
)

// CarrierNull is a setting of a tone and a deviation at which the carrier of an FM
// signal vanishes: where the Bessel function J0 of the modulation index is zero.
type CarrierNull struct {
	Number    int     // 1 for the first null
	Index     float64 // modulation index, deviation over tone
	ToneHz    float64
	Deviation float64 // Hz, peak
	// PercentAt40dB is how far off the deviation may be, in percent, while the carrier
	// stands 40 dB below its unmodulated level.
	PercentAt40dB float64
}

// BesselZero is the zero of J0 of a number from 1 on: 2.4048, 5.5201, 8.6537 ...
// It starts from McMahon's expansion (Abramowitz & Stegun 9.5.12) and ends by
// Newton's steps.
func BesselZero(number int) float64 {
	b := (float64(number) - 0.25) * math.Pi
	z := b + 1/(8*b) - 124/(3*math.Pow(8*b, 3))
	for range 8 {
		z += math.J0(z) / math.J1(z) // the derivative of J0 is -J1
	}
	return z
}

// CarrierNullOfTone is the null of a number for a tone in Hz: the deviation at
// which the carrier vanishes is the index times the tone.
func CarrierNullOfTone(number int, toneHz float64) CarrierNull {
	z := BesselZero(number)
	return CarrierNull{Number: number, Index: z, ToneHz: toneHz, Deviation: z * toneHz, PercentAt40dB: NullMiss(number, -40)}
}

// CarrierNullOfDeviation is the null of a number for a deviation in Hz: the tone
// at which the carrier vanishes is the deviation over the index.
func CarrierNullOfDeviation(number int, deviationHz float64) CarrierNull {
	n := CarrierNullOfTone(number, deviationHz/BesselZero(number))
	n.Deviation = deviationHz
	return n
}

// NullMiss is how far off the deviation may be, in percent, where the carrier
// near a null stands so many dB above its unmodulated level (-40): J0 falls
// through its zero z with the slope -J1(z), so that the index is off by
// 10^(dB/20)/|J1(z)|.
func NullMiss(number int, dB float64) float64 {
	z := BesselZero(number)
	return 100 * math.Pow(10, dB/20) / math.Abs(math.J1(z)) / z
}
