package job

import "regexp"

var heldWords = regexp.MustCompile(`(?i)\bagc\b[ :,=-]*(?:is |was )?(?:held|off|fixed|disabled|locked)\b|\b(?:held|fixed|locked|no) agc\b`)

// AGCHeld tells whether a person wrote, in the controls or a note, that the
// automatic gain was held: "AGC off", "agc held at 1 mV".
func AGCHeld(texts ...string) bool {
	for _, s := range texts {
		if heldWords.MatchString(s) {
			return true
		}
	}
	return false
}
