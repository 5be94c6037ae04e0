//go:build unix

package fuzzing

import (
	"syscall"
	"time"
)

// cpuTime is what the process has used of processors. A process that others
// hold up uses none meanwhile.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return time.Duration(clock().UnixNano())
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
