package jobfile

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	fromdisk "hisspoint/capture/doors/read"
	"hisspoint/capture/job"
)

// Identity is what a recording is now: size, SHA-256 and when it was written last.
func Identity(dir, file string) (job.Kept, error) {
	path := filepath.Join(dir, filepath.FromSlash(file))
	info, err := os.Stat(path)
	if err != nil {
		return job.Kept{}, fmt.Errorf("%s: cannot be read", file)
	}
	f, err := fromdisk.Open(path)
	if err != nil {
		return job.Kept{}, fmt.Errorf("%s: cannot be read: %w", file, fromdisk.Bare(err))
	}
	defer f.Close()
	sum := sha256.New()
	n, err := io.Copy(sum, io.NewSectionReader(f, 0, f.Size()))
	if err == nil {
		err = f.Unchanged()
	}
	if err != nil {
		return job.Kept{}, fmt.Errorf("%s: cannot be read to its end: %w", file, fromdisk.Bare(err))
	}
	return job.Kept{File: file, Bytes: n, SHA256: hex.EncodeToString(sum.Sum(nil)), Recorded: info.ModTime().UTC().Format(time.RFC3339)}, nil
}
