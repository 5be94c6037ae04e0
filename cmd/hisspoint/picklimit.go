package main

import (
	"fmt"

	"hisspoint/capture/job"
)

// pickLimit is the limit that the flags ask for, nil if they ask for none.
func (f sensitivityFlags) pickLimit(t job.Sensitivity) (*job.Limit, error) {
	if f.limit == "" {
		return nil, nil
	}
	l, err := job.ParseLimit(f.limit, job.QuantitySensitivity, t.Kind)
	if err != nil {
		return nil, fmt.Errorf("--limit: %w", err)
	}
	return &l, nil
}
