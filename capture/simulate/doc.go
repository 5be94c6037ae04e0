// Package simulate is a simulated service bench: an RF signal generator, a
// two-way radio set and a sound card, worked out from physics and seeded, so
// that the same bench with the same seed gives the same samples.
//
// It is a simulation. Nothing in it was recorded from a set; its sets are
// invented; Bench.Describe says so in words that a report can print.
//
// The model of a receiver, from the aerial socket to the speaker:
//
//	generator dial level + its error - pad - front loss, and what leaks past the cable    dBm into 50 ohm
//	noise k T0 B: -173.975 dBm/Hz (T0 = 290 K) + noise figure, in the IF noise bandwidth B
//	what a second generator adds to it (Interferer, Immunity)
//	carrier-to-noise ratio rho = C / (k T0 F B)
//	IF filter
//	FM: limiter, discriminator with its curve, de-emphasis
//	AM: gain control, envelope detector;  SSB: gain control, product detector
//	coupling, audio high-pass and low-pass
//	volume, second- and third-order distortion, crossover, clipping, squelch gate
//	the amplifier's own noise, hum, whine; ground loop
//	sound card: gain, its own noise, DC, clock error, clipping, rounding to 16 or 24 bits
//
// The discriminator is worked at two depths of one model. DepthCarrier makes
// the complex baseband of the IF (a frequency-modulated carrier in complex
// Gaussian noise) and takes phase differences: nothing about thresholds or
// clicks is put in, they come out. DepthAudio is many times faster: the tone,
// Gaussian noise of the shape that phase noise has, and clicks of area 2 pi
// arriving as a Poisson process at the rate of S. O. Rice, "Noise in FM
// receivers", 1963. The tests prove the second against the first. AM and SSB
// are always worked as complex baseband.
//
// The package is a source of known answers, so it shares no mathematics with
// the analysis: it has its own filters, its own resampler, and its truth is
// read from tones that fall exactly on a transform bin, never from a fitted
// sine. What can be known beforehand has a method of its own:
//
//	Bench.TrueSINAD, Sensitivity            SINAD, and the level for 12 dB
//	Bench.TrueOnOff, OnOffSensitivity       (S+N)/N, modulation on and off
//	Bench.TruePower                         power through a filter: quieting, hum and noise, hiss, bench floor
//	FM.TheorySINAD, TheoryQuieting          the same of an ideal FM set by Rice's formulas
//	Bench.SquelchEvents, KeyTrack           when the squelch opens and closes, and what made it
//	FM, AM, SSB.ResponseDB                  audio response
//	AGC.OutputDB, FM.LimitingDB             recovered audio against RF level
//	Discriminator                           centring: tone and second harmonic off tune
//	TransmitBench.Peaks, Modulation         peak deviation up and down, depth
//	Transmitter.ResponseDB                  transmit response; MonitorDB the monitor's
//
// A transmitter (Transmitter) makes modulation of what is played into its
// microphone socket, and any receiver is the monitor that is recorded
// (TransmitBench).
//
// Healthy sets in any number come from HealthyFM, HealthyAM, HealthySSB and
// HealthyTransmitter; Faults and TransmitFaults spoil them one by one. The
// examples show each facility.
package simulate
