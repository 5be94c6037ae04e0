package capture

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Enough of a file to recognise every kind below.
const sniffBytes = 512

// magics are the first bytes of kinds of files that may be taken for
// recordings. The first that fits counts.
var magics = []struct {
	at    int
	magic string
	kind  string
}{
	{0, "RIFF", "wav"}, {0, "RIFX", "wav"}, {0, "RF64", "wav"}, {0, "BW64", "wav"},
	{0, "fLaC", "flac"},
	{4, "ftyp", "an MPEG-4 recording (M4A, MP4 or 3GP, as phones make them)"},
	{0, "OggS", "an Ogg file (Vorbis or Opus)"},
	{0, "FORM", "an AIFF file"},
	{0, ".snd", "an AU file"}, {0, "dns.", "an AU file"},
	{0, "caff", "a CAF file"},
	{0, "riff\x2E\x91\xCF\x11", "a Wave64 file"},
	{0, "#!AMR", "an AMR speech recording"},
	{0, "\x30\x26\xB2\x75\x8E\x66\xCF\x11", "an ASF file (WMA)"},
	{0, "\x1A\x45\xDF\xA3", "a Matroska or WebM file"},
	{0, "wvpk", "a WavPack file"},
	{0, "MAC ", "an APE file"},
	{0, "TTA1", "a TTA file"},
	{0, "NIST_1A", "a SPHERE file"},
	{0, "Creative Voice File", "a VOC file"},
	{0, "MThd", "not sound: a MIDI file"},
	{0, "PK\x03\x04", "not sound: a ZIP archive"},
	{0, "\x1F\x8B", "not sound: a gzip archive"},
	{0, "7z\xBC\xAF\x27\x1C", "not sound: a 7z archive"},
	{0, "%PDF", "not sound: a PDF document"},
	{0, "\x89PNG", "not sound: a picture"}, {0, "\xFF\xD8\xFF", "not sound: a picture"}, {0, "GIF8", "not sound: a picture"},
}

// sniff names what a file holds by its first bytes; "" where nothing is known.
func sniff(head []byte) string {
	for _, m := range magics {
		if len(head) >= m.at && bytes.HasPrefix(head[m.at:], []byte(m.magic)) {
			return m.kind
		}
	}
	switch {
	case bytes.HasPrefix(head, []byte("ID3")):
		return tagged(head)
	case isText(head):
		return "not sound: a text file"
	case len(head) >= 4 && head[0] == 0xFF && head[1]&0xF6 == 0xF0:
		return "an AAC stream"
	case len(head) >= 4 && head[0] == 0xFF && head[1]&0xE0 == 0xE0 && head[1]&0x06 != 0 && head[2]&0xF0 != 0xF0:
		return "an MP3 file"
	}
	return ""
}

// tagged tells MP3 from FLAC behind an ID3v2 tag that is short enough to see
// past; MP3 is what such a tag is made for.
func tagged(head []byte) string {
	switch {
	case len(head) < id3Header:
		return ""
	case flacAt(head) > 0:
		return "flac"
	}
	return "an MP3 file"
}

const id3Header = 10

// flacAt is where FLAC begins, behind an ID3v2 tag if there is one; -1 if it does not.
func flacAt(head []byte) int {
	at := 0
	if len(head) >= id3Header && bytes.HasPrefix(head, []byte("ID3")) {
		at = id3Header + (int(head[6])<<21 | int(head[7])<<14 | int(head[8])<<7 | int(head[9]))
	}
	if at < len(head) && bytes.HasPrefix(head[at:], []byte("fLaC")) {
		return at
	}
	return -1
}

func isText(head []byte) bool {
	for _, bom := range []string{"\xFF\xFE", "\xFE\xFF"} {
		if bytes.HasPrefix(head, []byte(bom)) {
			return true
		}
	}
	cut := len(head) == sniffBytes // the last character may be incomplete
	for len(head) > 0 {
		r, n := utf8.DecodeRune(head)
		if r == utf8.RuneError && n == 1 {
			return cut && !utf8.FullRune(head)
		}
		if r < 0x20 && r != '\n' && r != '\r' && r != '\t' && r != '\f' {
			return false
		}
		head = head[n:]
	}
	return true
}

func refusal(kind string) error {
	switch {
	case kind == "":
		return errors.New("is not a recording that can be read; set the recorder to WAV, PCM, 16 or 24 bits")
	case strings.HasPrefix(kind, "not sound: "):
		return fmt.Errorf("is %s; name a WAV or FLAC file", strings.TrimPrefix(kind, "not sound: "))
	}
	return fmt.Errorf("is %s; set the recorder to WAV, PCM, 16 or 24 bits", kind)
}
