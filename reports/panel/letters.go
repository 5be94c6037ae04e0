package panel

import "strings"

// Letters five dots high, drawn for this screen: what is to be said is read from two
// metres, two dots to a cell upright.
var letters = map[rune][]string{
	'A': {"###", "#.#", "###", "#.#", "#.#"}, 'B': {"##.", "#.#", "##.", "#.#", "##."}, 'C': {"###", "#..", "#..", "#..", "###"},
	'D': {"##.", "#.#", "#.#", "#.#", "##."}, 'E': {"###", "#..", "##.", "#..", "###"}, 'F': {"###", "#..", "##.", "#..", "#.."},
	'G': {"###", "#..", "#.#", "#.#", "###"}, 'H': {"#.#", "#.#", "###", "#.#", "#.#"}, 'I': {"#", "#", "#", "#", "#"},
	'J': {"..#", "..#", "..#", "#.#", "###"}, 'K': {"#.#", "#.#", "##.", "#.#", "#.#"}, 'L': {"#..", "#..", "#..", "#..", "###"},
	'M': {"#...#", "##.##", "#.#.#", "#...#", "#...#"}, 'N': {"#..#", "##.#", "#.##", "#..#", "#..#"}, 'O': {"###", "#.#", "#.#", "#.#", "###"},
	'P': {"###", "#.#", "###", "#..", "#.."}, 'Q': {"###", "#.#", "#.#", "###", "..#"}, 'R': {"##.", "#.#", "##.", "#.#", "#.#"},
	'S': {"###", "#..", "###", "..#", "###"}, 'T': {"###", ".#.", ".#.", ".#.", ".#."}, 'U': {"#.#", "#.#", "#.#", "#.#", "###"},
	'V': {"#.#", "#.#", "#.#", "#.#", ".#."}, 'W': {"#...#", "#...#", "#.#.#", "##.##", "#...#"}, 'X': {"#.#", "#.#", ".#.", "#.#", "#.#"},
	'Y': {"#.#", "#.#", ".#.", ".#.", ".#."}, 'Z': {"###", "..#", ".#.", "#..", "###"},
	':': {".", "#", ".", "#", "."}, '?': {"##.", "..#", ".#.", "...", ".#."}, ' ': {"..", "..", "..", "..", ".."},
}

const letterRows = 3 // of cells

// spelled is a text in letters; ok is false where one of them is not drawn or they do
// not fit.
func spelled(text string, width int) (rows []string, ok bool) {
	var dots [2 * letterRows]string
	for i, r := range []rune(strings.ToUpper(text)) {
		l, known := letters[r]
		if !known {
			return nil, false
		}
		for k := range l {
			if i > 0 {
				dots[k] += "."
			}
			dots[k] += l[k]
		}
	}
	if len(dots[0]) > width {
		return nil, false
	}
	dots[5] = strings.Repeat(".", len(dots[0]))
	for i := range letterRows {
		var line strings.Builder
		for k := range dots[0] {
			line.WriteRune([]rune(" ▀▄█")[bit(dots[2*i][k])+2*bit(dots[2*i+1][k])])
		}
		rows = append(rows, line.String())
	}
	return rows, true
}

func bit(dot byte) int {
	if dot == '#' {
		return 1
	}
	return 0
}
