// Package simulate is a simulated service bench: an RF signal generator, a
// two-way radio set and a sound card, worked out from physics and seeded, so
// that the same bench with the same seed gives the same samples.
//
// It is a simulation. Nothing in it was recorded from a set; its sets are
// invented; Bench.Describe says so in words that a report can print.
//
// The model of an FM set, from the aerial socket to the speaker:
//
//	generator dial level + its error - pad - front loss      dBm into 50 ohm
//	noise k T0 B: -173.975 dBm/Hz (T0 = 290 K) + noise figure, in the IF noise bandwidth B
//	carrier-to-noise ratio rho = C / (k T0 F B)
//	IF filter, limiter, discriminator: the instantaneous frequency of carrier plus noise
//	de-emphasis, audio high-pass and low-pass
//	volume, second- and third-order distortion, clipping, squelch gate, hum
//	sound card: gain, its own noise, DC, clock error, clipping, rounding to 16 or 24 bits
//
// The discriminator is worked at two depths of one model. DepthCarrier makes
// the complex baseband of the IF (a frequency-modulated carrier in complex
// Gaussian noise) and takes phase differences: nothing about thresholds or
// clicks is put in, they come out. DepthAudio is many times faster: the tone,
// Gaussian noise of the shape that phase noise has, and clicks of area 2 pi
// arriving as a Poisson process at the rate of S. O. Rice, "Noise in FM
// receivers", 1963. The tests prove the second against the first.
//
// The package is a source of known answers, so it shares no mathematics with
// the analysis: it has its own filters, its own resampler, and its truth
// (Bench.TrueSINAD, Bench.Sensitivity) is read from tones that fall exactly
// on a transform bin, never from a fitted sine.
//
// Only FM sets exist so far. An AM, SSB or transmit-audio set is another
// implementation of Set, which turns a timeline of the generator into speaker
// volts; AudioStage, Squelch and SoundCard serve it unchanged.
package simulate
