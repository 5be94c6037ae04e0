package jobfile

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
)

//go:embed schema/*.json
var schemas embed.FS

// testsPlace is where the schema of a job has what the table of kinds says.
const testsPlace = `{
      "$comment": "generated from the table of test kinds"
    }`

// Schema returns the JSON Schema (2020-12) of a kind of file: "job", "shop" or
// "limits". Editors use it to complete and explain keys. What it says of tests
// is made from the table of their kinds.
func Schema(kind string) ([]byte, error) {
	data, err := schemas.ReadFile("schema/" + kind + ".schema.json")
	if err != nil {
		return nil, fmt.Errorf("there is no schema for %q: use job, shop or limits", kind)
	}
	if kind != "job" {
		return data, nil
	}
	tests, err := json.MarshalIndent(schemaOfTests(), "    ", "  ")
	if err != nil {
		return nil, fmt.Errorf("the schema cannot be made: %w", err)
	}
	return bytes.Replace(data, []byte(testsPlace), tests, 1), nil
}
