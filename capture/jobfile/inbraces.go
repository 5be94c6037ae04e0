package jobfile

import "strings"

// inBraces writes lines, as the writer makes them, on one: blocks become braces and
// brackets. The writer's texts can stand within braces as they are.
func inBraces(lines []string) string {
	depth := func(s string) int { return len(s) - len(strings.TrimLeft(s, " ")) }
	list := strings.HasPrefix(strings.TrimLeft(lines[0], " "), "-")
	var parts []string
	for i := 0; i < len(lines); {
		own := depth(lines[i])
		end := i + 1
		for end < len(lines) && depth(lines[end]) > own {
			end++
		}
		text := lines[i][own:]
		if list { // the rest of the item stands two deeper, like its first key
			text = strings.TrimPrefix(text, "- ")
			if end > i+1 {
				text = inBraces(append([]string{strings.Repeat(" ", own+2) + text}, lines[i+1:end]...))
			} else if keyLine().MatchString(text) {
				text = "{" + text + "}"
			}
		} else if end > i+1 {
			text += " " + inBraces(lines[i+1:end])
		}
		parts = append(parts, text)
		i = end
	}
	if list {
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return "{" + strings.Join(parts, ", ") + "}"
}
