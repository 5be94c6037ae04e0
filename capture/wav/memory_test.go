package wav_test

import (
	"errors"
	"io"
)

// memory is a file in memory. limit, if not 0, is the size of the disk.
type memory struct {
	b     []byte
	at    int64
	limit int64
}

var errFull = errors.New("no space left on device")

func (m *memory) Write(p []byte) (int, error) {
	n := len(p)
	if m.limit > 0 && m.at+int64(n) > m.limit {
		n = int(max(0, m.limit-m.at))
	}
	if need := m.at + int64(n); need > int64(len(m.b)) {
		m.b = append(m.b, make([]byte, need-int64(len(m.b)))...)
	}
	copy(m.b[m.at:], p[:n])
	m.at += int64(n)
	if n < len(p) {
		return n, errFull
	}
	return n, nil
}

func (m *memory) Seek(offset int64, whence int) (int64, error) {
	if whence != io.SeekStart {
		return 0, errors.New("only from the start")
	}
	m.at = offset
	return offset, nil
}

// sink counts and forgets.
type sink struct{}

func (sink) Write(p []byte) (int, error)         { return len(p), nil }
func (sink) Seek(at int64, _ int) (int64, error) { return at, nil }
