package doc

import (
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture/job"
)

// figureName is a figure as people call it.
func figureName(name string) string {
	if label := job.LabelOf(name); label != "" {
		return label
	}
	if order, ok := strings.CutPrefix(name, analyze.HarmonicOf); ok {
		return "harmonic " + order
	}
	if hz, ok := strings.CutPrefix(name, analyze.HumAt); ok {
		return "hum at " + hz + " Hz, below the audio"
	}
	for _, s := range readings {
		if s.name == name {
			return s.label
		}
	}
	return strings.ReplaceAll(name, "_", " ")
}
