package disk

import (
	"io/fs"
	"syscall"
)

type unixStat = syscall.Stat_t

// Stamp tells two states of an open file apart: it changes with every write.
func Stamp(info fs.FileInfo) [2]int64 {
	if s, ok := info.Sys().(*unixStat); ok {
		return [2]int64{s.Ctimespec.Nano(), int64(s.Ino)}
	}
	return [2]int64{}
}
