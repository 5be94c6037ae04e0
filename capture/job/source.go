package job

import (
	"fmt"
	"slices"
	"strings"
)

// Sources of recordings, where somebody knows more of one than its file shows: what
// stood between the set and the samples besides a cable and a sound card.
const (
	SourceCable      = "cable"
	SourcePhone      = "phone-memo"
	SourceMP3        = "mp3"
	SourceAAC        = "aac"
	SourceVorbis     = "vorbis"
	SourceOpus       = "opus"
	SourceSpeech     = "speech-coder"
	SourceMuLaw      = "mu-law"
	SourceMicrophone = "microphone"
)

// Sources lists them.
var Sources = []string{SourceCable, SourcePhone, SourceMP3, SourceAAC, SourceVorbis, SourceOpus, SourceSpeech, SourceMuLaw, SourceMicrophone}

// ParseSource reads the name of a source; empty and "cable" are none.
func ParseSource(s string) (string, error) {
	name := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(s)), " ", "-")
	switch name {
	case "", SourceCable:
		return "", nil
	case "µ-law", "μ-law", "u-law", "a-law":
		return SourceMuLaw, nil
	}
	if !slices.Contains(Sources, name) {
		return "", fmt.Errorf("%q is no source: %s", s, strings.Join(Sources, ", "))
	}
	return name, nil
}
