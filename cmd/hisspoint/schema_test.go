package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/reports"
)

// schemaOf compiles what `hisspoint schema` prints. Closed, it also refuses keys that it
// does not name, which a program that reads the object would not know of.
func schemaOf(t *testing.T, command string, closed bool) *jsonschema.Schema {
	t.Helper()
	var out, errs strings.Builder
	require.Zero(t, program([]string{"schema", command}, nil, &out, &errs), errs.String())
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(out.String()))
	require.NoError(t, err)
	if closed {
		closeObjects(doc)
	}
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("https://hisspoint.example/"+command, doc))
	schema, err := c.Compile("https://hisspoint.example/" + command)
	require.NoError(t, err)
	return schema
}

func closeObjects(v any) {
	switch v := v.(type) {
	case map[string]any:
		if _, has := v["properties"].(map[string]any); has && v["additionalProperties"] == nil {
			v["additionalProperties"] = false
		}
		for _, o := range v {
			closeObjects(o)
		}
	case []any:
		for _, o := range v {
			closeObjects(o)
		}
	}
}

// Whatever a command that takes --json comes to, one object is on standard output, and it
// fits the schema that the program prints for it, by a validator that this project did not
// write.
func TestJSONFitsItsSchema(t *testing.T) {
	made, err := demoOnce()
	require.NoError(t, err)
	dir := t.TempDir()
	require.NoError(t, made.place(dir))
	t.Chdir(dir)
	left := func(names ...string) (all []string) {
		for _, n := range names {
			all = append(all, filepath.Join("hisspoint-demo", "as-left", n+".wav"))
		}
		return all
	}
	series := left("0.56uV", "0.8uV", "1uV", "1.4uV", "2uV")
	with := func(words ...string) func(files ...string) []string {
		return func(files ...string) []string { return append(words, files...) }
	}
	runs := map[string][][]string{
		"measure": {with("measure")(left("2uV", "floor", "tones")...), {"measure", "nosuch.wav", series[0]}, {"measure", "nosuch.wav", "neither.wav"}, {"measure"}, {"measure", "--filter", "x", "a.wav"}},
		"sensitivity": {with("sensitivity", "--rf-pad-db", "10", "--limit", "0.5 uV PD, manual")(series...), with("sensitivity")(series[3:]...), with("sensitivity", "--criterion", "sinad 60 dB")(series...),
			{"sensitivity", "nosuch.wav"}},
		"squelch":      {with("squelch", "--limit", "250 ms")(left("keyed")...), with("squelch")(left("2uV")...), {"squelch", "nosuch.wav"}},
		"response":     {with("response", "--against", "pre-emphasis", "--monitor-curve", "750us")(left("tx-tones")...), with("response", "--compare", left("tx-tones")[0])(left("tones")...), with("response")(left("floor")...), {"response", "nosuch.wav"}},
		"report":       {{"report", "hisspoint-demo"}, {"report", "nosuch"}},
		"compare":      {{"compare", "hisspoint-demo"}, {"compare", "hisspoint-demo", "nosuch"}},
		"limits":       {{"limits"}, {"limits", "fm-27mhz"}, {"limits", "am-receiver"}, {"limits", "nosuch"}},
		"signals":      {{"signals", "made"}, {"signals", "made"}},
		"carrier-null": {{"carrier-null"}, {"carrier-null", "x"}},
		"version":      {{"version"}, {"version", "x"}},
		"demo":         {{"demo", "--dir", filepath.Join("nosuch", "folder")}},
		"card":         {{"card", "nosuch.wav"}},
		"record":       {{"record", "nosuch", "--device", "-"}},
		"watch":        {{"watch", "--device", "-", "--rate", "8000"}, {"watch", "--device", "-", "--rate", "8000", "--aim", "x"}},
	}
	for _, command := range reports.Described() {
		require.NotEmpty(t, runs[command], "nothing is tried of %s", command)
		schema := schemaOf(t, command, true)
		for _, args := range runs[command] {
			var out, errs bytes.Buffer
			code := program(append(slices.Clone(args), "--json"), bytes.NewReader(toneBytes(2)), &out, &errs)
			objects := objectsOf(t, out.Bytes(), strings.Join(args, " "))
			if command != "watch" {
				assert.Len(t, objects, 1, "%v: %s", args, errs.String())
			}
			for _, o := range objects {
				assert.NoError(t, schema.Validate(o), "%v", args)
			}
			if m, _ := objects[0].(map[string]any); m["errors"] != nil {
				assert.Equal(t, exitTrouble, code, "%v", args)
				assert.Contains(t, errs.String(), m["errors"].([]any)[0])
			}
		}
	}
	schema := schemaOf(t, "version", false)
	assert.Error(t, schema.Validate(map[string]any{"schema": 2, "tool": "hisspoint", "version": "1", "command": "version"}), "another shape")
	assert.Error(t, schema.Validate(map[string]any{"schema": 1, "tool": "hisspoint", "version": "1"}), "a key is missing")
}

// Every command that takes --json has a schema, and no other.
func TestEveryJSONHasASchema(t *testing.T) {
	a := &app{}
	var with []string
	for _, c := range a.root().Commands() {
		if c.Flags().Lookup("json") != nil {
			with = append(with, c.Name())
		}
		for _, below := range c.Commands() {
			assert.Nil(t, below.Flags().Lookup("json"), below.CommandPath())
		}
	}
	assert.ElementsMatch(t, with, reports.Described())
}

func objectsOf(t *testing.T, data []byte, args string) (all []any) {
	t.Helper()
	for d := json.NewDecoder(bytes.NewReader(data)); d.More(); {
		var v any
		require.NoError(t, d.Decode(&v), args)
		all = append(all, v)
	}
	require.NotEmpty(t, all, "%s: nothing on standard output", args)
	return all
}

// toneBytes is a tone of 1 kHz as raw samples of 16 bits, 8000 a second.
func toneBytes(seconds int) []byte {
	var out []byte
	for i := range 8000 * seconds {
		out = binary.LittleEndian.AppendUint16(out, uint16(int16(8000*math.Sin(2*math.Pi*float64(i)/8))))
	}
	return out
}
