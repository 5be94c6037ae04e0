package kind

import (
	"hisspoint/analyze"
)

// output is the whole audio of a row through the filter.
func output(u analyze.Used) analyze.Reading { return u.Measured.Kept.Output }
