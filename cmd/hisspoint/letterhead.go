package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"hisspoint/capture/doors/read"
	"hisspoint/capture/job"
	"hisspoint/reports/doc"
	"hisspoint/reports/pdf"
)

// mostPicture is the largest file that a letterhead may have, in bytes, and mostPixels the
// widest and highest picture.
const (
	mostPicture = 1 << 20
	mostPixels  = 4000
)

// letterhead is the shop's picture, nil if it has none. An SVG needs a PNG of its name
// beside it: what is drawn in one differs from program to program, and a PDF takes none.
func letterhead(j *job.Job) (*doc.Picture, error) {
	file := j.Shop.PictureFile
	if file == "" {
		return nil, nil
	}
	p := &doc.Picture{}
	var err error
	if strings.EqualFold(filepath.Ext(file), ".svg") {
		if p.SVG, err = pictureFile(file); err != nil {
			return nil, err
		}
		if !isSVG(p.SVG) {
			return nil, fmt.Errorf("%s: is not an SVG picture; save it anew, or take a PNG", filepath.ToSlash(file))
		}
		beside := strings.TrimSuffix(file, filepath.Ext(file)) + ".png"
		if _, err := os.Stat(beside); errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%s: a PDF takes no SVG; save the picture as PNG as well, as %s beside it", filepath.ToSlash(file), filepath.Base(beside))
		}
		file = beside
	}
	name := filepath.ToSlash(file)
	if p.PNG, err = pictureFile(file); err != nil {
		return nil, err
	}
	c, err := png.DecodeConfig(bytes.NewReader(p.PNG))
	if err != nil || c.Width > mostPixels || c.Height > mostPixels || c.Width*c.Height == 0 {
		return nil, fmt.Errorf("%s: is not a PNG picture of at most %d by %d points; save it anew", name, mostPixels, mostPixels)
	}
	if _, err := png.Decode(bytes.NewReader(p.PNG)); err != nil {
		return nil, fmt.Errorf("%s: the PNG picture is damaged; save it anew", name)
	}
	p.Width, p.Height = c.Width, c.Height
	return p, nil
}

// pictureFile is what a picture's file holds.
func pictureFile(file string) ([]byte, error) {
	name := filepath.ToSlash(file)
	data, err := read.Whole(file, mostPicture)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%s: the shop's picture is not there; check its name in the shop's file", name)
	case errors.Is(err, read.ErrLarge):
		return nil, fmt.Errorf("%s: the picture is larger than 1 MiB; make it smaller", name)
	case err != nil:
		return nil, fmt.Errorf("%s: the picture cannot be read (%w); check it", name, err)
	}
	return data, nil
}

// warnOfGlyphs names the fields whose characters the PDF's fonts lack, each once.
func (a *app) warnOfGlyphs(j *job.Job) {
	fields := [][2]string{{"set", j.Set.Description}, {"maker", j.Set.Maker}, {"model", j.Set.Model}, {"customer", j.Customer}, {"contact", j.Contact},
		{"fault_reported", j.FaultReported}, {"work", strings.Join(j.Work, " ")}, {"reason", j.Reason}, {"technician", j.Technician}, {"heading", j.Shop.Heading}}
	for _, c := range j.Complaints {
		fields = append(fields, [2]string{"complaints", c.Reported + c.Work})
	}
	seen := map[string]bool{}
	for _, f := range fields {
		if r, lacks := pdf.Lacks(f[1]); lacks && !seen[f[0]] {
			seen[f[0]] = true
			fmt.Fprintf(a.stderr, "hisspoint: %s: the PDF's fonts lack %c, which shows as [U+%04X]; the HTML shows it\n", f[0], r, r)
		}
	}
}

// isSVG tells whether a file is well-formed XML whose root is svg.
func isSVG(data []byte) bool {
	d := xml.NewDecoder(bytes.NewReader(data))
	root := ""
	for {
		token, err := d.Token()
		if err != nil {
			return root == "svg" && err.Error() == "EOF"
		}
		if start, is := token.(xml.StartElement); is && root == "" {
			root = start.Name.Local
		}
	}
}
