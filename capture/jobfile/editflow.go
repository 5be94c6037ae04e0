package jobfile

import "strings"

// span is a stretch of text.
type span struct{ from, to int }

// flowParts are the entries within the brace or bracket at a place, without the
// blanks and comments around them.
func flowParts(s string, open int) []span {
	parts, _ := flowEnd(s, open)
	return parts
}

// flowEnd gives the entries, and the place behind the closing bracket; 0 if
// there is none.
func flowEnd(s string, open int) (parts []span, end int) {
	depth, from, quote := 0, open+1, byte(0)
	cut := func(to int) {
		a, b := from, to
		for a < b && (s[a] == ' ' || s[a] == '\n' || s[a] == '\t' || s[a] == '#') {
			if s[a] == '#' {
				for a < b && s[a] != '\n' {
					a++
				}
				continue
			}
			a++
		}
		b = a + len(strings.TrimRight(withoutComments(s[a:b]), " \n\t"))
		if b > a {
			parts = append(parts, span{a, b})
		}
		from = to + 1
	}
	for i := open; i < len(s); i++ {
		c := s[i]
		switch {
		case quote == '"' && c == '\\':
			i++
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '#' && (s[i-1] == ' ' || s[i-1] == '\n'):
			for i+1 < len(s) && s[i+1] != '\n' {
				i++
			}
		case (c == '"' || c == '\'') && strings.ContainsRune("{[,: \n", rune(s[i-1])):
			quote = c
		case c == '{' || c == '[':
			depth++
		case c == '}' || c == ']':
			if depth--; depth == 0 {
				cut(i)
				return parts, i + 1
			}
		case c == ',' && depth == 1:
			cut(i)
		}
	}
	return parts, 0
}

// addFlow adds an entry before the closing bracket.
func (l *Lines) addFlow(n node, entry string) {
	all := l.all()
	parts, end := flowEnd(all, n.from)
	if len(parts) == 0 {
		l.splice(end-1, end-1, entry)
		return
	}
	last := parts[len(parts)-1].to
	rest := strings.TrimLeft(all[last:end-1], " \n\t")
	if strings.HasPrefix(rest, ",") { // one comma too many is allowed, and used
		last += len(all[last:end-1]) - len(rest) + 1
		l.splice(last, last, " "+entry)
		return
	}
	l.splice(last, last, ", "+entry)
}

// withoutComment is a line without the comment at its end.
func withoutComment(s string) string {
	quote := rune(0)
	for i, r := range s {
		switch {
		case quote == 0 && (r == '"' || r == '\'') && (i == 0 || strings.ContainsRune(" {[,:", rune(s[i-1]))):
			quote = r
		case r == quote:
			quote = 0
		case quote == 0 && r == '#' && (i == 0 || s[i-1] == ' '):
			return s[:i]
		}
	}
	return s
}

// withoutComments is text without a comment behind its last line.
func withoutComments(s string) string {
	cut := strings.LastIndexByte(s, '\n') + 1
	last := s[cut:]
	if short := withoutComment(last); short != last {
		if short = strings.TrimSpace(short); short == "" {
			return withoutComments(strings.TrimRight(s[:max(cut-1, 0)], " \n\t"))
		}
		return s[:cut] + last[:len(withoutComment(last))]
	}
	return s
}
