package jobfile

import (
	"embed"
	"fmt"
)

//go:embed schema/*.json
var schemas embed.FS

// Schema returns the JSON Schema (2020-12) of a kind of file: "job", "shop" or
// "limits". Editors use it to complete and explain keys.
func Schema(kind string) ([]byte, error) {
	data, err := schemas.ReadFile("schema/" + kind + ".schema.json")
	if err != nil {
		return nil, fmt.Errorf("there is no schema for %q: use job, shop or limits", kind)
	}
	return data, nil
}
