package jobfile

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"strings"

	"hisspoint/capture/job"
)

//go:embed schema/*.json
var schemas embed.FS

// Where the schema of a job has what the table of kinds says, and that of limits what
// that of figures does.
const (
	testsPlace = `{
      "$comment": "generated from the table of test kinds"
    }`
	figuresPlace = `"generated from the table of figures"`
)

// Schema returns the JSON Schema (2020-12) of a kind of file: "job", "shop" or
// "limits". Editors use it to complete and explain keys. What it says of tests
// is made from the table of their kinds, and what a limit may bound from that of figures.
func Schema(kind string) ([]byte, error) {
	data, err := schemas.ReadFile("schema/" + kind + ".schema.json")
	if err != nil {
		return nil, fmt.Errorf("there is no schema for %q: use job, shop or limits", kind)
	}
	if kind != "job" {
		names := strings.Join(job.BoundedQuantities(), "\",\n              \"")
		return bytes.Replace(data, []byte(figuresPlace), []byte(`"`+names+`"`), 1), nil
	}
	tests, err := json.MarshalIndent(schemaOfTests(), "    ", "  ")
	if err != nil {
		return nil, fmt.Errorf("the schema cannot be made: %w", err)
	}
	return bytes.Replace(data, []byte(testsPlace), tests, 1), nil
}
