package kind

import (
	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// TransmitDistortion is the distortion of what a monitor receiver hears of the
// transmitter, as Distortion measures it. A monitor with de-emphasis lowers the
// harmonics, by 6 dB and more, so what is read is what a listener hears, less than
// what is transmitted.
func TransmitDistortion(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	r, err := Distortion(t, rs)
	if r.Why == "" {
		r.Says = append(r.Says, note.Phrase("It is what the monitor hears: its own distortion is in it, and its de-emphasis lowers harmonics."))
	}
	return r, err
}

// TransmitHumNoise is the hum and noise of the transmitter through a monitor
// receiver: standard modulation against the carrier with the microphone shorted,
// as HumNoise measures it. The monitor's own hum and noise are in it.
func TransmitHumNoise(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	r, err := HumNoise(t, rs)
	if r.Why == "" {
		r.Says = append(r.Says, note.Phrase("The monitor's own hum and noise are in it: the transmitter is at least as good."))
	}
	return r, err
}
