package panel

// Figures five dots wide and seven high, drawn for this screen.
var digits = map[rune][]string{
	'0': {".###.", "#...#", "#...#", "#...#", "#...#", "#...#", ".###."},
	'1': {"..#..", ".##..", "..#..", "..#..", "..#..", "..#..", ".###."},
	'2': {".###.", "#...#", "....#", "..##.", ".#...", "#....", "#####"},
	'3': {"####.", "....#", "....#", ".###.", "....#", "....#", "####."},
	'4': {"...#.", "..##.", ".#.#.", "#..#.", "#####", "...#.", "...#."},
	'5': {"#####", "#....", "####.", "....#", "....#", "#...#", ".###."},
	'6': {".###.", "#....", "#....", "####.", "#...#", "#...#", ".###."},
	'7': {"#####", "....#", "...#.", "...#.", "..#..", "..#..", "..#.."},
	'8': {".###.", "#...#", "#...#", ".###.", "#...#", "#...#", ".###."},
	'9': {".###.", "#...#", "#...#", ".####", "....#", "....#", ".###."},
	'-': {".....", ".....", ".....", "#####", ".....", ".....", "....."},
	'.': {"..", "..", "..", "..", "..", "##", "##"},
	' ': {"...", "...", "...", "...", "...", "...", "..."},
}

const digitRows = 7

// bigWidth is how many cells a figure takes at a scale of cells a dot.
func bigWidth(text string, scale int) int {
	w := 0
	for _, r := range text {
		w += (len(digits[known(r)][0]) + 1) * scale
	}
	return max(0, w-scale)
}

func known(r rune) rune {
	if _, ok := digits[r]; !ok {
		return ' '
	}
	return r
}

// big draws a figure, wide cells a dot across and high rows a dot down.
func big(text string, wide, high int) []string {
	rows := make([]string, digitRows*high)
	for i := range rows {
		var line []rune
		for k, r := range []rune(text) {
			if k > 0 {
				line = append(line, blanks(wide)...)
			}
			for _, dot := range digits[known(r)][i/high] {
				fill := ' '
				if dot == '#' {
					fill = '█'
				}
				for range wide {
					line = append(line, fill)
				}
			}
		}
		rows[i] = string(line)
	}
	return rows
}

func blanks(n int) []rune {
	b := make([]rune, n)
	for i := range b {
		b[i] = ' '
	}
	return b
}
