package service

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/reports"
)

// Sensitivity runs a sensitivity test on the files that its takes name.
// Every one of them has to be readable: a series with holes would move the point.
func (s Service) Sensitivity(t job.Sensitivity, use Use) (reports.Sensitivity, error) {
	if use.Channel == AllChannels {
		return reports.Sensitivity{}, fmt.Errorf("a series is made of one channel of each file: give --channel by number")
	}
	rs := make([]capture.Recording, 0, len(t.Takes))
	for _, take := range t.Takes {
		f, closeFile, err := s.open(take.File)
		if err != nil {
			return reports.Sensitivity{}, err
		}
		defer closeFile()
		part := use
		if take.From < take.To {
			part.From, part.To = take.From, take.To
		}
		one, err := part.of(f, t.Reading)
		if err != nil {
			return reports.Sensitivity{}, err
		}
		rs = append(rs, one[0])
	}
	result, err := analyze.Sensitivity(t, rs)
	if err != nil {
		return reports.Sensitivity{}, err
	}
	out := reports.Sensitivity{Version: s.Version, Result: result}
	if t.Limit != nil {
		v := judge(result, *t.Limit, t.Decide)
		out.Verdict = &v
	}
	return out, nil
}
