// Package issue gives reports their revisions. What was issued once is never overwritten:
// a changed report is a new revision with a reason, and the files of the one before stay
// beside it under its number. It does not know what stands in the files.
package issue

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"hisspoint/cmd/internal/demo"
	"hisspoint/reports"
)

// Name is the file that says what was issued; it lies beside the reports.
const Name = "report-revisions.json"

// File is one file of a report.
type File struct {
	Name string
	Data []byte
}

// Order is how a report is to be issued.
type Order struct {
	Dir   string
	Date  string        // of a first revision, year-month-day
	Later func() string // of a later one
	Draft bool          // it gets no revision, and files of its own
	Why   string        // a new revision is needed, empty: nobody said yet
	Ask   func(last reports.Issue) string
	Make  func(reports.Issue) ([]File, error)
}

// entry is what was issued under one revision.
type entry struct {
	Revision int               `json:"revision"`
	Issued   string            `json:"issued"`
	Why      string            `json:"why,omitempty"`
	Files    map[string]string `json:"sha256"`
}

type ledger struct {
	Revisions []entry `json:"revisions"`
}

// Report issues a report: the revision that it has already, where nothing changed, else
// the next one. A killed run leaves each file as it was or as it is to be; the same
// command goes on from there.
func Report(o Order) (reports.Issue, error) {
	if o.Draft {
		draft := reports.Issue{Date: o.Date, Draft: true}
		files, err := o.Make(draft)
		if err != nil {
			return draft, err
		}
		for i := range files {
			files[i].Name = renamed(files[i].Name, "draft")
		}
		return draft, write(o.Dir, files)
	}
	l, err := read(o.Dir)
	if err != nil {
		return reports.Issue{}, err
	}
	now := reports.Issue{Date: o.Date, Revision: 1}
	if n := len(l.Revisions); n > 0 {
		last := issueOf(l, n-1)
		files, err := o.Make(last)
		if err != nil {
			return last, err
		}
		if same(l.Revisions[n-1], files) {
			return last, write(o.Dir, files)
		}
		if now, err = o.next(last); err != nil {
			return last, err
		}
		if err := keep(o.Dir, l.Revisions[n-1]); err != nil {
			return now, err
		}
	}
	files, err := o.Make(now)
	if err != nil {
		return now, err
	}
	if err := write(o.Dir, files); err != nil {
		return now, err
	}
	l.Revisions = append(l.Revisions, entryOf(now, files))
	return now, l.write(o.Dir)
}

// next is the revision behind the last one.
func (o Order) next(last reports.Issue) (reports.Issue, error) {
	why := o.Why
	if why == "" && o.Ask != nil {
		why = o.Ask(last)
	}
	if strings.TrimSpace(why) == "" {
		return last, fmt.Errorf("%s: revision %d was issued on %s, and the report has changed since; say why with --revision \"...\", or write a draft with --draft",
			filepath.ToSlash(filepath.Join(o.Dir, Name)), last.Revision, last.Date)
	}
	return reports.Issue{Date: o.Later(), Revision: last.Revision + 1, Replaces: last.Revision, ReplacesDate: last.Date, Why: why}, nil
}

func issueOf(l ledger, at int) reports.Issue {
	e := l.Revisions[at]
	i := reports.Issue{Date: e.Issued, Revision: e.Revision}
	if at > 0 {
		i.Replaces, i.ReplacesDate, i.Why = l.Revisions[at-1].Revision, l.Revisions[at-1].Issued, e.Why
	}
	return i
}

func entryOf(i reports.Issue, files []File) entry {
	e := entry{Revision: i.Revision, Issued: i.Date, Why: i.Why, Files: map[string]string{}}
	for _, f := range files {
		e.Files[f.Name] = sum(f.Data)
	}
	return e
}

func sum(data []byte) string {
	s := sha256.Sum256(data)
	return hex.EncodeToString(s[:])
}

func same(e entry, files []File) bool {
	if len(files) != len(e.Files) {
		return false
	}
	for _, f := range files {
		if e.Files[f.Name] != sum(f.Data) {
			return false
		}
	}
	return true
}

// keep copies the files of a revision beside themselves, under its number. One that is
// kept already stays as it is: the file in its place may be the next one by now.
func keep(dir string, e entry) error {
	for name := range e.Files {
		kept := filepath.Join(dir, renamed(name, fmt.Sprintf("r%d", e.Revision)))
		if _, err := os.Lstat(kept); err == nil {
			continue
		}
		data, err := os.ReadFile(filepath.Join(dir, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue // somebody took it away
		}
		if err != nil {
			return fmt.Errorf("%s: cannot be read, and is not replaced before it is kept; close it, or give --out", filepath.ToSlash(filepath.Join(dir, name)))
		}
		if err := demo.WriteFile(kept, data); err != nil {
			return err
		}
	}
	return nil
}

// renamed is report.pdf as report-r1.pdf.
func renamed(name, mark string) string {
	ext := filepath.Ext(name)
	return strings.TrimSuffix(name, ext) + "-" + mark + ext
}

func write(dir string, files []File) error {
	for _, f := range files {
		at := filepath.Join(dir, f.Name)
		if old, err := os.ReadFile(at); err == nil && bytes.Equal(old, f.Data) {
			continue
		}
		if err := demo.WriteFile(at, f.Data); err != nil {
			return err
		}
	}
	return nil
}

func read(dir string) (ledger, error) {
	var l ledger
	file := filepath.Join(dir, Name)
	data, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return l, nil
	}
	if err == nil {
		err = json.Unmarshal(data, &l)
	}
	if err != nil {
		return l, fmt.Errorf("%s: cannot be read, so nothing was issued; restore it, or write a draft with --draft", filepath.ToSlash(file))
	}
	return l, nil
}

func (l ledger) write(dir string) error {
	data, err := json.MarshalIndent(l, "", "  ")
	if err != nil {
		return fmt.Errorf("%s: cannot be made: %w", Name, err)
	}
	return demo.WriteFile(filepath.Join(dir, Name), append(data, '\n'))
}
