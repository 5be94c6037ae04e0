package reports

import (
	"embed"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

//go:embed schema
var schemas embed.FS

// JobSchema is the JSON Schema (2020-12) of report.json, the record of a job.
func JobSchema() []byte {
	data, _ := schemas.ReadFile("schema/report.schema.json") // embedded: it is there
	return data
}

// writtenAs are commands that write the object of another one.
var writtenAs = map[string]string{"record": "measure", "demo": "report"}

// Described lists the commands whose --json has a schema.
func Described() (names []string) {
	files, _ := schemas.ReadDir("schema")
	for _, f := range files {
		names = append(names, strings.TrimSuffix(f.Name(), ".schema.json"))
	}
	for name := range writtenAs {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// CommandSchema is the JSON Schema (2020-12) of what a command writes on standard output
// with --json: its result, or the one object that says why there is none. Of watch it is
// that of each line.
func CommandSchema(command string) ([]byte, error) {
	name := command
	if as, other := writtenAs[command]; other {
		name = as
	}
	result, err := schemas.ReadFile("schema/" + name + ".schema.json")
	if err != nil {
		return nil, fmt.Errorf("schema: %q is no command that takes --json; give one of %s", command, strings.Join(Described(), ", "))
	}
	// The result's own references start at its root, which its $id keeps apart.
	result = append([]byte("{\"$id\": \"result\",\n"), result[1:]...)
	text := object{{"type", "string"}}
	all := object{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"}, {"title", "hisspoint " + command + " --json"},
		{"anyOf", []object{{{"$ref", "result"}}, {{"$ref", "#/$defs/failure"}}}},
		{"$defs", object{
			{"result", json.RawMessage(result)},
			{"failure", object{{"description", "Why there is no result."}, {"type", "object"},
				{"required", []string{"schema", "tool", "version", "command", "errors"}},
				{"properties", object{{"schema", object{{"const", Schema}}}, {"tool", object{{"const", Tool}}}, {"version", text}, {"command", text},
					{"errors", object{{"type", "array"}, {"minItems", 1}, {"items", text}}}}}}},
		}},
	}
	data, err := json.MarshalIndent(all, "", " ")
	return append(data, '\n'), err
}

// Failure is what a command writes with --json where it has no result.
type Failure struct {
	Version, Command string
	Errors           []string // a line each
}

// MarshalJSON writes it in the shape of every command.
func (f Failure) MarshalJSON() ([]byte, error) {
	return marshal(object{{"schema", Schema}, {"tool", Tool}, {"version", f.Version}, {"command", f.Command}, {"errors", f.Errors}})
}
