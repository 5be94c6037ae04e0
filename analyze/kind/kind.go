// Package kind has a file for each kind of test: what its recordings become, the most
// telling figure first. A new measurement goes here. It must not know cards, limits or
// hints, which look at its results, nor the rows of other kinds.
package kind

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// analyses has the computation of each kind of test.
var analyses = map[string]analyze.Analysis{
	job.KindSensitivity:        Sensitivity,
	job.KindBenchFloor:         BenchFloor,
	job.KindLeakage:            Leakage,
	job.KindHiss:               Hiss,
	job.KindQuieting:           Quieting,
	job.KindSignalNoise:        SignalNoise,
	job.KindHumNoise:           HumNoise,
	job.KindDistortion:         Distortion,
	job.KindAudioPower:         AudioPower,
	job.KindResponse:           ResponseTest,
	job.KindLevelCurve:         LevelCurve,
	job.KindSquelch:            Squelch,
	job.KindSquelchLevels:      SquelchLevels,
	job.KindCentring:           Centring,
	job.KindDegradation:        Degradation,
	job.KindTransmitResponse:   ResponseTest,
	job.KindSpeechBalance:      SpeechBalance,
	job.KindDeviation:          Deviation,
	job.KindLimiter:            Limiter,
	job.KindTransmitDistortion: TransmitDistortion,
	job.KindTransmitHumNoise:   TransmitHumNoise,
	job.KindModulationDepth:    ModulationDepth,
}

// Run runs a test of any kind. The recordings stand as an
// analyze.Analysis takes them. Recordings that do not fit the test give a Result that
// says why; a kind without an analysis is an error.
func Run(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	run, known := analyses[t.Kind]
	if !known {
		return analyze.Result{}, fmt.Errorf("%s: no analysis is known of tests of kind %q", t.Label(), t.Kind)
	}
	return run(t, rs)
}
