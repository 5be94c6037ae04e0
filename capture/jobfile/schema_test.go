package jobfile

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/limitfile"
	"hisspoint/capture/jobfile/yamlfile"
)

func TestSchemasHaveTheKeysThatAreRead(t *testing.T) {
	for kind, shape := range map[string]reflect.Type{
		"job": reflect.TypeFor[jobShape](), "shop": reflect.TypeFor[shopShape](), "limits": reflect.TypeFor[limitfile.File](),
	} {
		data, err := Schema(kind)
		require.NoError(t, err)
		var root map[string]any
		require.NoError(t, json.Unmarshal(data, &root))
		sameKeys(t, kind, root, root, shape)
	}
	_, err := Schema("nothing")
	assert.EqualError(t, err, `there is no schema for "nothing": use job, shop or limits`)
}

func sameKeys(t *testing.T, at string, root, node map[string]any, shape reflect.Type) {
	for shape.Kind() == reflect.Pointer {
		shape = shape.Elem()
	}
	if ref, ok := node["$ref"].(string); ok {
		node = root["$defs"].(map[string]any)[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any)
	}
	assert.NotEmpty(t, node["description"], "%s has no description", at)
	if shape.Kind() == reflect.Slice {
		assert.Equal(t, "array", node["type"], at)
		sameKeys(t, at+"[]", root, node["items"].(map[string]any), shape.Elem())
		return
	}
	keys := yamlfile.KeysOf(shape)
	if len(keys) == 0 || shape == reflect.TypeFor[meterLimit]() || shape == reflect.TypeFor[complaintShape]() {
		return
	}
	assert.Equal(t, false, node["additionalProperties"], at)
	properties := node["properties"].(map[string]any)
	var have []string
	for k := range properties {
		have = append(have, k)
	}
	slices.Sort(have)
	slices.Sort(keys)
	assert.Equal(t, keys, have, at)
	for i := range shape.NumField() {
		if key := shape.Field(i).Tag.Get("yaml"); key != "" && properties[key] != nil {
			sameKeys(t, at+"."+key, root, properties[key].(map[string]any), shape.Field(i).Type)
		}
	}
}

// A validator and a YAML reader that this project did not write say the same
// of whole files as the reader here.
func TestSchemasAgainstFiles(t *testing.T) {
	check := func(kind, file string) error {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		asJSON, err := yaml.YAMLToJSON(data)
		if err != nil {
			return err
		}
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(asJSON))
		if err != nil {
			return err
		}
		return compiled(t, kind).Validate(value)
	}
	assert.NoError(t, check("job", folder+"/good/job.yaml"))
	assert.NoError(t, check("shop", folder+"/good/shop.yaml"))
	assert.NoError(t, check("limits", folder+"/good/my-limits.yaml"))
	profiles, err := filepath.Glob("../../analyze/limit/profiles/*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, profiles)
	for _, p := range profiles {
		assert.NoError(t, check("limits", p), p)
	}
	for _, wrong := range []string{"unknown-key", "unknown-key-nested", "unknown-key-in-test", "unknown-round", "unknown-kind", "no-job", "mode", "outcome", "decide",
		"date", "list-is-text", "text-is-list", "entries-are-text", "level-missing", "check-answer", "meter-without-what", "stanza-key-foreign", "stanza-is-text", "part-missing", "setting-word", "limit-foreign", "uncertainty-without-db", "uncertainty-distribution", "issued", "meter-limit-half", "not-measured-why"} {
		assert.Error(t, check("job", folder+"/broken/"+wrong+".yaml"), wrong)
	}
}

func compiled(t *testing.T, kind string) *jsonschema.Schema {
	data, err := Schema(kind)
	require.NoError(t, err)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("schema.json", doc))
	s, err := c.Compile("schema.json")
	require.NoError(t, err)
	return s
}

func TestSchemaKnowsTheQuantities(t *testing.T) {
	data, err := Schema("limits")
	require.NoError(t, err)
	for _, q := range job.BoundedQuantities() {
		assert.Contains(t, string(data), `"`+q+`"`)
	}
}
