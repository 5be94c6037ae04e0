package wav

import (
	"bytes"
	"errors"
	"fmt"
)

// claim is the length of the data chunk by its header. sure is false where
// the header holds a placeholder: the writer streamed, or never came back to
// fill it in.
func (l *layout) claim() (n int64, sure bool) {
	c := l.claim32
	if d := l.ds64; d != nil && (c == 0xFFFFFFFF || c == uint32(d.data) && d.data > uint64(c)) {
		if d.data == 0 || d.data > 1<<62 {
			return 0, false
		}
		return int64(d.data), true
	}
	return int64(c), !placeholder(c)
}

// placeholder tells the sizes that programs write when they do not know the
// length: the largest 32-bit numbers, unsigned or signed, less or plus a header.
func placeholder(c uint32) bool {
	return c >= 0xFFFFF000 || c >= 0x7FFFF000 && c <= 0x80000FFF
}

// settle decides how many bytes of the file are sound, and notes every
// disagreement between header and file.
func (l *layout) settle(info *Info) error {
	avail := l.size - l.dataAt
	claim, sure := l.claim()
	if claim > avail && placeholder(l.claim32) && l.ds64 == nil {
		sure = false
	}
	n := claim
	switch {
	case !sure && claim > 0 && claim <= avail && l.plausibleEnd(l.dataAt+claim):
		// A file that really is 2 or 4 GiB long.
	case !sure:
		n = avail
		info.note(HeaderRepaired, "the header does not state the length (a stream, or a recorder that crashed); everything to the end of the file is read")
	case claim == 0 && avail > 0 && !l.chain(l.dataAt):
		n = avail
		info.note(HeaderRepaired, "the header says 0 bytes of sound (the recorder crashed or was switched off); everything to the end of the file is read")
	case claim > avail:
		n = avail
		l.noteShort(info, claim, avail)
	case claim < avail:
		n = l.longer(info, claim, avail)
	}
	l.finish(info, n)
	for i, note := range info.Notes {
		if note.Code == Truncated {
			info.Notes[i].AtS = []float64{float64(info.Frames) / float64(info.Rate)}
		}
	}
	if info.Frames == 0 {
		return errors.New("holds no samples; record again")
	}
	return nil
}

// noteShort is for a file that has less sound than its header states.
func (l *layout) noteShort(info *Info, claim, avail int64) {
	excess := claim - avail
	counted := excess == l.dataAt || excess == 44 || excess == l.dataAt-8
	if consistent := int64(l.riffSize)+8 >= l.dataAt+claim; counted && !consistent {
		info.note(HeaderRepaired, "the header counts itself as sound; everything to the end of the file is read")
		return
	}
	frame := float64(info.FrameBytes()) * float64(info.Rate)
	info.note(Truncated, fmt.Sprintf("the header promises %.3f s but the file ends after %.3f s; copy it again from the recorder if the rest matters",
		float64(claim)/frame, float64(avail)/frame))
}

// longer is for a file that goes on behind the stated end of the sound. It
// returns how many bytes are sound.
func (l *layout) longer(info *Info, claim, avail int64) int64 {
	if over := (avail - claim) >> 32; over > 0 && l.container != "rf64" {
		info.note(HeaderRepaired, "longer than 4 GiB, which the header cannot state; its length is taken from the file")
		return claim + over<<32
	}
	if end := l.dataAt + claim; !l.plausibleEnd(end) {
		info.note(HeaderRepaired, fmt.Sprintf("%d bytes behind the stated end of the sound are neither a chunk nor a tag; they are not read", l.size-end))
	}
	return claim
}

// plausibleEnd tells whether what follows the sound may follow it: the end of
// the file, another chunk, a tag, or filling.
func (l *layout) plausibleEnd(end int64) bool {
	if end >= l.size-1 {
		return true
	}
	at := l.next(l.dataAt, end-l.dataAt)
	if id, _, ok, err := l.chunkAt(at); err == nil && ok && (known[id] || l.chain(at)) {
		return true
	}
	b := make([]byte, min(l.size-end, 4096))
	n, err := readAt(l.r, b, end)
	if err != nil {
		return false
	}
	b = b[:n]
	for _, tag := range []string{"TAG", "ID3", "APETAGEX"} {
		if bytes.HasPrefix(b, []byte(tag)) || bytes.HasPrefix(b[1:], []byte(tag)) {
			return true
		}
	}
	return l.size-end <= int64(len(b)) && len(bytes.Trim(b, "\x00")) == 0
}

// finish turns bytes into whole frames and adds the notes that do not change
// which bytes are read.
func (l *layout) finish(info *Info, n int64) {
	frame := int64(info.FrameBytes())
	info.Offset, info.Frames = l.dataAt, n/frame
	repaired := false
	for _, note := range info.Notes {
		repaired = repaired || note.Code == Truncated || n == l.size-l.dataAt
	}
	if rest := n % frame; rest != 0 && !repaired {
		info.note(Truncated, fmt.Sprintf("the last frame is broken: %d of %d bytes; it is not used", rest, frame))
	}
	if len(info.Notes) == 0 {
		l.noteRIFF(info, l.dataAt+n)
	}
	if l.moreData {
		info.note(HeaderRepaired, "more than one data chunk; only the first is read")
	}
	if l.moreFmt {
		info.note(HeaderRepaired, "more than one fmt chunk, and they differ; the first is believed")
	}
}

// noteRIFF looks at the size of the whole. Being off by a header or a pad byte
// is a common slip that says nothing about the sound.
func (l *layout) noteRIFF(info *Info, end int64) {
	const slip = 44
	whole := int64(l.riffSize) + 8
	switch {
	case l.riffSize == 0xFFFFFFFF && l.ds64 != nil:
	case whole < end-slip, whole > l.size+slip:
		info.note(HeaderRepaired, fmt.Sprintf("the RIFF header says %d bytes where %d are; the sound itself is complete", l.riffSize, l.size-8))
	}
}
