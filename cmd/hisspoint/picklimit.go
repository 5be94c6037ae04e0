package main

import (
	"fmt"
	"strings"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
)

// pickLimit is the limit that the flags ask for, none if they ask for none.
func (f sensitivityFlags) pickLimit(t job.Setup) ([]job.Limit, error) {
	switch {
	case f.limit != "":
		l, err := job.ParseLimit(f.limit, job.QuantitySensitivity, t.LevelKind)
		if err != nil {
			return nil, fmt.Errorf("--limit: %s", strings.TrimPrefix(err.Error(), "limit: "))
		}
		return []job.Limit{l}, nil
	case f.profile == "":
		return nil, nil
	}
	var profiles []job.Profile
	for _, name := range strings.Split(f.profile, ",") {
		p, err := limit.Lookup(strings.TrimSpace(name))
		if err != nil {
			return nil, fmt.Errorf("--limits: %w", err)
		}
		profiles = append(profiles, p)
	}
	l := t.Pick(job.QuantitySensitivity, profiles)
	if l == nil {
		return nil, fmt.Errorf("--limits: %s has no limit of sensitivity; see hisspoint limits", f.profile)
	}
	return l, nil
}
