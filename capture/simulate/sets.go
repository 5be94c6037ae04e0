package simulate

// Healthy27MHzFM is an invented set in working order: a 27 MHz FM receiver
// of the 12.5 kHz channel kind, 12 dB SINAD near 0.28 uV PD.
func Healthy27MHzFM() FM {
	return FM{
		Name:                "27 MHz FM set",
		NoiseFigureDB:       8,
		IFBandwidthHz:       7500,
		IFPoles:             5,
		Deemphasis:          DeemphasisSlope,
		StandardDeviationHz: 1200,
		Audio: AudioStage{
			OutputVolts: 1, HighPassHz: 250, HighPassPoles: 2, LowPassHz: 3400, LowPassPoles: 4,
			SecondPercent: 1.2, ThirdPercent: 0.8, ClipVolts: 6,
			Hum: Hum{MainsHz: 50, LinesDB: []float64{-62, -52, -70, -60}},
		},
	}
}

// Deaf27MHzFM is the same invented set with a fault: 10 dB of loss before
// its first amplifier, 12 dB SINAD near 0.9 uV PD.
func Deaf27MHzFM() FM {
	r := Healthy27MHzFM()
	r.Name = "27 MHz FM set with a deaf front end"
	r.FrontLossDB = 10
	return r
}

// PlainCard is an ordinary 48 kHz, 16-bit card with its gain set so that
// 1 V RMS is 18 dB below full scale, which leaves room for open hiss.
func PlainCard() SoundCard {
	return SoundCard{Rate: 48000, Bits: 16, FullScaleVolts: 7.943282347, NoiseDBFS: -85, DC: 0.0005, RateErrorPPM: 35}
}

// StandardGenerator modulates with 1 kHz at 1.2 kHz deviation.
func StandardGenerator() Generator {
	return Generator{ToneHz: 1000, DeviationHz: 1200}
}
