package topics

import (
	"fmt"
	"slices"
	"strings"

	"hisspoint/reports/doc"
)

// glossary is one word for one thing, in the order in which a newcomer meets them.
var glossary = [][2]string{
	{"set", "the two-way radio on the bench"},
	{"generator", "the signal generator: it plays the distant station"},
	{"level", "how strong the generator's signal is at the set, pad and cable taken off"},
	{"PD", "potential difference: the volts across 50 Ω at the set. 1 µV PD is -107 dBm"},
	{"EMF", "the generator's volts with nothing connected: twice PD, which is 6 dB more"},
	{"dBm", "power in 50 Ω, in dB against 1 milliwatt"},
	{"dBFS", "level in a recording, in dB against the largest sine that a file can hold"},
	{"pad", "the attenuator between generator and set; its dB come off every level"},
	{"tone", "the test tone with which the generator is modulated, 1 kHz unless you say otherwise"},
	{"deviation", "how far the tone moves the carrier of an FM generator"},
	{"depth", "how much the tone changes the carrier's strength in AM, in percent"},
	{"SINAD", "tone, noise and distortion together, against noise and distortion alone. At 12 dB speech is just understood"},
	{"S/N", "the tone against the noise; hum and distortion left out"},
	{"(S+N)/N", "the audio with the modulation on against the audio with it off (AM, SSB)"},
	{"sensitivity", "the weakest level at which the audio meets the criterion, such as 12 dB SINAD. Less is better"},
	{"quieting", "by how many dB a carrier without modulation lowers the hiss of an FM set. More is better"},
	{"hiss", "the receiver's own noise"},
	{"hum", "the mains frequency and its multiples in the audio"},
	{"distortion (THD)", "harmonics that the set adds to the tone, in percent of it"},
	{"recovered audio", "the level of the tone itself: how loud the set is"},
	{"de-emphasis", "FM receivers lower high tones by 6 dB an octave, because transmitters raise them (pre-emphasis)"},
	{"tilt", "how many dB an octave a response leans away from what it should be; 0 is even"},
	{"squelch", "the switch that mutes the audio while no signal is there"},
	{"tail", "the burst of hiss between the end of a signal and the moment the squelch mutes"},
	{"bench floor", "noise and hum that are there with the set's volume at zero: amplifier, wiring, card"},
	{"monitor", "the second receiver through which you hear the transmitter"},
	{"reference", "the monitor recorded on a generator whose deviation or depth is known"},
	{"recording", "a WAV or FLAC file, or a part of one"},
	{"reading", "a value that you read off a meter; those that Hisspoint measures are figures"},
	{"check", "a question answered by yes or no, such as whether push-to-talk works"},
	{"job", "a folder with the recordings of one set, and its job.yaml"},
	{"round", "the same tests before the work (as found) or after it (as left)"},
	{"plan", "the tests that a job should have"},
	{"limit", "the value that a figure must keep"},
	{"profile", "a named list of limits with their sources"},
	{"tolerance", "the ± in an instrument's data sheet"},
	{"95 % interval", "the true value lies in it 19 times out of 20"},
	{"guarded", "the rule by which a figure passes only if its whole interval keeps the limit; by value, the figure alone decides"},
	{"too close to call", "the limit lies inside the interval, so neither PASS nor FAIL would be honest"},
	{"not judged", "the limit was made for another filter, tone or deviation; the text says which"},
}

func words() string { return rows([]string{"word", "means"}, pairs(glossary)) }

// Word explains one word, in any case and by its beginning.
func Word(typed string) (doc.Document, error) {
	fits := func(same func(string) bool) int {
		return slices.IndexFunc(glossary, func(g [2]string) bool { return same(strings.ToLower(g[0])) })
	}
	want := strings.ToLower(strings.TrimSpace(typed))
	i := fits(func(w string) bool { return w == want })
	if i < 0 && want != "" {
		i = fits(func(w string) bool { return strings.HasPrefix(w, want) || strings.Contains(w, "("+want+")") })
	}
	if i < 0 {
		return doc.Document{}, fmt.Errorf("help words: %q is not among them; see hisspoint help words", typed)
	}
	return doc.Document{Blocks: []doc.Block{doc.Paragraph{Text: glossary[i][0] + ": " + glossary[i][1]}}}, nil
}
