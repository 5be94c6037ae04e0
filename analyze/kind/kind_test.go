package kind

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/capture/job"
)

func TestEveryKindIsAnalysed(t *testing.T) {
	for _, k := range job.Kinds() {
		assert.Contains(t, analyses, k.Name, "%s: nothing computes it: write its analysis in a file of analyze/kind, and add its line to analyses in kind.go", k.Name)
	}
	_, err := Run(job.Setup{Kind: "unheard_of"}, nil)
	assert.ErrorContains(t, err, "unheard_of")
}
