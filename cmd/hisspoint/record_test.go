package main

import (
	"encoding/binary"
	"math"
	"os"

	"github.com/rogpeppe/go-internal/testscript"

	"hisspoint/capture"
)

func init() { scriptCommands["raw"] = rawSamples }

// raw WAV FILE writes the channels of a recording as raw samples of 16 bits.
func rawSamples(ts *testscript.TestScript, _ bool, args []string) {
	f, err := capture.Open(ts.MkAbs(args[0]))
	ts.Check(err)
	defer f.Close()
	n := len(f.Channels)
	data := make([]byte, 2*n*int(f.Channels[0].Count))
	for c, r := range f.Channels {
		at := c
		for block, err := range r.Blocks() {
			ts.Check(err)
			for _, v := range block {
				binary.LittleEndian.PutUint16(data[2*at:], uint16(int16(math.Round(v*32768))))
				at += n
			}
		}
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), data, 0o644))
}
