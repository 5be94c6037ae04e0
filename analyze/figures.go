package analyze

// Leak is by how many dB a tone stands out that should not be heard at all.
const Leak = "leak"

// Figures of the hiss.
const (
	HissLevel = "hiss_level" // through the filter, dBFS
	HissTilt  = "hiss_tilt"  // of its density from 300 to 3000 Hz, dB an octave
)

// Figures of a centring test.
const (
	Centre        = "centre"          // offset midway between those at which SINAD has fallen, Hz
	Displacement  = "displacement"    // the smaller of these two offsets, Hz
	EvenCentre    = "even_centre"     // offset at which the even harmonics are least, Hz
	OffCentreLoss = "off_centre_loss" // SINAD at the best offset less that at none, dB
)

// Rejection is by how many dB the interfering signal stands above the sensitivity
// where it degrades the wanted one.
const Rejection = "rejection"

// Figures of a deviation by substitution, beside job.QuantityDeviation.
const (
	ToneDeviation = "tone_deviation" // peak deviation by the fundamental alone, Hz
	LargerHalf    = "larger_half"    // peak deviation of the half-wave that goes further, Hz
	SmallerHalf   = "smaller_half"   // and of the other, Hz
	Asymmetry     = "asymmetry"      // the difference of the halves over their sum, %
)

// Figures of a distortion test beside THD, SINAD and THD+N.
const (
	EvenHarmonics = "even_harmonics" // root-sum-square of the even harmonics, percent of the fundamental
	OddHarmonics  = "odd_harmonics"  // that of the odd ones
)

// Figures of a hum and noise test beside the whole: its two parts.
const (
	HumBelow   = "hum_below_audio"   // dB
	NoiseBelow = "noise_below_audio" // dB, through the filter
)

// Names of readings that only comparisons of recordings have.
const (
	Output     = "output"    // the whole audio through the filter, dBFS
	HarmonicOf = "harmonic_" // and the order: one harmonic, percent of the fundamental
	HumAt      = "hum_line_" // and its frequency in Hz: one line of the hum
)

// Figures of audio against RF level.
const (
	AudioDown = "audio_down" // dB: the audio at a level against that of a strong signal

	LimitingOneDB = "limiting_1_db" // FM: RF level at which the audio is 1 dB down

	LimitingThree = "limiting_3_db" // FM: and 3 dB

	GainSixDB = "agc_6_db" // AM, SSB: RF level at which the audio is 6 dB down

	GainSpread = "agc_audio" // dB: the audio's change between the strongest and the weakest level

	GainMerit = "agc_merit" // dB of RF for one dB of audio, between these
)

// Figures of a limiter test beside job.QuantityDeviation, which is the largest
// deviation at any input.
const (
	InputFor60 = "input_for_60_percent" // audio at the microphone socket, dB above 1 mV or as typed
	Limited    = "deviation_20_db_up"   // at an input 20 dB above that, Hz
	LimitGain  = "of_rated"             // the largest deviation, % of the rated one
	Overshoot  = "attack_overshoot"     // highest peak after an upward step over the settled one, dB
)

// Figures of a modulation depth beside job.QuantityModulation.
const (
	ToneDepth   = "tone_depth" // of the fundamental alone, %
	DepthLarger = "larger_half_depth"
	DepthLesser = "smaller_half_depth"
)

// Figures of an audio power test beside the power.
const (
	OutputAtTen   = "output_at_10_percent" // RMS output at 10 % distortion: V, or dBFS without calibration
	ClippingOnset = "clipping_onset"       // output at which the set begins to clip: W, V or dBFS
	LeastTHD      = "least_thd"            // the lowest distortion of all volumes, percent
)

// Figures of a quieting test beside the quieting itself.
const (
	QuietingPoint  = "quieting_point"        // RF level at which the carrier lowers the hiss by 20 dB
	RecoveredAudio = "recovered_audio"       // tone of the standard modulation, dBFS
	RecoveredVolts = "recovered_audio_volts" // the same in volts, with calibration
)

// SignalNoisePoint is the RF level at which (S+N)/N reaches 10 dB.
const SignalNoisePoint = "sn_n_point"

// SpectrumPicture is the name of the picture that Spectrum makes.
const SpectrumPicture = "spectrum"

// Figures of a squelch in time beside job.QuantityClosing and
// job.QuantityAttack, both in ms.
const (
	Tail    = "tail"    // of one opening: from the moment the signal goes to the mute, ms
	Opening = "opening" // of one opening: from the signal's coming to the audio's, ms
	Chatter = "chatter" // openings that follow a closing within 0.2 s, a count
)

// Figures of a squelch over level, beside job.QuantityOpening.
const (
	OpensAt    = "opens_at"   // level at the set
	ClosesAt   = "closes_at"  // level at the set
	Hysteresis = "hysteresis" // the one less the other, dB
)
