// Package bench is what stands on screens at the bench while nothing is measured yet, or
// while it goes on: what to set, how to connect it, live readings, and the tables to look
// things up in. It does not know what a finished test or job looks like.
package bench

import (
	"fmt"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/reports"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/sentence"
)

// aimNames are what the aims are called.
var aimNames = map[string]string{
	analyze.AimSINAD: "SINAD", analyze.AimAudio: "recovered audio", analyze.AimHiss: "hiss", analyze.AimDistortion: "distortion",
}

// stateWords say how the aim stands against the best so far.
var stateWords = map[string]string{
	analyze.Better: "better: go on", analyze.AtBest: "at the best", analyze.Closer: "closer: go on",
	analyze.ShortOf: "below the best", analyze.PastBest: "past: turn back", analyze.TooMuch: "too much level",
}

// StateText is the state of the aim in words.
func StateText(w reports.Watch) string {
	if text := stateWords[w.Needle.State]; text != "" {
		return text
	}
	for _, x := range w.Measured.Warnings {
		switch x.Code {
		case capture.ChannelSilent:
			return "no sound"
		case capture.ChannelUnstated:
			return "which channel?"
		}
	}
	if w.Needle.Now.Name == analyze.NoiseLevel {
		return "no reading"
	}
	return "no tone"
}

// WatchLine is a live reading on one line, for a pipe or a log.
func WatchLine(w reports.Watch) string {
	n := w.Needle
	parts := []string{fmt.Sprintf("%8s s  %s %s", say.Fixed(w.AtS, 1), aimNames[n.Aim], live(n.Now, n.ScatterDB))}
	if n.Best.OK() {
		parts = append(parts, fmt.Sprintf("best %s at %s s, %s", live(n.Best, 0), say.Fixed(n.BestAtS, 1), StateText(w)))
	}
	for _, name := range []string{analyze.SINAD, analyze.ToneLevel, analyze.THD, analyze.NoiseLevel, analyze.Level} {
		if r := w.Measured.Get(name); r.OK() && name != n.Now.Name {
			parts = append(parts, liveNames[name]+" "+live(r, 0))
		}
	}
	if n.Unsteady != "" {
		parts = append(parts, n.Unsteady)
	}
	for _, x := range w.Measured.Warnings {
		parts = append(parts, "warning: "+sentence.Of(x.Says))
	}
	return strings.Join(parts, "; ")
}

// liveNames are short names, since several stand on a line.
var liveNames = map[string]string{
	analyze.SINAD: "SINAD", analyze.ToneLevel: "audio", analyze.THD: "distortion", analyze.NoiseLevel: "noise", analyze.Level: "level",
	analyze.ToneFrequency: "tone", analyze.LevelVolts: "voltage", analyze.Power: "power", analyze.Peak: "peak", analyze.HumLevel: "hum",
}

// live is a reading as it is shown while it moves: always to the same digit, so
// that figures do not jump, with its scatter where that is known.
func live(r analyze.Reading, scatterDB float64) string {
	if !r.OK() {
		return "no reading (" + say.Why(r.Why) + ")"
	}
	text := liveValue(r) + " " + r.Unit
	if scatterDB > 0 && r.Unit != "%" {
		text = liveValue(r) + " ±" + say.Fixed(max(0.1, scatterDB), 1) + " " + r.Unit
	}
	return text
}

func liveValue(r analyze.Reading) string {
	switch r.Unit {
	case "%":
		if r.Value < 1 {
			return say.Fixed(r.Value, 2)
		}
		return say.Fixed(r.Value, 1)
	case "V", "W":
		return say.Significant(r.Value, 3)
	}
	return say.Fixed(r.Value, 1)
}
