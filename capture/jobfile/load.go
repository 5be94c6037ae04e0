package jobfile

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	door "hisspoint/capture/doors/read"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/limitfile"
	"hisspoint/capture/jobfile/yamlfile"
	"hisspoint/capture/unit"
)

// Name is the name of a job file within its folder.
const Name = "job.yaml"

// Load reads a job from its file, or from the job.yaml of a folder, together
// with the shop file and the limit files that it names. Recordings are not
// read, and need not be there yet; a name that leads out of the job's folder,
// be it through a link, is an error.
func Load(fileOrFolder string) (*job.Job, error) {
	file := fileOrFolder
	if info, err := os.Stat(file); err == nil && info.IsDir() {
		file = filepath.Join(file, Name)
		if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%s: no %s in this folder: make one with hisspoint job new", slashed(fileOrFolder), Name)
		}
	}
	data, err := read(file)
	if err != nil {
		return nil, err
	}
	c, err := decoded(slashed(file), data)
	if err != nil {
		return nil, err
	}
	c.job.Dir = filepath.Dir(file)
	noShop := c.readShop() // it says what the round's levels mean; what is wrong with the job is told first
	if err := c.convert(); err != nil {
		return nil, err
	}
	if err := c.inside(); err != nil {
		return nil, err
	}
	if noShop != nil {
		return nil, noShop
	}
	if err := c.profiles(); err != nil {
		return nil, err
	}
	return c.job, nil
}

// Parse reads a job from memory. file is named in errors. Neither the shop
// file nor limit files are read, and names of recordings are only checked as
// names.
func Parse(file string, data []byte) (*job.Job, error) {
	c, err := parse(file, data)
	if err != nil {
		return nil, err
	}
	return c.job, nil
}

// ParseShop reads a shop file from memory. file is named in errors.
func ParseShop(file string, data []byte) (job.Shop, error) {
	n, err := yamlfile.Parse(file, data)
	if err != nil {
		return job.Shop{}, err
	}
	c := converter{n: n, job: &job.Job{}}
	var s shopShape
	if err := n.Decode(&s); err != nil {
		return job.Shop{}, err
	}
	return c.shop(s)
}

// ParseTest reads one test as it is written in a job file, such as the Sketch
// of a kind. level says what µV without PD or EMF mean.
func ParseTest(text string, level unit.LevelKind) (job.Test, error) {
	n, err := yamlfile.Parse("test", []byte(text))
	if err != nil {
		return job.Test{}, err
	}
	var t testShape
	if err := n.Decode(&t); err != nil {
		return job.Test{}, err
	}
	c := converter{n: n, job: &job.Job{}}
	return c.test(t, level)
}

func parse(file string, data []byte) (*converter, error) {
	c, err := decoded(file, data)
	if err != nil {
		return nil, err
	}
	return c, c.convert()
}

// decoded is a job file as it is written.
func decoded(file string, data []byte) (*converter, error) {
	n, err := yamlfile.Parse(file, data)
	if err != nil {
		return nil, err
	}
	c := &converter{n: n, job: &job.Job{}}
	return c, n.Decode(&c.shape)
}

// read reads a small file, and never more of it than a file of this kind may have.
func read(file string) ([]byte, error) {
	data, err := door.Whole(file, yamlfile.MaxBytes)
	switch {
	case errors.Is(err, door.ErrFolder), errors.Is(err, door.ErrDevice):
		return nil, fmt.Errorf("%s: is not a file that can be read: name a job file or its folder", slashed(file))
	case errors.Is(err, door.ErrLarge) && sound(beginning(file)):
		return nil, notAJob(file)
	case errors.Is(err, door.ErrLarge):
		return nil, yamlfile.TooLarge(slashed(file))
	case err != nil:
		return nil, unreadable(file, err)
	case sound(data):
		return nil, notAJob(file)
	}
	return data, nil
}

func notAJob(file string) error {
	return fmt.Errorf("%s: is a sound file, not a job: name a job file or its folder, or see hisspoint measure", slashed(file))
}

// beginning is the first bytes of a file that is too large to be read.
func beginning(file string) []byte {
	f, err := door.Open(file)
	if err != nil {
		return nil
	}
	defer f.Close()
	head := make([]byte, 4)
	f.ReadAt(head, 0)
	return head
}

// sound tells whether a file begins as WAV, RF64, FLAC, AIFF or Ogg files do.
func sound(data []byte) bool {
	for _, magic := range []string{"RIFF", "RF64", "fLaC", "FORM", "OggS"} {
		if bytes.HasPrefix(data, []byte(magic)) {
			return true
		}
	}
	return false
}

func unreadable(file string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: is not there: check the name", slashed(file))
	}
	return fmt.Errorf("%s: cannot be read: %w", slashed(file), door.Bare(err))
}

// inside checks that no recording leads out of the job's folder through a link.
func (c *converter) inside() error {
	root, err := os.OpenRoot(c.job.Dir)
	if err != nil {
		return unreadable(c.job.Dir, err)
	}
	defer root.Close()
	for _, f := range c.files {
		if _, err := root.Stat(filepath.FromSlash(f.Value)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return c.n.ErrorAt(f.At, "file %q cannot be used: it leads out of the job's folder, or through what is not a folder", yamlfile.Short(f.Value))
		}
	}
	return nil
}

// Resolve reads the shop file and the limit files that a new job names. It has no
// file yet: dir is the folder that it is going to lie in.
func Resolve(j *job.Job, dir string) error {
	c := &converter{job: j}
	j.Dir = dir
	c.shape.Shop = text{Value: j.ShopFile, Set: j.ShopFile != ""}
	if err := c.readShop(); err != nil {
		return err
	}
	return c.profiles()
}

// shopPath is where the shop's file lies.
func (c *converter) shopPath() string {
	return filepath.Join(c.job.Dir, filepath.FromSlash(c.shape.Shop.Value))
}

// readShop reads the shop file.
func (c *converter) readShop() error {
	shop := c.shape.Shop
	if !shop.Set {
		return nil
	}
	data, err := read(c.shopPath())
	switch {
	case err != nil && c.n == nil:
		return fmt.Errorf("shop: %w", err)
	case err != nil:
		return c.n.ErrorAt(shop.At, "shop: %v", err)
	}
	c.job.Shop, err = ParseShop(slashed(c.shopPath()), data)
	if picture := c.job.Shop.Picture; picture != "" {
		c.job.Shop.PictureFile = filepath.Join(filepath.Dir(c.shopPath()), filepath.FromSlash(picture))
	}
	return err
}

// profiles reads the limit files.
func (c *converter) profiles() error {
	for i, name := range c.job.Shop.Limits {
		if !isFile(name) {
			continue
		}
		as := path.Join(path.Dir(c.shape.Shop.Value), name) // from the job's folder, so that no two are alike
		if err := c.profile(filepath.Dir(c.shopPath()), name, as); err != nil {
			return err
		}
		c.job.Shop.Limits[i] = as
	}
	for _, name := range c.job.Limits {
		if !isFile(name) {
			continue
		}
		if err := c.profile(c.job.Dir, name, name); err != nil {
			return err
		}
	}
	return nil
}

// profile reads a limit profile of one's own. It may not leave the folder of
// the file that names it. as is its name in the job.
func (c *converter) profile(dir, name, as string) error {
	file := slashed(filepath.Join(dir, filepath.FromSlash(name)))
	data, err := door.WholeIn(dir, filepath.FromSlash(name), yamlfile.MaxBytes)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return unreadable(file, err)
	case errors.Is(err, door.ErrLarge):
		return yamlfile.TooLarge(file)
	case errors.Is(err, door.ErrFolder), errors.Is(err, door.ErrDevice):
		return fmt.Errorf("%s: %w; name a file of limits", file, err)
	case err != nil:
		return fmt.Errorf("%s: cannot be read, or leads out of its folder", file)
	}
	p, err := limitfile.Parse(file, data)
	if err != nil {
		return err
	}
	p.File = as
	c.job.Profiles = append(c.job.Profiles, p)
	return nil
}

// isFile tells a limit file from the name of a built-in profile.
func isFile(name string) bool {
	ext := strings.ToLower(path.Ext(name))
	return ext == ".yaml" || ext == ".yml"
}

func slashed(name string) string { return filepath.ToSlash(name) }
