package main

import (
	"encoding/binary"
	"math"
	"os"

	"github.com/rogpeppe/go-internal/testscript"

	"hisspoint/capture"
)

func init() { scriptCommands["raw"] = rawSamples }

// raw WAV FILE writes the first channel of a recording as raw samples of 16 bits.
func rawSamples(ts *testscript.TestScript, _ bool, args []string) {
	f, err := capture.Open(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	var data []byte
	for block, err := range f.Channels[0].Blocks() {
		ts.Check(err)
		for _, v := range block {
			data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(v*32768))))
		}
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), data, 0o644))
}
