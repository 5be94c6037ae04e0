//go:build !unix

package fuzzing

import "time"

// cpuTime is the time on the clock where that of processors is not told.
func cpuTime() time.Duration { return time.Duration(clock().UnixNano()) }
