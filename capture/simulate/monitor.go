package simulate

// Monitor is an invented receiver for listening to an FM transmitter: a wide
// IF, a straight detector and flat audio behind its de-emphasis, 1 V for
// 3 kHz deviation at 1 kHz.
func Monitor(curve Deemphasis) FM {
	return FM{
		Name: "monitor receiver", NoiseFigureDB: 10, IFBandwidthHz: 16000, IFPoles: 6, Deemphasis: curve,
		StandardDeviationHz: 3000,
		Audio:               AudioStage{OutputVolts: 1, CouplingHz: 20, ClipVolts: 8, NoiseVolts: 0.0005},
	}
}

// AMMonitor is the same for an AM transmitter: 1 V for 30 % at 1 kHz.
func AMMonitor() AM {
	return AM{
		Name: "AM monitor receiver", NoiseFigureDB: 10, IFBandwidthHz: 12000, IFPoles: 6,
		AGC:   AGC{ThresholdDBm: -90, RatioDB: 20, AttackS: 0.1, DecayS: 0.3},
		Audio: AudioStage{OutputVolts: 1, CouplingHz: 20, ClipVolts: 8, NoiseVolts: 0.0005},
	}
}

// DetectorTap is a set whose detector is recorded directly: no de-emphasis,
// no audio stage, no hum, flat to DC as far as the card is.
func DetectorTap(r FM) FM {
	r.Name += ", its detector recorded"
	r.Deemphasis = DeemphasisNone
	r.Audio = AudioStage{OutputVolts: r.Audio.OutputVolts}
	return r
}
