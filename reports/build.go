package reports

// Build is what a program says of itself. Commit and Date are empty where nothing was stamped.
type Build struct {
	Version string
	Commit  string
	Date    string // of the commit, year-month-day
	Go      string // what it was built with
	For     string // system and processor, as "linux/amd64"
}

// MarshalJSON writes the build in the shape of `version --json`.
func (b Build) MarshalJSON() ([]byte, error) {
	o := object(headOf(b.Version, "version").members())
	for _, m := range []struct{ key, text string }{{"commit", b.Commit}, {"date", b.Date}, {"go", b.Go}, {"for", b.For}} {
		if m.text != "" {
			o = append(o, member{m.key, m.text})
		}
	}
	return marshal(o)
}
