package soundcard

import (
	"encoding/binary"
	"unicode/utf16"
)

// idText is the text of an identifier that ends with its first zero: UTF-16 if
// wide, as Windows has it, else UTF-8.
func idText(id []byte, wide bool) string {
	if !wide {
		for i, b := range id {
			if b == 0 {
				return string(id[:i])
			}
		}
		return string(id)
	}
	var units []uint16
	for ; len(id) >= 2; id = id[2:] {
		u := binary.LittleEndian.Uint16(id)
		if u == 0 {
			break
		}
		units = append(units, u)
	}
	return string(utf16.Decode(units))
}
