package live

import "time"

// Beat is due ten times a second, and at once where what is shown is another.
type Beat struct {
	of string
	at time.Time
}

// Due tells whether it is, and begins anew if so.
func (b *Beat) Due(of string) bool {
	if of == b.of && time.Since(b.at) < time.Second/perSecond {
		return false
	}
	b.of, b.at = of, time.Now()
	return true
}
