package job

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"hisspoint/capture/unit"
)

// Card is what a sound card adds to all that it records, at the gain at which it
// was qualified. Levels are dBFS. Of a loop-back both its output and its input are
// in all of it, so its input alone adds no more than this.
type Card struct {
	RateHz         int                `json:"sample_rate_hz"`
	NoiseDBFS      map[string]float64 `json:"noise_dbfs"`                   // filter -> own noise, hum left out
	RestDBFS       map[string]float64 `json:"noise_and_hum_dbfs,omitempty"` // filter -> own noise and hum together
	HumDBFS        *float64           `json:"hum_dbfs"`                     // nil: none stands out
	DistortionPC   float64            `json:"distortion_percent"`
	GainDB         float64            `json:"loop_gain_db"` // from output to input
	StepDB         float64            `json:"gain_step_error_db"`
	DriftDB        float64            `json:"gain_drift_db"`
	Response       []CardTone         `json:"response"`
	BalanceDB      *float64           `json:"balance_db"`       // channel 2 against 1; nil: one channel
	ClockPPM       *float64           `json:"clock_error_ppm"`  // nil: no outside reference was given
	FullScaleVolts *float64           `json:"full_scale_volts"` // RMS of a full-scale sine at the input; nil: no meter was read
	VoltsPercent   *float64           `json:"volts_uncertainty_percent"`
	InputGain      string             `json:"input_gain,omitempty"` // position of its gain control, as typed
	Findings       []string           `json:"findings"`             // what speaks against measuring with it
}

// CardTone is the response at one frequency, relative to 1 kHz.
type CardTone struct {
	Hz float64 `json:"frequency_hz"`
	DB float64 `json:"db"`
}

// Qualified is a sound card with what was found of it, and when.
type Qualified struct {
	ID   string `json:"id"` // of the input; empty: the recording of a loop-back was read
	Name string `json:"name"`
	At   string `json:"at"` // date and time
	Card Card   `json:"card"`
}

// Label is the card as people tell it from another.
func (q *Qualified) Label() string {
	if q.Name == "" {
		return "sound card, qualified " + q.At
	}
	return q.Name + ", qualified " + q.At
}

// SameAs tells whether two qualifications are one and the same; where one of them
// is not known they are not.
func (q *Qualified) SameAs(other *Qualified) bool {
	return q != nil && other != nil && q.ID == other.ID && q.Name == other.Name && q.At == other.At
}

// Check says what is wrong with a qualification that was read from somewhere.
func (q *Qualified) Check() error {
	c := q.Card
	if c.RateHz <= 0 || c.RateHz > 10_000_000 {
		return fmt.Errorf("%d Hz is no sample rate", c.RateHz)
	}
	for _, text := range []string{q.ID, q.Name, q.At, c.InputGain} {
		if strings.ContainsFunc(text, unicode.IsControl) {
			return fmt.Errorf("%q holds what cannot be shown", text)
		}
	}
	if len(c.NoiseDBFS) == 0 {
		return fmt.Errorf("it says nothing of the card's noise")
	}
	in := func(what string, v, low, high float64) error {
		if !(v >= low && v <= high) {
			return fmt.Errorf("%s of %g cannot be", what, v)
		}
		return nil
	}
	checks := []error{in("a distortion", c.DistortionPC, 0, 100)}
	for _, levels := range []map[string]float64{c.NoiseDBFS, c.RestDBFS} {
		for filter, v := range levels {
			checks = append(checks, in("a noise ("+filter+")", v, -400, 20))
		}
	}
	for i, t := range c.Response {
		if i > 0 && !(t.Hz > c.Response[i-1].Hz) {
			return fmt.Errorf("a response at %g Hz behind one at %g Hz cannot be read", t.Hz, c.Response[i-1].Hz)
		}
		checks = append(checks, in("a frequency", t.Hz, 1, 1e6), in("a response", t.DB, -200, 200))
	}
	if c.HumDBFS != nil {
		checks = append(checks, in("a hum", *c.HumDBFS, -400, 20))
	}
	if c.FullScaleVolts != nil {
		checks = append(checks, in("a full-scale voltage", *c.FullScaleVolts, 1e-9, 1e9))
	}
	if c.VoltsPercent != nil {
		checks = append(checks, in("an uncertainty", *c.VoltsPercent, 0, 100))
	}
	for _, err := range checks {
		if err != nil {
			return err
		}
	}
	return nil
}

// ResponseAt is the card's response at a frequency, relative to 1 kHz: straight
// over log frequency between the tones that were played, held beyond them.
func (c Card) ResponseAt(hz float64) float64 {
	r := c.Response
	switch {
	case len(r) == 0 || !(hz > 0):
		return 0
	case hz <= r[0].Hz:
		return r[0].DB
	}
	for i := 1; i < len(r); i++ {
		if a, b := r[i-1], r[i]; hz <= b.Hz && b.Hz > a.Hz {
			return a.DB + (b.DB-a.DB)*math.Log(hz/a.Hz)/math.Log(b.Hz/a.Hz)
		}
	}
	return r[len(r)-1].DB
}

// UnstatedPercent is what two calibrations in volts may differ by where nobody
// stated an uncertainty: what moving-iron and cheap digital meters keep (common
// practice, no source).
const UnstatedPercent = 5

// Calibration is what full scale stands for, and how sure it is.
type Calibration struct {
	Volts   float64 // RMS of a full-scale sine where the set's audio was; 0: not known
	Percent float64 // half-width of its stated tolerance; 0: not stated
	Why     string  // there is none though one was made, and why
}

// Calibrates is the calibration in volts of a round: by a meter that was read in
// it, else as typed with the sound card, else that of the card's qualification.
// The pad before the card is in it.
func (j *Job) Calibrates(r *Round) Calibration {
	volts, why := j.CardVolts(r)
	out := Calibration{Volts: volts, Why: why}
	q, c := r.Conditions.Card, r.Conditions
	switch {
	case c.MeteredVolts > 0:
		out.Percent = j.meterPercent()
	case volts > 0:
		if e, ok := find(j.AllEquipment(), func(e Equipment) bool { return e.FullScaleVolts != nil }); ok && e.VoltsPercent != nil {
			out.Percent = *e.VoltsPercent
		}
	case why == "" && q != nil && q.Card.FullScaleVolts != nil:
		out.Volts = *q.Card.FullScaleVolts * unit.VoltageFromDB(c.AudioPadDB)
		if q.Card.VoltsPercent != nil {
			out.Percent = *q.Card.VoltsPercent
		}
	}
	return out
}

// meterPercent is the stated uncertainty of the meter that is read at the set's
// output: of an instrument that is no sound card.
func (j *Job) meterPercent() float64 {
	if e, ok := find(j.AllEquipment(), func(e Equipment) bool { return e.VoltsPercent != nil && !e.IsCard() }); ok {
		return *e.VoltsPercent
	}
	return 0
}

// CardMisfit says why a qualification does not hold for a round, "" if nothing
// speaks against it: another position of the gain control, or volts by a meter or
// as typed that contradict the card's by more than both may be off. Of the latter
// nobody knows which is right: noVolts.
func (j *Job) CardMisfit(r *Round, q *Qualified) (why string, noVolts bool) {
	if gain := j.gain(r); gain != "" && q.Card.InputGain != "" && !sameGain(gain, q.Card.InputGain) {
		return fmt.Sprintf("the input gain is %s in this round, and the sound card (%s) was qualified at %s", gain, q.Label(), q.Card.InputGain), false
	}
	if q.Card.FullScaleVolts == nil {
		return "", false
	}
	without := *r
	without.Conditions.Card = nil
	other := j.Calibrates(&without)
	own := *q.Card.FullScaleVolts * unit.VoltageFromDB(r.Conditions.AudioPadDB)
	if other.Volts <= 0 || own <= 0 {
		return "", false
	}
	may := stated(other.Percent) + UnstatedPercent
	if q.Card.VoltsPercent != nil {
		may = stated(other.Percent) + stated(*q.Card.VoltsPercent)
	}
	if apart := 100 * math.Abs(other.Volts/own-1); apart > may {
		return fmt.Sprintf("full scale is %.3g V in this round, and was %.3g V when the sound card (%s) was qualified: they differ by %.0f %%, so the input gain was moved, or one of the meters was misread",
			other.Volts, own, q.Label(), apart), true
	}
	return "", false
}

func stated(percent float64) float64 {
	if percent > 0 {
		return percent
	}
	return UnstatedPercent
}
