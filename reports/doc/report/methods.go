package report

import (
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
)

// standards are what the methods of tests follow, as far as one is known. All of them are
// from memory, and none was held against its document.
var standards = map[string]string{
	job.KindSensitivity: "TIA-603 2.1.4, 12 dB SINAD; other criteria: common practice", job.KindQuieting: "common practice, 20 dB quieting",
	job.KindHumNoise: "TIA-603 2.1.11", job.KindDistortion: "TIA-603 2.1.12", job.KindResponse: "TIA-603 2.1.10",
	job.KindSquelch: "TIA-603 2.1.15 and 2.1.16", job.KindDegradation: "TIA-603, 12 dB SINAD restored at 3 dB above the sensitivity",
	job.KindTransmitResponse: "TIA-603 2.2.6", job.KindLimiter: "TIA-603 2.2.3", job.KindTransmitDistortion: "TIA-603 2.2.7", job.KindTransmitHumNoise: "TIA-603 2.2.8",
}

// methods are how each kind of test was made, and what it follows.
func methods(r reports.Job) []doc.Block {
	t := doc.Table{Columns: []doc.Column{{Head: "test"}, {Head: "method"}, {Head: "follows"}}}
	seen := map[string]bool{}
	for _, round := range r.Rounds {
		for _, one := range round.Tests {
			if seen[one.Kind] {
				continue
			}
			seen[one.Kind] = true
			k, _ := job.KindOf(one.Kind)
			follows := standards[one.Kind]
			if follows == "" {
				follows = "common practice"
			} else {
				follows += " (from memory)"
			}
			t.Rows = append(t.Rows, []string{say.Kind(one.Kind), k.Record, follows})
		}
	}
	if t.Rows == nil {
		return nil
	}
	return []doc.Block{doc.Heading{Text: "Methods", Level: 1}, t}
}
