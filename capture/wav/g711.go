package wav

// The tables of ITU-T G.711, scaled to full scale +-1 the way 16-bit decoders
// do it: the largest A-law value is 32256/32768, the largest mu-law value
// 32124/32768.
var (
	aLawTable  = table(aLaw)
	muLawTable = table(muLaw)
)

func table(f func(byte) int) *[256]float64 {
	var t [256]float64
	for i := range t {
		t[i] = float64(f(byte(i))) / 32768
	}
	return &t
}

// aLaw decodes a character signal of G.711 table 1: even bits inverted, then
// sign, three bits of segment, four bits of step; a set sign bit is positive.
func aLaw(c byte) int {
	c ^= 0x55
	v := int(c&0x0F)<<4 + 8
	if seg := c >> 4 & 7; seg > 0 {
		v = (v + 0x100) << (seg - 1)
	}
	if c&0x80 == 0 {
		return -v
	}
	return v
}

// muLaw decodes a character signal of G.711 table 2: all bits inverted, then
// sign, segment and step, with the bias of 33 (132 at 16 bits) taken off.
func muLaw(c byte) int {
	c = ^c
	v := (int(c&0x0F)<<3+0x84)<<(c>>4&7) - 0x84
	if c&0x80 != 0 {
		return -v
	}
	return v
}
