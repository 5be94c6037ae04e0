package jobfile

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"hisspoint/capture/job"
)

// Identity is what a recording is now: size, SHA-256 and when it was written last.
func Identity(dir, file string) (job.Kept, error) {
	f, err := os.Open(filepath.Join(dir, filepath.FromSlash(file)))
	if err != nil {
		return job.Kept{}, fmt.Errorf("%s: cannot be read", file)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return job.Kept{}, fmt.Errorf("%s: cannot be read", file)
	}
	sum := sha256.New()
	n, err := io.Copy(sum, f)
	if err != nil {
		return job.Kept{}, fmt.Errorf("%s: cannot be read to its end", file)
	}
	return job.Kept{File: file, Bytes: n, SHA256: hex.EncodeToString(sum.Sum(nil)), Recorded: info.ModTime().UTC().Format(time.RFC3339)}, nil
}
