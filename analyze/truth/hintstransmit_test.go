package truth_test

import (
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/hint"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
	sound "hisspoint/capture/signal"
	"hisspoint/capture/simulate"
	"hisspoint/capture/unit"
)

// transmitRound is the tests of a transmitter that hints look at: 2 kHz rated
// deviation, through a monitor of 750 us.
func transmitRound(t *testing.T, b simulate.TransmitBench) []hint.Tested {
	t.Helper()
	var all []hint.Tested
	run := func(s job.Setup, of analyze.Analysis, rs ...capture.Recording) {
		r, err := of(s, rs)
		require.NoError(t, err)
		all = append(all, hint.Tested{Kind: s.Kind, Result: &r})
	}
	settings := func(more map[string]string) map[string]string {
		more[job.SettingMonitorCurve] = analyze.Monitor750us
		return more
	}
	s := transmitSetup(job.KindTransmitResponse, settings(map[string]string{job.SettingSignal: analyze.ResponseStepped}), job.Take{File: "tx.wav"})
	s.Monitor.Name = analyze.Monitor750us
	run(s, kind.ResponseTest, b.Recording("tx.wav", sound.Stepped(16000, sound.StandardSteps(3), -36, 0.4).Samples, 16000))

	s = transmitSetup(job.KindLimiter, settings(map[string]string{job.SettingReferenceDeviation: "1.5 kHz", job.SettingRatedDeviation: "2 kHz"}))
	var rs []capture.Recording
	for _, db := range []float64{-38, -32, -26, -16, -4} {
		s.Takes = append(s.Takes, job.Take{At: db, AtTyped: "x dB"})
		rs = append(rs, b.Recording("in.wav", sine(1000, math.Pow(10, db/20), 1), 16000))
	}
	run(s, kind.Limiter, append(rs, capture.FromSamples("reference.wav", 16000, b.Substitute(1000, 1500, 1.5)))...)

	standard := b.Recording("tx.wav", sine(1000, math.Pow(10, -26.0/20), 1.5), 16000)
	off := unit.Level{Scale: unit.Off}
	s = job.Setup{Kind: job.KindTransmitHumNoise, Mode: job.FM, Stanza: job.Stanza{Takes: []job.Take{{File: "a", State: job.StateModulated, Level: off}, {File: "b", State: job.StateCarrier, Level: off}}}}
	run(s, kind.TransmitHumNoise, standard, b.WithSeed(b.Seed+1).Recording("b.wav", make([]float64, 24000), 16000))
	run(job.Setup{Kind: job.KindTransmitDistortion, Mode: job.FM, Stanza: job.Stanza{Takes: []job.Take{{File: "a"}}}}, kind.TransmitDistortion, standard)
	return all
}

// Each fault of a transmitter brings its hint, one in working order none.
func TestTransmitFaultsBringTheirHints(t *testing.T) {
	want := map[string]string{
		"no pre-emphasis": "bassy-transmit", "oversized bypass": "bassy-transmit", "wrong insert": "bassy-transmit",
		"dried coupling capacitor": "thin-transmit", "limiter set high": "over-deviation", "no limiter": "no-limiter",
		"transmit hum": "transmit-hum", "noisy microphone amplifier": "transmit-noise", "distorting modulator": "modulator",
	}
	short := map[string]bool{"dried coupling capacitor": true, "transmit hum": true}
	assert.Empty(t, names(hint.All(transmitRound(t, transmitBench(simulate.Monitor(simulate.Deemphasis750us), 30)))))
	for _, fault := range simulate.TransmitFaults() {
		name, has := want[fault.Name]
		if !has || os.Getenv("HISSPOINT_LONG") != "1" && !short[fault.Name] {
			continue
		}
		b := fault.On(transmitBench(simulate.Monitor(simulate.Deemphasis750us), 31))
		hints := names(hint.All(transmitRound(t, b)))
		assert.Contains(t, hints, name, fault.Name)
		t.Logf("%s: %v", fault.Name, hints)
	}
}
