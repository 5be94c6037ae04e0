package limitfile

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
)

func TestParse(t *testing.T) {
	data, err := os.ReadFile("../../../testdata/jobfile/good/my-limits.yaml")
	require.NoError(t, err)
	p, err := Parse("my-limits.yaml", data)
	require.NoError(t, err)
	assert.Equal(t, "my-limits", p.Name)
	require.Len(t, p.Limits, 2)
	l := p.Limits[0]
	assert.InDelta(t, -114.948, l.Value, 0.001) // 20 log10(0.4) - 106.990
	assert.Equal(t, job.Limit{Name: "sensitivity after repair", Quantity: "sensitivity", Bound: "max", Value: l.Value, Unit: "dBm", Typed: "0,4 µV PD",
		Source: "invented manual", Clause: "4.2", Standing: "user", Note: "invented", Profile: "my-limits",
		Conditions: job.Conditions{Criterion: job.Criterion{Quantity: "sinad", Value: 12, Unit: "dB"}, Filter: "psophometric", Mode: "fm", Kind: "pd",
			ToneHz: 1000, Deviation: 1500, Depth: 30, Level: "any"}}, l)
	assert.Equal(t, job.AtLeast, p.Limits[1].Bound)
	assert.Equal(t, 0.5, p.Limits[1].Value)
}

func TestParseRefuses(t *testing.T) {
	limit := func(s string) string { return "profile: x\nlimits:\n  - " + s + "\n" }
	rest := ", source: a, standing: user}"
	for file, want := range map[string]string{
		"":           `x.yaml, line 1, column 1: a limit profile needs its name: write profile: my-limits`,
		"profile: x": `x.yaml, line 1, column 1: a limit profile needs limits: list at least one under limits:`,
		"profile: x\nmode: cw\n" + "limits: [{}]":                                `x.yaml, line 2, column 7: mode "cw" is not known: use one of fm, am, ssb`,
		limit("{quantity: thd" + rest):                                           `x.yaml, line 3, column 5: a limit needs either at_most or at_least`,
		limit("{quantity: thd, at_most: 5 %, at_least: 1 %" + rest):              `x.yaml, line 3, column 5: a limit needs either at_most or at_least`,
		limit("{quantity: thd, at_most: 5 dB" + rest):                            `x.yaml, line 3, column 30: limit: share "5 dB" has a unit that does not fit: write it like 5 %`,
		limit("{quantity: thd, at_most: '5 %, page 3'" + rest):                   `x.yaml, line 3, column 30: the figure "5 %, page 3" holds more than a number and its unit: put the source under source:`,
		limit("{quantity: sensitivity, at_most: 0.5 uV" + rest):                  `x.yaml, line 3, column 38: the figure "0.5 uV" must say PD or EMF: write it like 0.5 uV PD`,
		limit("{quantity: thd, at_most: 5 %, standing: user}"):                   `x.yaml, line 3, column 5: a limit needs its source: name the document, or write source: common practice`,
		limit("{quantity: thd, at_most: 5 %, source: a}"):                        `x.yaml, line 3, column 5: standing "" is not known: use one of seen, secondary, memory, common practice, user`,
		limit("{quantity: thd, at_most: 5 %, source: a, standing: sure}"):        `x.yaml, line 3, column 56: standing "sure" is not known: use one of seen, secondary, memory, common practice, user`,
		limit("{quantity: thd, at_most: 5 %, conditions: {filter: x}" + rest):    `x.yaml, line 3, column 56: filter "x" is not known: use speech-band, psophometric, c-message, a-weighting, wide, or a band such as 300-3000`,
		limit("{quantity: thd, at_most: 5 %, conditions: {tone: x}" + rest):      `x.yaml, line 3, column 54: frequency "x" is not understood: write it like 1 kHz or 1000`,
		limit("{quantity: thd, at_most: 5 %, conditions: {criterion: x}" + rest): `x.yaml, line 3, column 59: criterion "x" is not understood: write "sinad 12 dB", "quieting 20 dB" or "sn_n 10 dB"`,
		limit("{quantity: thd, at_mots: 5 %" + rest):                             `x.yaml, line 3, column 21: key "at_mots" is not known here: did you mean "at_most"?`,
	} {
		_, err := Parse("x.yaml", []byte(file))
		assert.EqualError(t, err, want, file)
	}
	_, err := Parse("x.yaml", []byte(limit("{quantity: beauty, at_most: 5 %"+rest)))
	assert.ErrorContains(t, err, `x.yaml, line 3, column 5: limit of "beauty" is not known: use one of audio_power, `)
}
