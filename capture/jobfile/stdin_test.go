package jobfile_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/capture/jobfile"
)

// A job has no standard input: what it judges lies in its folder.
func TestNoJobNamesStandardInput(t *testing.T) {
	_, err := jobfile.Parse("job.yaml", []byte("job: \"1\"\nset: {mode: fm}\nrounds:\n  as_left:\n    tests:\n      - distortion: {file: \"-\"}\n"))
	assert.ErrorContains(t, err, "standard input")
}
