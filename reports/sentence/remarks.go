package sentence

// remarks are what a test says of its figures.
var remarks = says{
	"monitor-follows-to":      "The reference shows that the monitor follows up to %.0f Hz only; use a reference nearer to what is measured.",
	"sub-audible-not-in":      "A sub-audible tone of %.1f Hz is not in the figures: its own deviation adds to the peak.",
	"strongest-hum-line":      "the strongest line of the hum stands at %.1f Hz, %.1f dB below the audio",
	"steady-line-counts":      "a steady line at %.1f Hz that is no hum is part of the figure",
	"residual-counts":         "the generator's residual FM of %g Hz alone gives %.0f dB at %g Hz deviation: it is a large part of the figure, and the set is better than that",
	"residual-hardly-counts":  "the generator's residual FM of %g Hz alone gives %.0f dB at %g Hz deviation: it hardly counts",
	"ten-percent-not-reached": "10 %% distortion is not reached: the output is that at full volume, with %.1f %%",
	"output-stops-following":  "the output stops following the volume: from %s to %s it rises by %.1f dB, and the distortion from %.1f to %.1f %%",
	"halves-clip-unequally":   "at the loudest volume even harmonics are %.1f %% and odd ones %.1f %%: both halves of the wave are clipped unequally",
	"halves-clip-alike":       "at the loudest volume even harmonics are %.1f %% and odd ones %.1f %%: both halves of the wave are clipped alike",
	"held-against":            "It is compared with %s, as is usual for the mode; name another curve with against.",
	"speech-heard":            "%.0f s of speech were heard, held against %s; its interval admits how far talkers differ.",
	"best-offset":             "SINAD is best at an offset of %.0f Hz.",
	"agc-judged":              "the AGC is judged between %s and %s, %.0f dB apart",
	"stretches-left-out":      "%d stretches of other sound, neither a tone nor a steady noise, were left out.",
	"audio-rings-on":          "The audio rings on after the mute, as it does where the de-emphasis follows it: the closing is known to %.0f ms only.",
	"limited-above":           "Deviation 20 dB up is asked for at an input of %.1f dB and was read at %.1f dB, the highest recorded; what it may be higher by is in its interval.",
	"limited-between":         "Deviation 20 dB up is that at an input of %.1f dB, between those recorded at %.1f and %.1f dB.",
	"audio-falls":             "the audio falls by %.1f dB from %s to the stronger %s: overload, or the volume was moved",
}
