package run

import (
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/limit"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/reports"
	"hisspoint/reports/sentence"
)

// A test without a limit that was recorded and gave no figure does not let a round
// pass, as little as one that was not recorded.
func TestATestThatGaveNothingIsNoPass(t *testing.T) {
	asked := job.Test{Kind: job.KindDegradation, Stanza: &job.Stanza{Takes: []job.Take{{File: "a.wav"}, {File: "b.wav"}}}}
	passed := limit.Fact{What: "distortion", Outcome: limit.Pass}
	none := analyze.Reading{Name: job.FigureRejection, Why: "SINAD does not come down to 6 dB"}
	for _, c := range []struct {
		result  analyze.Result
		outcome string
	}{
		{analyze.Result{Figures: []analyze.Reading{none}}, limit.Undecided},
		{analyze.Result{}, limit.Undecided},
		{analyze.Result{Figures: []analyze.Reading{none, {Name: "centre", Value: 3, NoInterval: "x"}}}, limit.Pass},
		{analyze.Result{Figures: []analyze.Reading{none}, Answer: "no tone is heard"}, limit.Pass},
	} {
		facts := testFacts(job.AsLeft, asked, reports.Test{Kind: asked.Kind, Result: &c.result})
		all := limit.Join(append(facts, passed))
		assert.Equal(t, c.outcome, all.Outcome)
		if c.outcome == limit.Undecided {
			require.Len(t, all.Reasons, 1)
		}
	}
}

// The audio itself is no sign of when the signal was keyed: it would open 0 ms after
// itself, whatever the set.
func TestKeyChannelIsNotTheAudio(t *testing.T) {
	dir := t.TempDir()
	tone(t, filepath.Join(dir, "mono.wav"), 1000, 1)
	tone(t, filepath.Join(dir, "stereo.wav"), 1000, 2)
	for file, channels := range map[string]int{"mono.wav": 0, "stereo.wav": 2} {
		s := job.Setup{Kind: job.KindSquelch, Stanza: job.Stanza{Takes: []job.Take{{File: file}}, Settings: map[string]string{job.SettingKeyChannel: fmt.Sprint(max(1, channels))}}}
		_, err := Runner{Dir: dir}.Kind(s, Use{Channel: channels})
		assert.ErrorContains(t, err, "is the set's audio itself", file)
	}
}

// One recording that is named for two says nothing of what differs between them.
func TestARecordingNamedTwiceIsTold(t *testing.T) {
	takes := []job.Take{{File: "hiss.wav"}, {File: "carrier.wav"}, {File: "hiss.wav"}, {File: "hiss.wav"}}
	all := namedTwice(takes, false)
	require.Len(t, all, 1)
	assert.Equal(t, capture.NamedTwice, all[0].Code)
	assert.Contains(t, sentence.Of(all[0].Says), "hiss.wav")
	assert.Empty(t, namedTwice(takes, true))
	assert.Empty(t, namedTwice([]job.Take{{File: "a.wav", To: 2}, {File: "a.wav", From: 2, To: 4}}, false))
}
