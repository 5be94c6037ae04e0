package wav

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// A file made of nothing but empty chunks must not keep the walker busy.
const maxChunks = 10000

// More bytes of a format chunk than this carry nothing that is used.
const fmtBytes = 40

// layout is where the parts of a WAVE file lie, before any of it is believed.
type layout struct {
	r         io.ReaderAt
	size      int64 // of the file
	container string
	order     binary.ByteOrder
	riffSize  uint32
	format    []byte // body of the fmt chunk, at most fmtBytes of it
	formatAt  int64
	dataAt    int64 // 0: no data chunk seen
	claim32   uint32
	ds64      *ds64
	moreData  bool // a second data chunk follows
	moreFmt   bool // a second, different fmt chunk follows
}

// ds64 holds the 64-bit sizes of EBU Tech 3306 and ITU-R BS.2088.
type ds64 struct {
	riff, data uint64
	table      map[string]uint64
}

// Parse reads the structure of a WAVE file of size bytes. It allocates a
// fixed amount whatever the file claims, and reads only chunk headers.
//
// It understands RIFF, RIFX, and RF64 or BW64 with their ds64 chunk, chunks in
// any order, and odd chunks with and without their pad byte. An error is a
// sentence that says what is wrong, where, and what to do.
func Parse(r io.ReaderAt, size int64) (Info, error) {
	l, err := walk(r, size)
	if err != nil {
		return Info{}, err
	}
	info, err := l.interpret()
	if err != nil {
		return Info{}, err
	}
	if err := l.settle(&info); err != nil {
		return Info{}, err
	}
	return info, nil
}

func walk(r io.ReaderAt, size int64) (*layout, error) {
	l := &layout{r: r, size: size}
	if err := l.head(); err != nil {
		return nil, err
	}
	if err := l.chunks(); err != nil {
		return nil, err
	}
	switch {
	case l.format == nil && l.dataAt == 0:
		return nil, errors.New("a WAVE header without a fmt and a data chunk: nothing was recorded in it; record again")
	case l.format == nil:
		return nil, errors.New("no fmt chunk, so rate, channels and encoding are unknown; record again or restore the file from the recorder")
	case l.dataAt == 0:
		return nil, errors.New("no data chunk, so there is no sound in it; record again or restore the file from the recorder")
	}
	return l, nil
}

// head reads the 12 bytes every WAVE file begins with.
func (l *layout) head() error {
	var b [12]byte
	if n, err := readAt(l.r, b[:], 0); err != nil {
		return err
	} else if n < len(b) {
		return fmt.Errorf("only %d bytes long, too short for a WAVE header; record again", n)
	}
	l.container, l.order = "riff", binary.LittleEndian
	switch string(b[:4]) {
	case "RIFF":
	case "RIFX":
		l.container, l.order = "rifx", binary.BigEndian
	case "RF64", "BW64":
		l.container = "rf64"
	default:
		return fmt.Errorf("not a WAVE file: it begins with %q", b[:4])
	}
	l.riffSize = l.order.Uint32(b[4:])
	if string(b[8:]) != "WAVE" {
		return fmt.Errorf("a RIFF file of kind %q, not a WAVE recording; set the recorder to WAV", b[8:])
	}
	return nil
}

// chunks goes from chunk to chunk until the end of the file, or until a size
// cannot be true.
func (l *layout) chunks() error {
	at := int64(12)
	for range maxChunks {
		id, claim, ok, err := l.chunkAt(at)
		if err != nil || !ok {
			return err
		}
		body := at + 8
		length, err := l.take(id, body, claim)
		if err != nil {
			return err
		}
		if length < 0 || length > l.size-body {
			return nil
		}
		at = l.next(body, length)
	}
	if l.format != nil && l.dataAt != 0 {
		return nil
	}
	return fmt.Errorf("more than %d chunks and no sound among them; not a recording", maxChunks)
}

// take looks at one chunk and returns how many bytes its body has by its own
// account, or -1 where that account is known to be a placeholder.
func (l *layout) take(id string, body int64, claim uint32) (int64, error) {
	length := int64(claim)
	if claim == 0xFFFFFFFF && l.ds64 != nil && id != "data" {
		if n, ok := l.ds64.table[id]; ok && n <= uint64(l.size) {
			length = int64(n)
		}
	}
	switch id {
	case "ds64":
		return length, l.takeDS64(body, length)
	case "fmt ":
		b := make([]byte, min(length, fmtBytes))
		n, err := readAt(l.r, b, body)
		if err != nil {
			return 0, err
		}
		switch {
		case l.format == nil:
			l.format, l.formatAt = b[:n], body
		case !bytes.Equal(l.format, b[:n]):
			l.moreFmt = true
		}
	case "data":
		if l.dataAt != 0 {
			l.moreData = l.moreData || length > 0
			return length, nil
		}
		l.dataAt, l.claim32 = body, claim
		claim, sure := l.claim()
		if !sure || claim == 0 && !l.chain(body) {
			return -1, nil
		}
		return claim, nil
	}
	return length, nil
}

func (l *layout) takeDS64(body, length int64) error {
	var b [28]byte
	n, err := readAt(l.r, b[:min(length, 28)], body)
	if err != nil || n < 24 || l.ds64 != nil {
		return err
	}
	l.ds64 = &ds64{
		riff: l.order.Uint64(b[0:]),
		data: l.order.Uint64(b[8:]),
	}
	if n < 28 {
		return nil
	}
	// The table names other chunks past 4 GiB; a few entries are plenty.
	entries := min(int64(l.order.Uint32(b[24:])), (length-28)/12, 64)
	if entries <= 0 {
		return nil
	}
	t := make([]byte, entries*12)
	n, err = readAt(l.r, t, body+28)
	l.ds64.table = make(map[string]uint64)
	for t = t[:n/12*12]; len(t) > 0; t = t[12:] {
		l.ds64.table[string(t[:4])] = l.order.Uint64(t[4:])
	}
	return err
}

// chunkAt reads the header of the chunk at a position; ok is false at the end
// of the file and where no chunk can begin.
func (l *layout) chunkAt(at int64) (id string, size uint32, ok bool, err error) {
	var b [8]byte
	n, err := readAt(l.r, b[:], at)
	if err != nil || n < len(b) || !printable(b[:4]) {
		return "", 0, false, err
	}
	return string(b[:4]), l.order.Uint32(b[4:]), true, nil
}

// next is where the chunk after a body of length bytes begins. Odd bodies are
// followed by a pad byte, but some writers leave it out: then the chunk that
// follows is recognised by its name.
func (l *layout) next(body, length int64) int64 {
	end := body + length
	if length%2 == 0 {
		return end
	}
	padded, _, ok, _ := l.chunkAt(end + 1)
	if ok && known[padded] {
		return end + 1
	}
	if bare, _, ok, _ := l.chunkAt(end); ok && known[bare] {
		return end
	}
	return end + 1
}

// chain tells whether chunks follow one another from at to the end of the file.
func (l *layout) chain(at int64) bool {
	for range maxChunks {
		id, size, ok, err := l.chunkAt(at)
		if err != nil || !ok || id == "data" || int64(size) > l.size-at-8 {
			return false
		}
		if at = l.next(at+8, int64(size)); at >= l.size {
			return true
		}
	}
	return false
}

// known are the chunk names that are common in recordings.
var known = map[string]bool{
	"fmt ": true, "data": true, "fact": true, "LIST": true, "list": true, "bext": true, "cue ": true,
	"JUNK": true, "junk": true, "PAD ": true, "FLLR": true, "ds64": true, "smpl": true, "inst": true,
	"plst": true, "iXML": true, "axml": true, "chna": true, "id3 ": true, "ID3 ": true, "PEAK": true,
	"DISP": true, "levl": true, "cart": true, "mext": true, "_PMX": true, "LGWV": true, "acid": true,
	"note": true, "labl": true, "ltxt": true, "afsp": true, "umid": true, "minf": true, "elm1": true,
}

func printable(id []byte) bool {
	for _, c := range id {
		if c < 0x20 || c > 0x7E {
			return false
		}
	}
	return true
}

// readAt fills b from a position as far as the file goes; only a fault of the
// medium is an error.
func readAt(r io.ReaderAt, b []byte, at int64) (int, error) {
	n, err := r.ReadAt(b, at)
	if err == io.EOF {
		err = nil
	}
	if err != nil {
		err = fmt.Errorf("cannot be read at byte %d: %w", at, err)
	}
	return n, err
}
