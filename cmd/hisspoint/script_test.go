package main

import (
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"hisspoint/capture/simulate"
	"hisspoint/capture/soundcard/loopback"
	"hisspoint/capture/wav"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"hisspoint": main, "hisspoint-served": serve})
}

// scriptCommands are what scripts know beside the usual.
var scriptCommands = map[string]func(*testscript.TestScript, bool, []string){
	"exits": exits, "tone": makeTone, "bench": makeBench, "lines": countLines, "steps": makeSteps, "loop": makeLoop, "keyed": makeKeyed, "cut": cutFile, "replaced": withoutLine, "keyed-often": makeKeyedOften,
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata/script", Cmds: scriptCommands, Setup: withServer})
}

// exits CODE COMMAND [ARG...] runs a command that has to end with that code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	var got int
	if canBeServed(args[1], args[2:]) {
		got = served(ts, args[2:])
	} else {
		got = ownProcess(ts, args[1:])
	}
	if (got == want) == neg {
		ts.Fatalf("%s ended with exit code %d", strings.Join(args[1:], " "), got)
	}
}

func ownProcess(ts *testscript.TestScript, command []string) int {
	err := ts.Exec(command[0], command[1:]...)
	var failed *exec.ExitError
	if errors.As(err, &failed) {
		return failed.ExitCode()
	}
	ts.Check(err)
	return 0
}

// lines stdout|stderr N asks for that many lines of what was just run.
func countLines(ts *testscript.TestScript, _ bool, args []string) {
	want, err := strconv.Atoi(args[1])
	ts.Check(err)
	text := ts.ReadFile(args[0])
	if got := strings.Count(text, "\n"); got != want {
		ts.Fatalf("%s has %d lines, not %d:\n%s", args[0], got, want, text)
	}
}

// tone FILE [key=value...] writes a recording of a tone in white noise:
// hz=1000, level=-18 dBFS, noise=-40 dBFS (over the whole band), seconds=2,
// rate=16000, silent=1 (channels without sound before the tone), generator=1 (channels
// behind it with the generator's own tone, of 0.5).
func makeTone(ts *testscript.TestScript, _ bool, args []string) {
	v := map[string]float64{"hz": 1000, "level": -18, "noise": -40, "seconds": 2, "rate": 16000, "silent": 0, "generator": 0, "seed": 1}
	for _, a := range args[1:] {
		key, text, _ := strings.Cut(a, "=")
		if _, ok := v[key]; !ok {
			ts.Fatalf("tone: %s is no key", key)
		}
		var err error
		v[key], err = strconv.ParseFloat(text, 64)
		ts.Check(err)
	}
	n := int(v["seconds"] * v["rate"])
	r := rand.New(rand.NewPCG(uint64(v["seed"]), 1))
	amplitude, sigma := math.Pow(10, v["level"]/20), math.Sqrt(0.5)*math.Pow(10, v["noise"]/20)
	x := make([]float64, n)
	for i := range x {
		x[i] = amplitude*math.Sin(2*math.Pi*v["hz"]*float64(i)/v["rate"]) + sigma*r.NormFloat64()
	}
	var channels [][]float64
	for range int(v["silent"]) {
		channels = append(channels, make([]float64, n))
	}
	channels = append(channels, x)
	for range int(v["generator"]) {
		own := make([]float64, n)
		for i := range own {
			own[i] = 0.5 * math.Sin(2*math.Pi*v["hz"]*float64(i)/v["rate"])
		}
		channels = append(channels, own)
	}
	ts.Check(wav.WriteFile(ts.MkAbs(args[0]), wav.Format{Rate: int(v["rate"]), Bits: 16}, channels...))
}

// loop FILE NOISE writes the recording of a loop-back at 16 kHz through a card with
// white noise of its own, dBFS over the whole band.
func makeLoop(ts *testscript.TestScript, _ bool, args []string) {
	noise, err := strconv.ParseFloat(args[1], 64)
	ts.Check(err)
	const rate = 16000
	r, x := rand.New(rand.NewPCG(9, 1)), loopback.Samples(rate)
	for i := range x {
		x[i] = 0.5*x[i] + math.Sqrt(0.5)*math.Pow(10, noise/20)*r.NormFloat64()
	}
	ts.Check(wav.WriteFile(ts.MkAbs(args[0]), wav.Format{Rate: rate, Bits: 24}, x))
}

// bench FILE LEVEL [off|unmodulated|NOISE] writes 2 s of a simulated set in working
// order, at a level in µV PD and 16 kHz. With NOISE the card gets 20 dB less audio,
// and has white noise of that many dBFS over the whole band.
func makeBench(ts *testscript.TestScript, _ bool, args []string) {
	uv, err := strconv.ParseFloat(args[1], 64)
	ts.Check(err)
	s := simulate.Segment{Seconds: 2, LevelDBm: simulate.DBmFromMicrovoltPD(uv)}
	if len(args) > 2 {
		s.Off, s.Unmodulated = args[2] == "off", args[2] == "unmodulated"
	}
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: simulate.PlainCard(), Seed: uint64(1000 * uv)}
	b.Card.Rate = 16000
	if len(args) > 2 && strings.HasPrefix(args[2], "-") {
		b.Card.NoiseDBFS, err = strconv.ParseFloat(args[2], 64)
		ts.Check(err)
		b.Card.FullScaleVolts *= 10
	}
	ts.Check(wav.WriteFile(ts.MkAbs(args[0]), wav.Format{Rate: b.Card.Rate, Bits: b.Card.Bits}, b.Record(s)))
}

// steps FILE DBM... writes one recording of a simulated set in working order
// with 2.5 s at each level.
func makeSteps(ts *testscript.TestScript, _ bool, args []string) {
	var segments []simulate.Segment
	for _, a := range args[1:] {
		dbm, err := strconv.ParseFloat(a, 64)
		ts.Check(err)
		segments = append(segments, simulate.Segment{Seconds: 2.5, LevelDBm: dbm})
	}
	b := simulate.Bench{Generator: simulate.StandardGenerator(), Set: simulate.Healthy27MHzFM(), Card: simulate.PlainCard(), Seed: 7}
	b.Card.Rate = 16000
	ts.Check(wav.WriteFile(ts.MkAbs(args[0]), wav.Format{Rate: b.Card.Rate, Bits: b.Card.Bits}, b.Record(segments...)))
}

// keyed FILE FROM-TO writes 2 s of a set that is muted but while a tone is there.
func makeKeyed(ts *testscript.TestScript, _ bool, args []string) {
	from, to, _ := strings.Cut(args[1], "-")
	first, err := strconv.ParseFloat(from, 64)
	ts.Check(err)
	last, err := strconv.ParseFloat(to, 64)
	ts.Check(err)
	const rate = 16000
	r := rand.New(rand.NewPCG(3, 1))
	x := make([]float64, 2*rate)
	for i := range x {
		x[i] = 1e-4 * r.NormFloat64()
		if at := float64(i) / rate; first <= at && at < last {
			x[i] = 0.3*math.Sin(2*math.Pi*1000*at) + 0.01*r.NormFloat64()
		}
	}
	ts.Check(wav.WriteFile(ts.MkAbs(args[0]), wav.Format{Rate: rate, Bits: 16}, x))
}

// cut FILE takes the last ten bytes off a file, as a full disk or a pulled plug does.
func cutFile(ts *testscript.TestScript, _ bool, args []string) {
	name := ts.MkAbs(args[0])
	info, err := os.Stat(name)
	ts.Check(err)
	ts.Check(os.Truncate(name, info.Size()-10))
}

// keyed-often FILE writes 6 s of a set that is muted but for three seconds with a tone.
func makeKeyedOften(ts *testscript.TestScript, _ bool, args []string) {
	const rate = 16000
	r := rand.New(rand.NewPCG(5, 1))
	x := make([]float64, 6*rate)
	for i := range x {
		x[i] = 1e-4 * r.NormFloat64()
		if at := float64(i) / rate; math.Mod(at, 2) > 0.8 && math.Mod(at, 2) < 1.8 {
			x[i] = 0.3*math.Sin(2*math.Pi*1000*at) + 0.01*r.NormFloat64()
		}
	}
	ts.Check(wav.WriteFile(ts.MkAbs(args[0]), wav.Format{Rate: rate, Bits: 16}, x))
}

// replaced FILE WORD takes the lines with a word out of a file, as an editor does.
func withoutLine(ts *testscript.TestScript, _ bool, args []string) {
	var kept []string
	for _, line := range strings.Split(ts.ReadFile(args[0]), "\n") {
		if !strings.Contains(line, args[1]) {
			kept = append(kept, line)
		}
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Join(kept, "\n")), 0o644))
}
