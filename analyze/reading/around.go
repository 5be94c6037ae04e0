package reading

import (
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/chunk"
	"hisspoint/analyze/soundness"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// ofAll are the codes of what was done to a whole file. Whatever else a recording
// shows, a part that a person cut out of it is judged by what lies in that part.
var ofAll = []capture.Code{capture.ProcessedAudio}

// Around is what was done to the sound of a whole recording and may have changed any
// part of it: processing, which shows where it settles. It looks at all of the file,
// whatever part r is. A file too short to be measured, or a filter or tone that does
// not fit it, gives nothing: Measure says so.
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
	return slices.DeleteFunc(m.Warnings, func(w capture.Warning) bool { return !slices.Contains(ofAll, w.Code) }), nil
}
