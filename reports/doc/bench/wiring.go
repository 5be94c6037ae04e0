package bench

import "strings"

// Wiring is how one case is connected: printable on a page, 78 columns.
type Wiring struct {
	Case     string
	Title    string
	Drawing  []string
	Steps    []string
	Cautions []string
}

// Words that stand on several sheets.
const (
	careTransmit = "Never key the transmitter into the generator: block the key or take the microphone off."
	careMains    = "Mains, valve sets and chassis live on the mains kill: leave them to qualified people."
	careCodes    = "Local codes, the set's manual and licensed practice come first; this sheet advises."
)

// Wirings are the cases that are known, in the order in which they are listed.
var Wirings = []Wiring{
	{Case: "speaker", Title: "speaker output with one grounded wire, to a line input",
		Drawing: []string{
			"  set                                            sound card",
			"  speaker out o----+--------[ 10 kohm ]----+-----o line in, tip",
			"                   |                       |",
			"               [ R load ]             [ 1 kohm ]",
			"                   |                       |",
			"  chassis     o----+-----------------------+-----o line in, sleeve",
		},
		Steps: []string{
			"Take the speaker off. R load has its impedance (4, 8 or 16 ohm) and carries at least twice the set's audio power: 10 W for a 4 W set. It gets warm.",
			"The divider takes 20.8 dB off: 4 W in 8 ohm are 5.7 V, of which 0.52 V reach the card.",
			"First make sure that the output is not bridged. Set on, volume down, a voltmeter from each speaker wire to chassis: grounded if one shows 0 V; BRIDGED if both show near half the supply (6 to 7 V of 13.8 V). Then: hisspoint wiring bridged.",
		},
		Cautions: []string{"Watts into a microphone input destroy it: use the line input.", careTransmit, careMains, careCodes}},
	{Case: "bridged", Title: "bridged speaker output (both wires carry audio), by transformer",
		Drawing: []string{
			"  set                                    transformer     sound card",
			"  speaker + o---+---[ 10 kohm ]---+------.       .------o line in, tip",
			"                |                 |       )|| ||(",
			"            [ R load ]        [ 1 kohm ]  )|| ||(  1:1, 600 ohm",
			"                |                 |       )|| ||(",
			"  speaker - o---+-----------------+------'       '------o line in, sleeve",
			"                    (no wire to chassis on the set's side)",
		},
		Steps: []string{
			"Both speaker wires stand near half the supply. Neither may ever be grounded, and a sound card's input grounds one: hence the transformer, whose windings share nothing.",
			"R load has the speaker's impedance and carries at least twice the audio power.",
			"A transformer adds a little distortion at low frequencies: qualify it with the card (hisspoint card with the transformer in the loop).",
		},
		Cautions: []string{"Grounding either wire destroys the output stage, at once and silently.", careTransmit, careMains, careCodes}},
	{Case: "microphone", Title: "a card that has only a microphone or headset socket",
		Drawing: []string{
			"  set                                                  sound card",
			"  speaker out o---+---[ 100 kohm ]---+---| |-----------o mic in, tip",
			"                  |                  |   1 uF",
			"              [ R load ]        [ 1 kohm ]",
			"                  |                  |",
			"  chassis     o---+------------------+-----------------o mic in, sleeve",
		},
		Steps: []string{
			"The divider takes 40 dB off: a microphone input is made for millivolts. The capacitor (no polarity, 16 V or more) keeps the socket's supply for microphones out of the set.",
			"Such inputs are mono, often 16 bits, and work on the sound: switch off gain control, noise suppression and every enhancement, then qualify the card: hisspoint card.",
			"A USB sound card with a line input costs little and is better in every respect.",
			"Make sure first that the output is not bridged: hisspoint wiring speaker.",
		},
		Cautions: []string{"Never straight from a speaker output.", careTransmit, careMains, careCodes}},
	{Case: "detector", Title: "straight from the detector or the volume control's hot end",
		Drawing: []string{
			"  set                                       sound card",
			"  detector o----| |-----[ 10 kohm ]---------o line in, tip",
			"                1 uF",
			"  chassis  o--------------------------------o line in, sleeve",
		},
		Steps: []string{
			"For coils and detectors: audio and distortion before the audio stages and the volume control.",
			"The capacitor (no polarity, at least twice the supply voltage) blocks the detector's direct voltage; the resistor keeps the cable from loading it. Short screened wire.",
		},
		Cautions: []string{"In valve sets this point may stand at hundreds of volts: not with this sheet.",
			careTransmit, careMains, careCodes}},
	{Case: "generator", Title: "generator to antenna socket, for all receive tests",
		Drawing: []string{
			"  signal generator                                set",
			"  RF out 50 ohm o====[ pad 10 or 20 dB ]====o antenna socket",
		},
		Steps: []string{
			"A pad of 10 dB or more at the set's end makes the match good and saves the generator from most accidents. State pad and cable in the job (rf_pad_db): levels are those at the set.",
			"Double-screened cable: with the generator's output switched off nothing may be heard.",
		},
		Cautions: []string{careTransmit, "A pad of a quarter of a watt does not protect from a keyed transmitter.", careCodes}},
	{Case: "transmit", Title: "transmitter to a dummy load, heard by a second receiver",
		Drawing: []string{
			"  set                        dummy load",
			"  antenna socket o=========[ 50 ohm, full power ]",
			"",
			"      (a second receiver nearby, with a short wire or none)",
			"",
			"  monitor receiver           sound card",
			"  audio out o---(as on the sheets speaker or bridged)---o line in",
		},
		Steps: []string{
			"Generator off, and off the antenna socket. The dummy load carries the full power for as long as is keyed. Shield and distance: the monitor must not be overloaded.",
			"The monitor's own curve and distortion are in the result: hisspoint measures and states them.",
			"Keep within the set's duty cycle, and give it time to cool.",
		},
		Cautions: []string{"Never into the generator. Never without a load. On-air tests only under your licence.",
			"Do not touch antenna sockets or loads of a keyed transmitter: RF burns.", careCodes}},
	{Case: "modulate", Title: "computer's output into a microphone socket, or a modulation input",
		Drawing: []string{
			"  sound card                                   set",
			"  line out, tip    o---[ 10 kohm ]---+---| |---o microphone, audio",
			"                                     |  10 uF",
			"                                [ 1 kohm ]",
			"                                     |",
			"  line out, sleeve o-----------------+---------o microphone, ground",
		},
		Steps: []string{
			"The divider takes 21 dB off, and what is left comes from about 1 kohm, like a microphone: -40 dBFS of an output of 1 V give about 1 mV. The capacitor (not polarised, 16 V or more) keeps the microphone's supply out of the card.",
			"A voltmeter across the 1 kohm tells what a tone gives there: volts of a full-scale sine as --output-volts make record show millivolts.",
			"Into a generator: straight into its input for external modulation, without divider, as soft as its manual asks.",
		},
		Cautions: []string{
			"Only the audio pin: nothing of the computer at the key's pin (PTT), and VOX off. Key by hand.",
			"Before the output is moved to the microphone socket: dummy load on, generator off and off the antenna socket.",
			careCodes}},
	{Case: "loopback", Title: "the sound card's output to its own input, for hisspoint card",
		Drawing: []string{
			"  sound card                        sound card",
			"  line out, tip    o----------------o line in, tip",
			"  line out, sleeve o----------------o line in, sleeve",
		},
		Steps: []string{
			"Nothing else connected. Output and input at the gain that is used at the bench; all enhancements off. A voltmeter (true RMS, 1 kHz) across the line gives the volts of full scale.",
			"Into a microphone socket only through the divider of the sheet microphone.",
		},
		Cautions: []string{"Take the headphones off: the test plays loud tones."}},
}

// WiringCase finds a sheet by its case.
func WiringCase(name string) (Wiring, bool) {
	for _, s := range Wirings {
		if strings.EqualFold(s.Case, strings.TrimSpace(name)) {
			return s, true
		}
	}
	return Wiring{}, false
}

// WiringFor chooses the sheet for the load that a job states.
func WiringFor(load string) Wiring {
	for _, word := range []string{"bridge", "btl", "transformer"} {
		if strings.Contains(strings.ToLower(load), word) {
			s, _ := WiringCase("bridged")
			return s
		}
	}
	s, _ := WiringCase("speaker")
	return s
}

// Short is the sheet for a screen: drawing, cautions and steps, so that what a small
// screen leaves out is no caution.
func (s Wiring) Short() []string {
	lines := append([]string{}, s.Drawing...)
	for _, c := range s.Cautions {
		lines = append(lines, "! "+c)
	}
	for _, step := range s.Steps {
		lines = append(lines, "- "+step)
	}
	return lines
}

// pageWidth is how wide a sheet may be on paper.
const pageWidth = 78

// Page is the sheet for paper.
func (s Wiring) Page() []string {
	title := s.Case + ": " + s.Title
	lines := []string{title, strings.Repeat("=", len([]rune(title))), ""}
	lines = append(lines, s.Drawing...)
	lines = append(lines, "")
	for _, step := range s.Steps {
		lines = append(lines, hanging("- ", step)...)
	}
	lines = append(lines, "", "Caution")
	for _, c := range s.Cautions {
		lines = append(lines, hanging("! ", c)...)
	}
	return lines
}

// hanging breaks a text at blanks behind its mark.
func hanging(mark, text string) []string {
	var lines []string
	line := mark
	for i, w := range strings.Fields(text) {
		switch {
		case len([]rune(line))+1+len([]rune(w)) > pageWidth:
			lines = append(lines, line)
			line = strings.Repeat(" ", len(mark)) + w
		case i == 0:
			line += w
		default:
			line += " " + w
		}
	}
	return append(lines, line)
}
