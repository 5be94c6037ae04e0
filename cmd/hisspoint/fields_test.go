package main

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Whatever is typed into a field or lies where a picture should be: one line that names
// the file, exit code 3, and nothing written.
func TestFieldsThatCannotBe(t *testing.T) {
	long := strings.Repeat("x", 5000)
	const shop, picture = "shop.yaml", "picture: logo.png\n"
	for name, c := range map[string]struct {
		says  string
		files map[string]string
	}{
		"a text of 5,000 characters":        {"5000 characters, and 2000 are the most", map[string]string{"job.yaml": "customer: " + long}},
		"a complaint of 5,000 characters":   {"5000 characters, and 2000 are the most", map[string]string{"job.yaml": "complaints: [{reported: \"" + long + "\"}]"}},
		"a reading of 5,000 characters":     {"5000 characters, and 2000 are the most", map[string]string{"job.yaml": "rounds: {as_found: {meter_readings: [{what: \"" + long + "\", value: 1 V}]}}"}},
		"a shop's text of 5,000 characters": {"5000 characters, and 2000 are the most", map[string]string{shop: "heading: " + long}},
		"control characters":                {"U\\+001B", map[string]string{"job.yaml": `customer: "A \x1b[31m B"`}},
		"a complaint without its test":      {"hums", map[string]string{"job.yaml": "complaints: [{reported: it hums, tests: [hums]}]"}},
		"a picture that is no picture":      {"is not a PNG picture", map[string]string{shop: picture, "logo.png": "GIF89a"}},
		"a picture cut short":               {"is not a PNG picture", map[string]string{shop: picture, "logo.png": "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"}},
		"a picture that is not there":       {"picture is not there", map[string]string{shop: picture}},
		"a picture from elsewhere":          {"passwd", map[string]string{shop: "picture: ../../../etc/passwd\n"}},
		"an SVG that is none":               {"is not an SVG picture", map[string]string{shop: "picture: logo.svg\n", "logo.svg": "<html/>"}},
		"an SVG without its PNG":            {"as PNG as well, as logo.png", map[string]string{shop: "picture: logo.svg\n", "logo.svg": `<svg xmlns="http://www.w3.org/2000/svg"/>`}},
	} {
		t.Run(name, func(t *testing.T) {
			dir, files := t.TempDir(), c.files
			text := "job: \"1\"\nset: {description: invented set, serial: \"1\", mode: fm}\n" + files["job.yaml"]
			if files[shop] != "" {
				text += "\nshop: shop.yaml\n"
			}
			if !strings.Contains(text, "rounds:") {
				text += "\nrounds: {as_found: {tests: [{distortion: {}}]}}\n"
			}
			for file, content := range files {
				require.NoError(t, os.WriteFile(filepath.Join(dir, file), []byte(content), 0o600))
			}
			require.NoError(t, os.WriteFile(filepath.Join(dir, "job.yaml"), []byte(text), 0o600))
			before, err := os.ReadDir(dir)
			require.NoError(t, err)
			var stdout, stderr strings.Builder
			assert.Equal(t, exitTrouble, program([]string{"report", dir}, nil, &stdout, &stderr), stderr.String())
			assert.Equal(t, 1, strings.Count(stderr.String(), "\n"), "%.300s", stderr.String())
			assert.Less(t, len(stderr.String()), 500, "what was typed is not said back")
			assert.Regexp(t, `\.(yaml|png|svg).*: .*`+c.says, stderr.String())
			assert.NotContains(t, stderr.String(), "\x1b")
			after, err := os.ReadDir(dir)
			require.NoError(t, err)
			assert.Equal(t, len(before), len(after), "nothing is written")
		})
	}
}

// A letterhead drawn as SVG stands in the HTML as it is, and as its PNG in the PDF.
func TestLetterhead(t *testing.T) {
	dir := t.TempDir()
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewGray(image.Rect(0, 0, 30, 10))))
	for file, content := range map[string]string{
		"logo.png": b.String(), "logo.svg": `<svg xmlns="http://www.w3.org/2000/svg" width="30" height="10"/>`,
		"shop.yaml": "heading: Invented Workshop\npicture: logo.svg\n",
		"job.yaml":  "job: \"1\"\nset: {description: invented set, mode: fm}\nshop: shop.yaml\nrounds: {as_found: {checks: [{what: keys, answer: yes}]}}\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, file), []byte(content), 0o600))
	}
	var stdout, stderr strings.Builder
	program([]string{"report", dir}, nil, &stdout, &stderr)
	page, err := os.ReadFile(filepath.Join(dir, "report.html"))
	require.NoError(t, err, stderr.String())
	assert.Contains(t, string(page), "data:image/svg+xml;base64,")
	sheet, err := os.ReadFile(filepath.Join(dir, "report.pdf"))
	require.NoError(t, err)
	assert.Contains(t, string(sheet), "/Subtype /Image")
}
