package limit

import (
	"embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/limitfile"
	"hisspoint/capture/jobfile/yamlfile"
)

// Profile is a set of limits for one service.
type Profile = job.Profile

//go:embed profiles/*.yaml
var files embed.FS

var builtIn = sync.OnceValues(readProfiles)

func readProfiles() ([]Profile, error) {
	entries, err := files.ReadDir("profiles")
	if err != nil {
		return nil, err
	}
	var all []Profile
	for _, e := range entries {
		data, err := files.ReadFile("profiles/" + e.Name())
		if err != nil {
			return nil, err
		}
		p, err := limitfile.Parse(e.Name(), data)
		if err != nil {
			return nil, err
		}
		if p.Name != strings.TrimSuffix(e.Name(), ".yaml") {
			return nil, fmt.Errorf("%s: holds the profile %q", e.Name(), p.Name)
		}
		all = append(all, p)
	}
	slices.SortFunc(all, func(a, b Profile) int { return strings.Compare(a.Name, b.Name) })
	return all, nil
}

// Profiles returns the built-in limit profiles, sorted by name. The caller may
// change what it gets.
func Profiles() []Profile {
	all, err := builtIn()
	if err != nil {
		panic("built-in limits: " + err.Error()) // cannot happen: a test reads them
	}
	copies := make([]Profile, len(all))
	for i, p := range all {
		copies[i] = Profile{Name: p.Name, Title: p.Title, Limits: append([]job.Limit(nil), p.Limits...)}
	}
	return copies
}

// Source returns a built-in profile as its YAML file, to start one's own from.
func Source(name string) ([]byte, error) {
	if _, err := Lookup(name); err != nil {
		return nil, err
	}
	return files.ReadFile("profiles/" + name + ".yaml")
}

// Lookup returns the built-in profile of that name. The error names the
// nearest ones.
func Lookup(name string) (Profile, error) {
	var names []string
	for _, p := range Profiles() {
		if p.Name == name {
			return p, nil
		}
		names = append(names, p.Name)
	}
	if near := nearest(name, names); len(near) > 0 {
		return Profile{}, fmt.Errorf("limit profile %q is not known: did you mean %s?", name, strings.Join(near, " or "))
	}
	return Profile{}, fmt.Errorf("limit profile %q is not known: known are %s", name, strings.Join(names, ", "))
}

// nearest lists the profiles whose name contains the word, else the one that
// is spelled alike.
func nearest(name string, names []string) []string {
	var near []string
	for _, n := range names {
		if name != "" && strings.Contains(n, strings.ToLower(name)) {
			near = append(near, n)
		}
	}
	if spelled := yamlfile.Nearest(name, names); len(near) == 0 && spelled != "" {
		near = []string{spelled}
	}
	return near
}
