package page

import (
	"image/color"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// quiet is how many modules around a code stay light (ISO/IEC 18004 asks for 4; 2 are
// enough on a screen, whose dark ground is no part of it).
const quiet = 2

// Code is an address as a QR code for a dark terminal, two modules to a cell upright: what
// is light is drawn.
func Code(address string) ([]string, error) {
	code, err := qr.Encode(address, qr.L, qr.Auto)
	if err != nil {
		return nil, err
	}
	size := code.Bounds().Dx()
	light := func(x, y int) int {
		x, y = x-quiet, y-quiet
		switch {
		case y >= size+quiet:
			return 0
		case x < 0 || y < 0 || x >= size || y >= size:
			return 1
		}
		if g := color.GrayModel.Convert(code.At(x, y)).(color.Gray); g.Y > 127 {
			return 1
		}
		return 0
	}
	var rows []string
	for y := 0; y < size+2*quiet; y += 2 {
		var row strings.Builder
		for x := range size + 2*quiet {
			row.WriteRune([]rune(" ▀▄█")[light(x, y)+2*light(x, y+1)])
		}
		rows = append(rows, row.String())
	}
	return rows, nil
}
