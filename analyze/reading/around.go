package reading

import (
	"hisspoint/analyze"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/soundness"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Around is what the sound of a whole recording shows, without its readings: a
// part that a person cut out of it says nothing of how the rest was spoiled, and
// what spoiled the rest, processing before all, may have changed the part as well.
// It looks at all of the file, whatever part r is. A file too short to be measured,
// or a filter or tone that does not fit it, gives nothing: Measure says so.
func Around(r capture.Recording, how job.Reading) ([]capture.Warning, error) {
	r = r.Whole()
	cv, err := Weighting(how.Filter, float64(r.Rate))
	if err != nil || how.Tone() > 0.45*float64(r.Rate) || r.Seconds() < MinSeconds {
		return nil, nil
	}
	parts, err := followDrift(r, planOf(r, cv, how))
	if err != nil {
		return nil, err
	}
	var m analyze.Measured
	if _, err := soundness.Examine(&m, r, parts, chunk.Join(parts), how, nil); err != nil {
		return nil, err
	}
	return m.Warnings, nil
}
