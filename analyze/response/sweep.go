package response

import (
	"fmt"
	"math"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/audio"
	"hisspoint/capture"
	"hisspoint/capture/signal"
)

// swept reads a sweep.
func (r *listener) swept(rs []capture.Recording) error {
	if len(rs) != 1 {
		r.Why = "a sweep is read from one recording; name one"
		return nil
	}
	x, err := r.wholeOf(rs[0], "sweep")
	if err != nil || r.Why != "" {
		return err
	}
	s, rate := r.How.Played(), float64(rs[0].Rate)
	w, _, whole, ok := audio.FindSweep(x, rate, audio.Sweep{LowHz: s.LowHz, HighHz: s.HighHz, Seconds: s.Seconds})
	switch {
	case !ok:
		r.Why = "the sweep is not heard in it: play the one that hisspoint signals writes, and record it louder"
		return nil
	case !whole:
		r.Kind = analyze.ResponseSweep
		r.Why = "the sweep is cut off: record from before its start until after its end"
		return nil
	}
	r.Kind = analyze.ResponseSweep
	if len(w.Broken) > 0 {
		r.Why = fmt.Sprintf("the sweep jumps or breaks off at %.2f s, as where samples are lost or muted: record it again", rs[0].FromSeconds()+w.Broken[0])
		return nil
	}
	var tones []toneLevel
	var weak []float64
	low, high := w.Range()
	for _, hz := range sweptFrequencies() {
		if hz < low || hz > high {
			continue
		}
		l := w.At(hz)
		if !l.Counts() {
			if hz >= tiltLow && hz <= tiltHigh {
				weak = append(weak, hz)
			}
			continue
		}
		tones = append(tones, toneLevel{hz, l.DB(), l.SD()})
		if d, ok := sweptDistortion(w, hz, l, rate); ok {
			r.Distortion = append(r.Distortion, d)
		}
	}
	r.leftOut(weak)
	r.complete(tones)
	return nil
}

// sweptFrequencies are those at which a sweep is read: sixths of an octave.
func sweptFrequencies() []float64 {
	all := append(signal.Frequencies(160, 6300, 6), signal.StandardSteps(6)...)
	slices.Sort(all)
	return slices.Compact(all)
}

// sweptDistortion reads the harmonics as the sweep passes hz.
func sweptDistortion(w *audio.Swept, hz float64, fundamental audio.Line, rate float64) (analyze.SweptDistortion, bool) {
	d := analyze.SweptDistortion{Hz: hz}
	sum, floor := 0.0, 0.0
	percent := func(power float64) float64 { return 100 * math.Sqrt(power/fundamental.Power) }
	for order := 2; order <= audio.Orders && float64(order)*hz < 0.39*rate; order++ {
		h := w.Harmonic(hz, order)
		if !analyze.Finite(h.Floor) {
			break
		}
		sum, floor = sum+h.Power, floor+h.Floor
		d.Harmonics = append(d.Harmonics, analyze.Harmonic{Order: order, Percent: percent(h.Power)})
	}
	d.Percent, d.FloorPercent = percent(sum), percent(floor)
	return d, len(d.Harmonics) > 0 && analyze.Finite(d.Percent)
}
