package bench

// What ? says of a step of record: what it is for, and what an answer does.
var (
	WiringHelp = []string{
		"This sheet shows how the set's audio reaches the card. It comes once a round, before the first recording.",
		"Compare each connection with the drawing, and read each line behind !. Press Enter when your bench agrees.",
		"Set wired another way? Stop with Ctrl-C and look through the sheets: hisspoint wiring.",
	}
	DummyHelp = []string{
		"The tests that follow key the transmitter. Its power destroys a generator at the antenna socket, and a transmitter without a load destroys itself.",
		"The word is typed so that no foot switch and no Enter too many can answer for you.",
	}
	PatchHelp = []string{
		"The program plays a test signal while it records. This step says which socket the output has to be connected to.",
		"Nothing sounds before your answer. n plays nothing: you feed the signal in by other means.",
	}
)

// RecordingHelp is what ? says of a recording.
func RecordingHelp(r Recording) []string {
	var lines []string
	if r.Kind.Gives != "" {
		lines = append(lines, "What it gives: "+r.Kind.Gives+".")
	}
	if r.Kind.Record != "" {
		lines = append(lines, "What to record: "+r.Kind.Record+".")
	}
	lines = append(lines, "Enter records. If you set something else than what is asked for, type what you set.")
	return append(lines, "b goes back to the recording before, s leaves this one out for now, w shows the wiring, q stops; the same command goes on where you stopped.")
}
