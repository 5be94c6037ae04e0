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
	"slices"
	"strings"
	"unicode/utf16"

	"hisspoint/capture/doors/read"
	"hisspoint/capture/doors/write"
	"hisspoint/reports"
)

// Name is the file that says what was issued; it lies beside the job.
const Name = "report-revisions.json"

// Order is how a report is to be issued.
type Order struct {
	Job   string        // folder of the job, which counts its revisions; empty: Dir
	Dir   string        // where the files go
	Date  string        // of a first revision, year-month-day
	Later func() string // of a later one
	Draft bool          // it gets no revision, and files of its own
	Why   string        // a new revision is needed, empty: nobody said yet
	Ask   func(last reports.Issue) string
	Make  func(reports.Issue) ([]write.Part, error) // the files as the job has them, by which a change is told
	Print func(reports.Issue) ([]write.Part, error) // as they are to be written, on other paper, say; nil: as made

	Replace bool // files that this program did not write are replaced, too

	issued ledger
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
		files, err := o.printed(draft, nil)
		if err != nil {
			return draft, err
		}
		for i := range files {
			files[i].Name = renamed(files[i].Name, "draft")
		}
		return draft, o.write(files)
	}
	if o.Job == "" {
		o.Job = o.Dir
	}
	var err error
	if o.issued, err = load(o.Job); err != nil {
		return reports.Issue{}, err
	}
	now := reports.Issue{Date: o.Date, Revision: 1}
	if n := len(o.issued.Revisions); n > 0 {
		last := issueOf(o.issued, n-1)
		files, err := o.Make(last)
		if err != nil {
			return last, err
		}
		if same(o.issued.Revisions[n-1], files) {
			return last, o.keepAndWrite(last, files)
		}
		if now, err = o.next(last); err != nil {
			return last, err
		}
	}
	files, err := o.Make(now)
	if err != nil {
		return now, err
	}
	list, err := json.MarshalIndent(ledger{append(slices.Clone(o.issued.Revisions), entryOf(now, files))}, "", "  ")
	if err != nil {
		return now, fmt.Errorf("%s: cannot be made: %w", Name, err)
	}
	counted := write.Part{Name: Name, Data: append(list, '\n')}
	if sameFolder(o.Job, o.Dir) {
		return now, o.keepAndWrite(now, files, counted)
	}
	if err := write.Together(o.Job, write.Private, []write.Part{counted}); err != nil {
		return now, fmt.Errorf("%s: the job's folder must hold its revisions, and cannot be written (%w); write a draft with --draft", filepath.ToSlash(o.Job), err)
	}
	return now, o.keepAndWrite(now, files)
}

// printed are the files that are written, where those of Make are not.
func (o Order) printed(i reports.Issue, made []write.Part) ([]write.Part, error) {
	switch {
	case o.Print != nil:
		return o.Print(i)
	case made != nil:
		return made, nil
	}
	return o.Make(i)
}

// otherwise refuses to write over what went out under this revision on other paper.
func (o Order) otherwise(now reports.Issue, files []write.Part) error {
	for _, f := range files {
		name := filepath.Join(o.Dir, f.Name)
		if old, err := read.Whole(name, write.MostOurs); err == nil && !bytes.Equal(old, f.Data) && o.issued.of(f.Name, old) == now.Revision {
			return fmt.Errorf("%s: was issued as revision %d, printed otherwise; give another folder with --out", filepath.ToSlash(name), now.Revision)
		}
	}
	return nil
}

func sameFolder(a, b string) bool {
	x, err := os.Stat(a)
	y, failed := os.Stat(b)
	return err == nil && failed == nil && os.SameFile(x, y)
}

// keepAndWrite writes the files of a revision; what another one left under their names is
// kept under its number.
func (o Order) keepAndWrite(now reports.Issue, files []write.Part, more ...write.Part) error {
	files, err := o.printed(now, files)
	if err != nil {
		return err
	}
	if o.Print != nil {
		if err := o.otherwise(now, files); err != nil {
			return err
		}
	}
	kept, err := o.keep(now)
	if err != nil {
		return err
	}
	return o.write(slices.Concat(kept, files, more))
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

func entryOf(i reports.Issue, files []write.Part) entry {
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

func same(e entry, files []write.Part) bool {
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

// keep is the files of other revisions under names with their numbers. One that is kept
// already stays as it is.
func (o Order) keep(now reports.Issue) (kept []write.Part, err error) {
	done := map[string]bool{}
	for _, e := range o.issued.Revisions {
		for name := range e.Files {
			if done[name] {
				continue
			}
			done[name] = true
			data, err := read.Whole(filepath.Join(o.Dir, name), write.MostOurs)
			if errors.Is(err, fs.ErrNotExist) {
				continue // somebody took it away, or it went elsewhere
			}
			if err != nil {
				return nil, fmt.Errorf("%s: cannot be read (%w), and is not replaced before it is kept; close it, or give --out", filepath.ToSlash(filepath.Join(o.Dir, name)), err)
			}
			revision := o.issued.of(name, data)
			if revision == 0 { // signed or written on since it went out
				revision = now.Replaces
			}
			as := renamed(name, fmt.Sprintf("r%d", revision))
			if _, err := os.Lstat(filepath.Join(o.Dir, as)); revision == 0 || revision == now.Revision || err == nil {
				continue
			}
			kept = append(kept, write.Part{Name: as, Data: data})
		}
	}
	return kept, nil
}

// of is the newest revision under which a file went out with this content, 0 if none.
func (l ledger) of(name string, data []byte) int {
	for _, e := range slices.Backward(l.Revisions) {
		if e.Files[name] == sum(data) {
			return e.Revision
		}
	}
	return 0
}

// renamed is report.pdf as report-r1.pdf.
func renamed(name, mark string) string {
	ext := filepath.Ext(name)
	return strings.TrimSuffix(name, ext) + "-" + mark + ext
}

// write puts files into their folder, all or none; what is as it is to be stays.
func (o Order) write(files []write.Part) error {
	var parts []write.Part
	for _, f := range files {
		if old, err := read.Whole(filepath.Join(o.Dir, f.Name), write.MostOurs); err == nil && bytes.Equal(old, f.Data) {
			continue
		}
		if !o.Replace {
			f.Ours = func(old []byte) bool { return o.issued.of(f.Name, old) > 0 || ours(f.Name, old) }
		}
		parts = append(parts, f)
	}
	if len(parts) == 0 {
		return nil
	}
	err := write.Together(o.Dir, write.Private, parts)
	var other write.NotOurs
	switch {
	case errors.As(err, &other):
		return fmt.Errorf("%s: %w; nothing was written; give another folder with --out, or replace it with --replace", filepath.ToSlash(filepath.Join(o.Dir, other.Name)), err)
	case err != nil:
		return fmt.Errorf("%s: nothing was written: %w", filepath.ToSlash(o.Dir), err)
	}
	return nil
}

// ours tells whether a file says that this program made it.
func ours(name string, data []byte) bool {
	switch filepath.Ext(name) {
	case ".html":
		return bytes.Contains(data, []byte(`<meta name="generator" content="`+reports.Tool))
	case ".pdf": // a text of a PDF may be in UTF-16
		var wide []byte
		for _, r := range utf16.Encode([]rune(reports.Tool)) {
			wide = append(wide, byte(r>>8), byte(r))
		}
		return bytes.HasPrefix(data, []byte("%PDF-")) && bytes.Contains(data, wide)
	case ".json":
		return bytes.Contains(data, []byte(`"tool": "`+reports.Tool+`"`)) || name == Name && bytes.Contains(data, []byte(`"revisions"`))
	}
	return bytes.HasPrefix(data, []byte("round,test,"))
}

func load(dir string) (ledger, error) {
	var l ledger
	file := filepath.Join(dir, Name)
	data, err := read.Whole(file, write.MostOurs)
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
