package sentence

import "hisspoint/capture"

// Warning is a row of the table of warnings: what its code means, what to do, and the
// sentences that tell it with the figures of the case. Sentences whose names begin with
// used-, of- and the like are parts of others.
type Warning struct {
	Code      capture.Code
	Means, Do string
	Says      says
}

// says are sentences by their names, with the verbs of package fmt where figures stand.
type says map[string]string

// Warnings are all warnings there are.
var Warnings = []Warning{
	// What the container and the samples show.
	{capture.Truncated, "The file ends before what its header promises; what is there is used.",
		"Copy the file again, or record again.", says{
			"flac-damaged": "damaged after %.3f s; what comes before is used",
			"flac-cut-off": "cut off after %.3f s; what comes before is used",
			"flac-short":   "the header promises %.3f s but the file ends after %.3f s",
		}},
	{capture.HeaderRepaired, "The header of the file says another size than the file has; the file is believed.",
		"Nothing, if the length is right; else export the recording again.", says{
			"flac-samples": "the header says %d samples and there are %d; all are read",
		}},
	{capture.ChecksumDiffers, "The sound in a FLAC file is not what its own checksum (MD5) says was packed.",
		"Copy the file again from the recorder.", says{
			"flac-checksum": "the sound is not what was packed: its checksum (MD5) differs; copy the file again from the recorder",
		}},
	{capture.Clipped, "Tops of the wave lie flat at full scale: the input was too loud, and distortion is the card's.",
		"Turn the input gain down and record again.", says{
			"clipped": "%d tops lie flat at full scale: turn the input gain down",
		}},
	{capture.ClippedBelow, "Tops of the wave lie flat below full scale: something before the card limits them.",
		"Lower the level at what stands before the card; look whether a program made the file quieter.", says{
			"clipped-below": "%d tops lie flat at %.1f dBFS, below full scale: something before the card is overdriven, or the " +
				"file was made quieter after it clipped",
		}},
	{capture.BeyondFullScale, "A file of floating-point samples goes beyond full scale, which other programs clip.",
		"Export it quieter.", says{
			"beyond-full-scale": "%d samples lie beyond full scale, up to %.4g: another program will clip them",
		}},
	{capture.NotFinite, "Some samples are no numbers, so nothing is measured.",
		"Export the recording again, as integers.", says{
			"not-finite": "%d samples are no numbers (NaN or infinite), the first %s: export the recording again, as integers",
		}},
	{capture.BytesSwapped, "The two bytes of each sample stand the wrong way round.",
		"Convert the file from the other byte order.", says{
			"bytes-swapped": "the sound makes sense only with the bytes of each sample exchanged: convert it from the other byte " +
				"order",
		}},
	{capture.CoarseSteps, "The samples use far fewer levels than the file could hold, so the card or a program took bits away.",
		"Record with 16 bits or more.", says{
			"coarse-steps": "the samples keep to steps of %.2g of full scale, %.0f bits in a file of %d: record with 16 bits or " +
				"more",
		}},
	{capture.LowLevel, "The sound uses a few steps of the card only, so rounding adds to noise and distortion.",
		"Turn the input gain up.", says{
			"low-tone":  "the tone stands at %.1f dBFS only: turn the input gain up",
			"few-steps": "the sound moves by a few steps of the card only (%.1f dBFS): turn the input gain up",
		}},
	{capture.DCOffset, "The sound is off zero by a steady amount, which costs headroom.",
		"Look for direct current at the input.", says{
			"dc-offset": "the samples are off zero by %.2f %% of full scale: it costs headroom; look for direct current at " +
				"the input",
		}},
	{capture.ZeroRun, "The samples stand still in the midst of sound: audio was lost, or muted.",
		"Close other programs, look for a recorder that mutes, and record again.", says{
			"stood-still": "the samples stand still for up to %.1f ms in the midst of sound, %s: audio was lost there",
			"stood-still-or-muted": "the samples stand still for up to %.1f ms in the midst of sound, %s: audio was lost there, or the " +
				"recorder muted it",
		}},
	{capture.NotRecorded, "The sound has less noise than rounding makes: a program made or cleaned it.",
		"Record through the card, without processing; do not believe high values of S/N.", says{
			"not-recorded": "less noise is left than the steps of %d bits make (%.1f dBFS): this sound was computed or " +
				"processed, not recorded, and S/N above %.0f dB means nothing",
		}},
	{capture.RateSuspect, "The tone stands just where a wrong sample rate in the header would put it.",
		"Look at which rate the recorder works, and state it right.", says{
			"ladder-rate-suspect": "all %d tones stand at %.1f %% of those of the list: just where they would if the file said %.0f Hz " +
				"and was sampled at %.0f Hz",
			"rate-suspect": "the tone stands at %.1f Hz: just where %g Hz would if the file said %.0f Hz and was sampled at %.0f " +
				"Hz",
		}},
	// What channels show beside each other.
	{capture.ChannelSilent, "A channel holds no sound.",
		"Check the plug, the input chosen and its gain.", says{
			"all-silent":             "no channel holds any sound: is the right input recorded?",
			"channel-silent":         "channel %d holds no sound; channel %d does",
			"no-sound-arrives":       "no sound arrives: check the plug, the input chosen and its gain",
			"sound-on-other-channel": "no sound arrives on channel %d, which is watched, but on channel %[2]d: choose it with --channel %[2]d",
		}},
	{capture.ChannelsIdentical, "Two channels are one and the same sound: mono recorded twice.",
		"Nothing: either will do.", says{
			"channels-identical": "channels 1 and %d are the same, as mono recordings in stereo are",
		}},
	{capture.ChannelsInverted, "One channel is the other turned over: balanced wiring.",
		"Use one channel alone; never add the two.", says{
			"channels-inverted": "channel %d is channel 1 turned over: a plug or adapter is wired balanced; adding the channels " +
				"leaves nothing",
		}},
	{capture.ChannelChosen, "One channel alone holds a tone and is read; another holds other sound, which may be the set's.",
		"State the channel of the set.", says{
			"channel-chosen": "channel %d is read, as it alone holds a tone; channel %d holds sound at %.1f dBFS without one: if " +
				"that is the set's, state it with --channel, in a job with channel of the round or of the sound card",
		}},
	{capture.ChannelUnstated, "Two channels hold different sound, and nobody said which is the set's; nothing is judged.",
		"State the channel.", nil},
	// What the sound shows.
	{capture.Silence, "Nothing is heard.",
		"Check cable, input and volume.", nil},
	{capture.ToneMissing, "No steady tone rises above the noise where one is due.",
		"Check that the modulation was on, and which tone it was.", says{
			"tones-too-weak": "%s: too weak to measure, or not there; left out",
		}},
	{capture.ToneOffFrequency, "A tone stands elsewhere than where it is due.",
		"Name the tone that was used, or set the generator right.", says{
			"tone-off-frequency": "the tone stands at %.1f Hz, %+.1f %% from the %g Hz expected",
		}},
	{capture.OtherTone, "A tone is in the recording that was not asked for.",
		"Name it, or find where it comes from.", says{
			"tone-beside": "a tone of %.1f Hz, %.1f dBFS, is beside the test tone and counts as noise: find where it comes from; " +
				"if it is the test tone, give --tone",
			"reference-tone": "the reference has a tone of %.0f Hz and the transmitter one of %.0f Hz: unless the monitor is flat " +
				"the figure is wrong by as much as its response differs; name its curve, or use one tone",
		}},
	{capture.Unsteady, "Level or noise moves within the recording; its longest steady part is used where there is one.",
		"Leave controls and cables alone while it records; record a part for each state.", says{
			"used-as-asked":    "the part that you asked for is used",
			"used-with-hum":    "it is the hum that wanders, so all of it is used, and SINAD counts it",
			"used-part":        "%.2f to %.2f s are used",
			"used-none":        "no part is steady long enough for a figure",
			"used-all":         "all of it is used",
			"level-wavers":     "the level goes up and down all the time",
			"sound-changes":    "the sound changes",
			"and-more-changes": "%s and %d more changes",
			"tone-off":         "the tone is off from %.2f to %.2f s",
			"noise-bursts":     "noise bursts in from %.2f to %.2f s",
			"tone-steps":       "the tone's level changes by %+.1f dB at %.2f s",
			"noise-steps":      "the noise changes by %+.1f dB at %.2f s",
			"nothing-heard":    "nothing is heard from %.2f to %.2f s",
			"level-steps":      "the level changes by %+.1f dB at %.2f s",
			"tone-warbles": "a tone near %.0f Hz runs through it, but its phase does not keep still: it carries data, or what makes " +
				"it warbles; record a steady tone",
			"tone-broken": "tones jump or break off, as where samples are lost or muted, at %s; the longest whole part of each is used",
			"tone-broken-left-out": "tones jump or break off again and again, as where samples are lost or muted, at %s; they are " +
				"left out: record it again",
			"multitone-broken": "the multitone jumps or breaks off, as where samples are lost or muted: its longest whole part, %.1f s, is used",
			"tone-flutters":    "the tone flutters or is keyed: what it puts beside itself counts as noise; record it steady",
		}},
	{capture.GainChanged, "Tone and noise moved alike: a gain was moved, by hand or by an automatic control.",
		"Leave volume and input gain alone, and switch automatic gain off.", says{
			"gain-steps":  "the level of tone and noise alike steps by %.1f dB: a gain was moved while recording",
			"gain-creeps": "the level of tone and noise alike creeps by %.1f dB: a gain was moved while recording",
			"tone-heard-again": "the tone of %.0f Hz is heard %d times and differs by %.1f dB: the volume or an automatic gain moved " +
				"in between",
		}},
	{capture.ToneDrifts, "The frequency of the tone moves, so the oscillator that makes it drifts.",
		"Let the generator warm up.", says{
			"tone-drifts": "the tone's frequency moves by %.1f Hz within the recording: the oscillator that makes it drifts; " +
				"the figures do not count that as noise",
		}},
	{capture.ToneWavers, "Phase or level of the tone goes to and fro, which counts as noise.",
		"Look for hum on an oscillator, microphonics, or a recorder that resamples.", says{
			"phase-wavers":          "the phase of the tone wavers, which counts as noise: it costs %.1f dB of SINAD",
			"level-wavers-as-noise": "the level of the tone wavers, which counts as noise: it costs %.1f dB of SINAD",
		}},
	{capture.DroppedSamples, "Samples were lost or doubled while recording.",
		"Close other programs, or use another input.", says{
			"phase-jumps":       "the phase of the tone jumps %s",
			"phase-jumps-often": "the phase of the tone jumps %d times, %s",
			"slips-at-least": "%s: %s while recording; close other programs, or use another input; so often that SINAD and S/N are " +
				"at least what they read",
			"slips-between": "%s: %s while recording; close other programs, or use another input; the figures are those of the " +
				"sound between",
			"one-sample-lost":    "1 sample was lost",
			"one-sample-doubled": "1 sample was doubled",
			"samples-lost":       "%.0f samples were lost",
			"samples-doubled":    "%.0f samples were doubled",
			"samples-unclear":    "samples were lost or doubled",
			"or-cycles-more":     "%s (or whole cycles more)",
		}},
	{capture.NoLine, "No family of mains lines stands out of the noise: there is a bound for hum, and no value.",
		"Nothing.", nil},
	{capture.ProcessedAudio, "Something worked on the sound: noise suppression, automatic gain or echo cancelling; figures of " +
		"noise are wrong.",
		"Switch it off in the system's sound settings and record again.", says{
			"tone-taken-for-noise": "the tone sinks by %.1f dB at the start and then stays: a suppressor takes it for noise; switch off " +
				"noise suppression in the system's sound settings",
			"tone-taken-for-echo": "the tone sinks by %.1f dB within the first seconds, as if it were an echo, and then stays away: " +
				"switch off echo cancelling and noise suppression in the system's sound settings, and do not play " +
				"the input",
			"noise-settles": "the noise moves by %+.1f dB while the recording settles: switch off noise suppression in the " +
				"system's sound settings",
			"tone-settles": "the tone moves by %+.1f dB while the recording settles: switch off automatic gain and noise " +
				"suppression in the system's sound settings",
			"noise-hole": "the noise has a hole of %.1f dB at the tone: noise suppression that takes the tone for noise; SINAD " +
				"reads too low; record without it",
			"or-filter-peaks":  "or a filter peaks there",
			"or-narrow-filter": "or it is a narrow filter of the set",
			"or-coder":         "%s, or a coder, by which it reads too low",
			"noise-dense": "the noise is %.1f dB denser at the tone than beside it: a noise suppressor or line enhancer took " +
				"noise away (%s), and SINAD may read too high by up to %.0f dB; record without it",
		}},
	{capture.CodedAudio, "The sound was coded and decoded, or came through the air, which changes noise.",
		"Record by cable.", says{
			"was-coded":      "this sound was coded as %s before",
			"came-by":        "this sound came by %s",
			"coded-at-least": ": SINAD is at least %.1f dB",
			"coded-by":       ": SINAD may read %.1f dB too low or %.1f dB too high by it",
			"coded-or-suppressed": ", unless a noise suppressor worked on it as well: the noise is denser at the tone, as either leaves " +
				"it",
			"coded-noise": "; hum, noise and quieting are not judged from it",
		}},
	// What a test shows of its recordings.
	{capture.TooShort, "A recording is too short for an interval.",
		"Record 5 s or more.", says{
			"too-short": "%s is too short for an interval and counts only if nothing better is there",
		}},
	{capture.RepeatsDiffer, "Two recordings of one level do not agree.",
		"Check which level was set.", says{
			"repeats-differ": "%s and %s have the same level but differ by %.1f dB: check which level was set",
		}},
	{capture.SeriesContradicts, "The reading at one level does not fit those at the others.",
		"Check which level was set there, and record it again.", says{
			"level-contradicts": "the reading at %s lies %.1f dB off what the other levels let expect: " +
				"check which level was set there; the point's interval reaches as far as it lies without it",
			"levels-out-of-order": "the reading at %s is %.1f dB, and at %s %.1f dB: one of them may be of another level",
			"level-fits-order":    "the reading at %s is %.1f dB, and at %s %.1f dB: one of them may be of another level; the first would fit %.1f dB beside it",
			"level-fits-beside": "the reading at %s lies %.1f dB off what the other levels let expect, and would fit %.1f dB beside it: " +
				"check which level was set there; the point's interval reaches as far as it lies without it",
		}},
	{capture.NotAsKept, "A file is not what it was when the job took it, or is the same as another.",
		"Say with hisspoint job replace which recording is meant.", says{
			"not-as-kept": "%s",
		}},
	{capture.NamedTwice, "One file stands for two recordings of a test.",
		"Give each its own file.", says{
			"named-twice": "%s is named for two recordings of this test: it is one, so the interval is too narrow, or one of " +
				"them should be another file",
		}},
	{capture.OpeningUnread, "A squelch opened, and its closing time cannot be read.",
		"Key with pauses of a second, with the tone on.", says{
			"openings-unread": "%d openings give no closing time: %s",
			"opening-unread":  "%d opening gives no closing time: %s",
		}},
	{capture.NotCompared, "Two rounds were not made alike, so they are not compared.",
		"Measure both under the same conditions.", nil},
	{capture.WantedTooStrong, "The wanted signal of a degradation test was stronger than 3 dB above the sensitivity.",
		"Set the wanted signal weaker.", says{
			"wanted-too-strong": "SINAD reaches %.1f dB, more than a signal %s gives: the wanted signal " +
				"was too strong, so the rejection is counted from too high a level",
		}},
	{capture.MonitorCurve, "The curve of the monitor receiver does not reach as far as the response.",
		"Measure the monitor further.", says{
			"monitor-curve": "the monitor's curve does not reach %s: left out",
		}},
	{capture.ShortTalk, "There is too little talk for a long-term spectrum.",
		"Record 30 s of talk or more.", says{
			"short-talk": "only %.1f s of talk: a long-term spectrum takes 30 s or more (common practice)",
		}},
	{capture.NoisyTalk, "No pause in the talk tells how much of it is noise.",
		"Leave pauses, and record where it is quiet.", says{
			"noisy-talk": "no pause lies 10 dB below the talk: what noise adds cannot be told and is left in",
		}},
	// What the bench adds.
	{capture.BenchFloor, "A figure lies near the noise or hum of the bench itself.",
		"Look for ground loops and supplies; raise the audio.", says{
			"hum-stays": "the hum stays with the volume at zero (%.1f dBFS of %.1f dBFS): it does not come through the " +
				"receiver, but from the output stage's supply, the wiring or a ground loop",
			"noise-near-floor": "noise lies within 10 dB of what stays with the volume at zero (%.1f dBFS): figures of noise are the " +
				"bench's as much as the set's",
		}},
	{capture.Leakage, "The signal reaches the set past its cable, so low levels cannot be trusted.",
		"Check screens, connectors and the distance to the generator.", says{
			"generator-heard": "the generator was heard past its cable (%.1f dB SINAD with its output down): low levels, and so " +
				"this sensitivity, cannot be trusted",
			"leakage": "a tone is heard at %.1f dB SINAD with the generator down: the signal leaks past its cable, so low " +
				"levels cannot be trusted; check screens, connectors and the distance to the generator",
		}},
	{capture.CardLimits, "A figure lies near what the sound card makes by itself.",
		"Raise the set's audio at the card, or use another card.", says{
			"card-noise": "the sound card's own noise (%.1f dBFS when it was qualified) is %s: %s; raise the set's audio at " +
				"the card's input",
			"noise-too-high": "the noise reads too high by %s",
			"snr-too-low":    "S/N too low by %s",
			"sinad-too-low":  "SINAD too low by %s",
			"card-hum": "the sound card's own hum (%.1f dBFS when it was qualified) is %s: it adds to it or takes from it, " +
				"by %s; look for a ground loop, or raise the set's audio",
			"card-distortion": "the sound card's own distortion (%.3g %%) is %s (%.3g %%): the set's own lies between %.3g and %.3g " +
				"%%; lower the level at the card's input, or use another card",
			"any-amount":    "any amount",
			"up-to-db":      "up to %.1f dB",
			"only-below":    "only %.1f dB below %s",
			"of-rest":       "what is left beside the tone",
			"of-noise":      "the noise that is read",
			"of-hum":        "the hum that is read",
			"of-distortion": "the distortion that is read",
			"card-at-point": "the sound card's own noise lies less than 10 dB below what is left beside the tone at the point: " +
				"the set may be more sensitive by %s than is read; raise the set's audio at the card's input",
			"card-response": "the sound card's own response (%+.2f dB at %.0f Hz against 1 kHz) is a large part of the %.2f dB " +
				"that the response deviates at most: switch off its enhancements, or use another card",
			"card-gain-moves": "its gain depends on the sound (a step of 20 dB comes out wrong by %.1f dB, and the gain moves by " +
				"%.1f dB): switch off automatic gain and enhancements",
			"card-is-noisy":    "its own noise is %.1f dBFS: lower the input gain, or use another card",
			"card-distorts":    "its own distortion is %.2f %%: lower the level, or use another card",
			"card-is-not-flat": "its response is %+.1f dB at %.0f Hz: an equalizer or enhancement is on",
		}},
	{capture.CardMismatch, "The card was qualified under other conditions than those of the recording.",
		"Qualify it again at the gain and rate of the recordings.", says{
			"card-other-rate": "the sound card (%s) was qualified at %d Hz, and %s was recorded at %d Hz: what the card adds is not " +
				"known there and left out",
		}},
}
