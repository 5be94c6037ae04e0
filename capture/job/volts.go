package job

import (
	"fmt"
	"strings"

	"hisspoint/capture/unit"
)

// FullScaleVolts is the RMS voltage of a sine that just reaches full scale, as
// Reading has it, from the RMS volts that a meter showed while a recording was
// made and the level of that recording in dBFS (AES17: a full-scale sine is
// 0 dBFS). Both are of everything in the recording, not of its tone alone. It is
// the voltage where the meter was, so a pad behind it is in it already.
func FullScaleVolts(measured, levelDBFS float64) float64 {
	return measured / unit.VoltageFromDB(levelDBFS)
}

// Metered are the recordings of a round at which a meter was read. Any of them
// calibrates the round's levels; they have to agree.
func (r *Round) Metered() []Take {
	var out []Take
	for _, t := range r.Tests {
		if k, _ := KindOf(t.Kind); k.Transmit {
			continue // what the monitor put out says nothing of the set's voltage
		}
		for i, take := range t.AllTakes() {
			if take.MeasuredVolts > 0 && take.File != "" && (i == 0 || !t.OneFile()) {
				out = append(out, take)
			}
		}
	}
	return out
}

// CardVolts is the RMS voltage of a full-scale sine at the set's output, from
// the calibration of the sound card and the pad before it; 0 if there is none.
// A meter that was read in the round itself goes before it. Where the round's input gain is not that of the calibration there is none
// either, and why says so.
func (j *Job) CardVolts(r *Round) (volts float64, why string) {
	if r.Conditions.NoVolts != "" {
		return 0, r.Conditions.NoVolts
	}
	if r.Conditions.MeteredVolts > 0 {
		return r.Conditions.MeteredVolts, ""
	}
	card, ok := find(j.AllEquipment(), func(e Equipment) bool { return e.FullScaleVolts != nil })
	if !ok {
		return 0, ""
	}
	gain := r.Conditions.InputGain
	switch {
	case gain != "" && card.InputGain != "" && !sameGain(gain, card.InputGain):
		return 0, fmt.Sprintf("the input gain is %s in this round, and the %s was calibrated at %s", gain, card.What, card.InputGain)
	case card.InputGain == "" && j.GainChanged():
		return 0, fmt.Sprintf("the input gain was changed between the rounds, and nothing says at which of them the %s was calibrated", card.What)
	}
	return *card.FullScaleVolts * unit.VoltageFromDB(r.Conditions.AudioPadDB), ""
}

// GainChanged tells whether the input gain differs between the rounds, so that
// their levels in dBFS cannot be compared.
func (j *Job) GainChanged() bool {
	if j.AsFound == nil || j.AsLeft == nil {
		return false
	}
	before, after := j.gain(j.AsFound), j.gain(j.AsLeft)
	return before != "" && after != "" && !sameGain(before, after)
}

// gain is the input gain in a round: its own, or that of the equipment.
func (j *Job) gain(r *Round) string {
	if r.Conditions.InputGain != "" {
		return r.Conditions.InputGain
	}
	card, _ := find(j.AllEquipment(), func(e Equipment) bool { return e.InputGain != "" })
	return card.InputGain
}

// source is how a round was recorded: its own, or that of the equipment.
func (j *Job) source(r *Round) string {
	s := r.Conditions.Source
	if s == "" {
		card, _ := find(j.AllEquipment(), func(e Equipment) bool { return e.Source != "" })
		s = card.Source
	}
	s, _ = ParseSource(s)
	return s
}

func sameGain(a, b string) bool {
	plain := func(s string) string { return strings.ToLower(strings.ReplaceAll(s, " ", "")) }
	return plain(a) == plain(b)
}
