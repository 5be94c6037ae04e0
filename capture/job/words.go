// Package job holds a bench job as plain data: its words (quantities, filters,
// criteria), its test kinds, conditions and limits. Flags and job files are
// both turned into these values, so both mean the same.
package job

import (
	"fmt"
	"strconv"
	"strings"

	"hisspoint/capture/unit"
)

// Filter names the frequency weighting a power is read through.
type Filter struct {
	Name      string  // "speech-band", "psophometric", "c-message", "a-weighting", "wide" or "band"
	Low, High float64 // band edges in Hz; only for "band"
}

// The filters that have a name. A band of one's own is written 300-3000.
const (
	SpeechBand   = "speech-band"  // flat 300 Hz to 3400 Hz, nothing outside
	Psophometric = "psophometric" // ITU-T O.41
	CMessage     = "c-message"    // IEEE 743
	AWeighting   = "a-weighting"  // IEC 61672-1
	Wide         = "wide"         // flat 20 Hz to the lower of 20 kHz and 0.45 of the sample rate
	Band         = "band"
)

// mostHz is above what any recording holds.
const mostHz = 1e6

// FilterNames lists the named filters in the order in which help shows them.
var FilterNames = []string{SpeechBand, Psophometric, CMessage, AWeighting, Wide}

// ParseFilter reads a filter as a person writes it. An empty text is the speech band.
func ParseFilter(s string) (Filter, error) {
	s = strings.ToLower(strings.TrimSpace(s))
	if s == "" {
		return Filter{Name: SpeechBand}, nil
	}
	for _, n := range FilterNames {
		if s == n {
			return Filter{Name: n}, nil
		}
	}
	low, high, ok := strings.Cut(strings.TrimSuffix(strings.ReplaceAll(s, " ", ""), "hz"), "-")
	if ok {
		a, errA := strconv.ParseFloat(low, 64)
		b, errB := strconv.ParseFloat(high, 64)
		if errA == nil && errB == nil && a >= 0 && b > a && b <= mostHz {
			return Filter{Name: Band, Low: a, High: b}, nil
		}
	}
	return Filter{}, fmt.Errorf("filter %q is not known: use %s, or a band such as 300-3000", s, strings.Join(FilterNames, ", "))
}

// String writes the filter as ParseFilter reads it.
func (f Filter) String() string {
	switch f.Name {
	case Band:
		return strconv.FormatFloat(f.Low, 'g', -1, 64) + "-" + strconv.FormatFloat(f.High, 'g', -1, 64)
	case "":
		return SpeechBand
	}
	return f.Name
}

// Quantities that a criterion may name.
const (
	QuantitySINAD    = "sinad"    // of the tone, at least
	QuantityQuieting = "quieting" // noise below the open-squelch hiss, at least
	QuantitySNN      = "sn_n"     // (S+N)/N: modulation on against off, the carrier left on
)

// Criterion is the threshold that defines a sensitivity point.
type Criterion struct {
	Quantity string  // "sinad" or "quieting"
	Value    float64 // dB
	Unit     string  // "dB"
}

// ParseCriterion reads "sinad 12 dB" or "quieting 20 dB"; the unit may be left
// out. An empty text is 12 dB SINAD.
func ParseCriterion(s string) (Criterion, error) {
	if strings.TrimSpace(s) == "" {
		return Criterion{QuantitySINAD, 12, "dB"}, nil
	}
	c, ok := parseCriterion(s, QuantitySINAD, QuantityQuieting)
	if !ok {
		return c, fmt.Errorf("criterion %q is not understood: write \"sinad 12 dB\" or \"quieting 20 dB\"", s)
	}
	return c, nil
}

// ParseLimitCriterion reads a criterion as limits and job files have it: those
// of ParseCriterion, and "sn_n 10 dB" for (S+N)/N, which needs two recordings at
// each level, with and without modulation.
func ParseLimitCriterion(s string) (Criterion, error) {
	c, ok := parseCriterion(s, QuantitySINAD, QuantityQuieting, QuantitySNN)
	if !ok {
		return c, fmt.Errorf("criterion %q is not understood: write \"sinad 12 dB\", \"quieting 20 dB\" or \"sn_n 10 dB\"", s)
	}
	return c, nil
}

func parseCriterion(s string, quantities ...string) (Criterion, bool) {
	t := strings.ToLower(strings.TrimSpace(s))
	for _, q := range quantities {
		rest, ok := strings.CutPrefix(t, q)
		if !ok {
			continue
		}
		v, err := unit.ParseNumber(strings.TrimSuffix(strings.TrimSpace(rest), "db"))
		if err != nil || v <= 0 || v > 60 {
			return Criterion{}, false
		}
		return Criterion{q, v, "dB"}, true
	}
	return Criterion{}, false
}

// String writes the criterion as ParseCriterion reads it.
func (c Criterion) String() string {
	return fmt.Sprintf("%s %s dB", c.Quantity, strconv.FormatFloat(c.Value, 'g', -1, 64))
}

// Label is the criterion as people say it: "12 dB SINAD".
func (c Criterion) Label() string {
	return strconv.FormatFloat(c.Value, 'g', -1, 64) + " dB " + LabelOf(c.Quantity)
}

// Modes of a set.
const (
	FM  = "fm"
	AM  = "am"
	SSB = "ssb"
)

// Modes lists the modes in the order in which help shows them.
var Modes = []string{FM, AM, SSB}

// Rules by which a verdict is given.
const (
	Guarded = "guarded" // the whole interval decides (ISO 14253-1, ILAC-G8)
	ByValue = "value"   // the value alone decides: the trade's usual way
)

// WideTop is the upper edge in Hz of the wide filter at a sample rate.
func WideTop(rate int) float64 { return min(20000, 0.45*float64(rate)) }
