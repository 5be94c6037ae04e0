package capture

// Code names a warning for programs: one of the fixed words of the JSON output. Where
// a reading has no value for the same cause, its reason is the same word.
type Code string

// What a container showed.
const (
	Truncated       Code = "truncated"        // the file ends before what its header promises
	ChecksumDiffers Code = "checksum-differs" // the sound is not what its file says was packed
	HeaderRepaired  Code = "header-repaired"  // sizes in the header were wrong and are taken from the file
)

// What samples show.
const (
	Clipped         Code = "clipped"                  // tops lie flat at full scale
	ClippedBelow    Code = "clipped-below-full-scale" // tops lie flat below it: overdriven before the card
	BeyondFullScale Code = "beyond-full-scale"        // float samples above 1
	NotFinite       Code = "not-finite"               // samples that are no numbers
	BytesSwapped    Code = "bytes-swapped"            // sense only with the bytes of each sample exchanged
	CoarseSteps     Code = "coarse-steps"             // far fewer levels than the file's bits
	LowLevel        Code = "low-level"                // a few steps of the card only
	DCOffset        Code = "dc-offset"                // off zero
	ZeroRun         Code = "zero-run"                 // samples that stand still in the midst of sound
	NotRecorded     Code = "not-recorded"             // noise of rounding alone: made by a program
	RateSuspect     Code = "rate-suspect"             // the tone stands where another sample rate would put it
)

// What channels show beside each other.
const (
	ChannelSilent     Code = "channel-silent"
	ChannelsIdentical Code = "channels-identical"
	ChannelsInverted  Code = "channels-inverted"
	ChannelChosen     Code = "channel-chosen"   // one alone holds a tone, and another holds other sound
	ChannelUnstated   Code = "channel-unstated" // two hold a tone and differ: nobody said which is the set's
)

// What the sound shows.
const (
	Silence          Code = "silence"
	ToneMissing      Code = "tone-missing"
	ToneOffFrequency Code = "tone-off-frequency" // a tone stands elsewhere than where it is due
	OtherTone        Code = "other-tone"         // a tone that was not played is in it
	Unsteady         Code = "unsteady"           // level or noise moves: a part of it is used
	GainChanged      Code = "gain-changed"       // tone and noise moved alike
	ToneDrifts       Code = "tone-drifts"        // its frequency moves, and the generator makes it
	ToneWavers       Code = "tone-wavers"        // its phase or level goes to and fro, which counts as noise
	DroppedSamples   Code = "dropped-samples"    // lost or doubled while recording
	NoLine           Code = "no-line-stands-out" // no family of mains lines stands out of the noise
	ProcessedAudio   Code = "processed-audio"    // noise suppression, automatic gain, echo cancelling
	CodedAudio       Code = "coded-audio"        // coded and decoded, or through the air
)

// What a test shows of its recordings.
const (
	TooShort          Code = "too-short"          // for an interval
	RepeatsDiffer     Code = "repeats-differ"     // recordings of one level do not agree
	SeriesContradicts Code = "series-contradicts" // a level whose reading does not fit the others
	NotAsKept         Code = "not-as-kept"        // the file changed since it was added, or is the same sound as another
	NamedTwice        Code = "named-twice"        // one file stands for two places
	OpeningUnread     Code = "opening-unread"     // of a squelch, without a figure for its closing
	NotCompared       Code = "not-compared"       // two rounds that are not alike
	WantedTooStrong   Code = "wanted-too-strong"
	MonitorCurve      Code = "monitor-curve" // does not reach as far as the response
	ShortTalk         Code = "short"         // too little talk for a long-term spectrum
	NoisyTalk         Code = "noisy"         // no pause tells what noise adds
)

// What the bench adds.
const (
	BenchFloor   Code = "bench-floor"   // a figure lies near the noise of the bench itself
	Leakage      Code = "leakage"       // the signal reaches the set with the generator turned down
	CardLimits   Code = "card-limits"   // a figure lies near what the sound card makes by itself
	CardMismatch Code = "card-mismatch" // the card's qualification does not hold for the recording
)
