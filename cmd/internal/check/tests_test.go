package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
)

// (S+N)/N is modulation on against off in AM; in SSB the tone stands against the
// rest of its own recording, unless the AGC is held.
func TestCarriersAreMissedWhereTheyCount(t *testing.T) {
	test, err := jobfile.ParseTest(`sensitivity: {criterion: sn_n 10 dB, recordings: [{level: 0.13 uV, part: modulated, file: a.wav},
  {level: 0.5 uV, part: modulated, file: b.wav}, {level: 0.5 uV, part: carrier, file: c.wav}]}`, unit.PD)
	require.NoError(t, err)
	r := &job.Round{Tests: []job.Test{test}}
	kind, _ := job.KindOf(job.KindSensitivity)
	missed := func(mode, controls string) (out []string) {
		r.Conditions.Controls = controls
		c := checker{job: &job.Job{Set: job.Set{Mode: mode}}, round: r}
		c.places(kind, test)
		for _, f := range c.found {
			out = append(out, f.Text)
		}
		return out
	}
	want := []string{"sensitivity: 0.13 µV as dialled has no recording carrier"}
	assert.Equal(t, want, missed(job.AM, ""))
	assert.Empty(t, missed(job.SSB, ""))
	assert.Equal(t, want, missed(job.SSB, "AGC off"))
}
