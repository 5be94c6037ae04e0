package plan

import (
	"regexp"
	"sync"
)

// lazyPattern compiles an expression when it is first asked for: few commands
// need them all, and every start of the program would pay.
func lazyPattern(expr string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expr) })
}
