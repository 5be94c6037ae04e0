package unit

import (
	"regexp"
	"sync"
)

// LazyPattern compiles an expression when it is first asked for: few commands need
// them all, and every start of the program would pay. It is for parsers anywhere.
func LazyPattern(expr string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expr) })
}
