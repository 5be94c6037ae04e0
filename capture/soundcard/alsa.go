package soundcard

import "strings"

// alsaConverters are ALSA's plug-ins that are no devices: they convert, mix or
// discard, or lead to another sound system.
var alsaConverters = map[string]bool{
	"null": true, "lavrate": true, "samplerate": true, "speexrate": true, "speex": true, "upmix": true, "vdownmix": true,
	"jack": true, "oss": true, "a52": true, "usbstream": true,
}

// realALSA keeps of what ALSA lists the cards themselves, without conversion or
// mixing, and what is named in the user's own configuration. A card is the default
// before whatever stands in front of it, since that may resample.
func realALSA(all []Device) []Device {
	whole := map[string]bool{} // cards that can be had as they are
	for _, d := range all {
		if kind, card, ok := alsaCard(d.ID); ok && kind == "hw" {
			whole[card] = true
		}
	}
	var kept []Device
	first := -1
	for _, d := range all {
		kind, card, ok := alsaCard(d.ID)
		switch {
		case !ok && alsaConverters[kind]:
			continue
		case ok && whole[card] && kind != "hw", ok && kind == "plughw":
			continue
		case ok:
			if first < 0 && kind == "hw" {
				first = len(kept)
			}
			d.Name, _, _ = strings.Cut(d.Name, " (") // the second line says what hw means
		}
		if d.Name == "" {
			d.Name = d.ID
		}
		kept = append(kept, d)
	}
	if first >= 0 {
		for i := range kept {
			kept[i].Default = i == first
		}
	}
	return kept
}

// alsaCard takes "hw:CARD=USB,DEV=0" apart. Without a card only kind is given.
func alsaCard(id string) (kind, card string, ok bool) {
	kind, rest, _ := strings.Cut(id, ":")
	card, ok = strings.CutPrefix(rest, "CARD=")
	card, _, _ = strings.Cut(card, ",")
	return kind, card, ok
}
