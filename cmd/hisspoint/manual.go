package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"hisspoint/capture/doors/write"
	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/html"
	"hisspoint/reports/roff"
	"hisspoint/reports/topics"
)

// manualCommand writes the manual for those who pack the program: pages for man, one page
// of HTML, and completions. People read it with help.
func (a *app) manualCommand() *cobra.Command {
	return &cobra.Command{
		Use: "manual DIR", Short: "Writes man pages, the help as HTML and completions into a folder", Hidden: true,
		Args: cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return writeManual(c.Root(), args[0]) },
	}
}

// manualFiles are the files of the manual, by name.
func manualFiles(root *cobra.Command) (map[string][]byte, error) {
	files := map[string][]byte{}
	whole := doc.Document{Title: "Hisspoint: the manual", About: root.Short, Made: strings.TrimSpace(reports.Tool + " " + version()), Contents: true}
	add := func(page roff.Page, d doc.Document) error {
		page.Date, page.Made = stampedDate, whole.Made
		var b bytes.Buffer
		if err := roff.Write(&b, page, d); err != nil {
			return err
		}
		files[fmt.Sprintf("man%d/%s.%d", page.Section, page.Name, page.Section)] = b.Bytes()
		whole.Add(doc.Heading{Text: strings.Replace(page.Name, "-", " ", 1), Note: page.About})
		for _, block := range d.Blocks {
			if h, is := block.(doc.Heading); is {
				h.Level = 1
				block = h
			}
			whole.Add(block)
		}
		return nil
	}
	for _, t := range topics.All() {
		d, err := topics.Page(t, manualFacts)
		if err == nil {
			err = add(roff.Page{Name: "hisspoint-" + t.Name, Section: 7, About: t.Purpose}, d)
		}
		if err != nil {
			return nil, err
		}
	}
	var failed error
	eachOf := func(c *cobra.Command) {
		if failed == nil && (c.IsAvailableCommand() || c == root) && c.Name() != "help" {
			page := commandPage(c)
			guide, has, err := topics.Guide(guideName(c), manualFacts)
			if has {
				page.Blocks = append(page.Blocks, append([]doc.Block{doc.Heading{Text: "Guide"}}, guide...)...)
			}
			if failed = err; err == nil {
				failed = add(roff.Page{Name: strings.ReplaceAll(c.CommandPath(), " ", "-"), Section: 1, About: c.Short}, page)
			}
		}
	}
	visit(root, eachOf)
	if failed != nil {
		return nil, failed
	}
	var b bytes.Buffer
	if err := html.Write(&b, whole); err != nil {
		return nil, err
	}
	files["help.html"] = b.Bytes()
	return files, completions(root, files)
}

func visit(c *cobra.Command, do func(*cobra.Command)) {
	do(c)
	for _, sub := range c.Commands() {
		if !sub.Hidden {
			visit(sub, do)
		}
	}
}

// completions are the scripts of the four shells.
func completions(root *cobra.Command, files map[string][]byte) error {
	for name, generate := range map[string]func(*bytes.Buffer) error{
		"hisspoint.bash": func(b *bytes.Buffer) error { return root.GenBashCompletionV2(b, true) },
		"_hisspoint":     func(b *bytes.Buffer) error { return root.GenZshCompletion(b) },
		"hisspoint.fish": func(b *bytes.Buffer) error { return root.GenFishCompletion(b, true) },
		"hisspoint.ps1":  func(b *bytes.Buffer) error { return root.GenPowerShellCompletionWithDesc(b) },
	} {
		var b bytes.Buffer
		if err := generate(&b); err != nil {
			return fmt.Errorf("%s: cannot be made: %w", name, err)
		}
		files["completions/"+name] = b.Bytes()
	}
	return nil
}

func writeManual(root *cobra.Command, dir string) error {
	files, err := manualFiles(root)
	if err != nil {
		return err
	}
	for name, data := range files {
		file := filepath.Join(dir, filepath.FromSlash(name))
		if err := write.Folder(filepath.Dir(file)); err != nil {
			return fmt.Errorf("%s: cannot be made; name another folder", filepath.ToSlash(filepath.Dir(file)))
		}
		if err := write.Replace(file, write.Open, data); err != nil {
			return fmt.Errorf("%s: cannot be written: %w", filepath.ToSlash(file), err)
		}
	}
	return nil
}

// commandPage is a command's help as a document.
func commandPage(c *cobra.Command) (d doc.Document) {
	d.Add(doc.Heading{Text: "Synopsis"}, doc.Code{Lines: []string{c.UseLine()}}, doc.Heading{Text: "Description"})
	long := c.Long
	if long == "" {
		long = c.Short + "."
	}
	for _, paragraph := range strings.Split(long, "\n\n") {
		if lines := strings.Split(strings.TrimRight(paragraph, "\n"), "\n"); strings.HasPrefix(lines[len(lines)-1], " ") {
			d.Add(doc.Code{Lines: lines})
		} else {
			d.Add(doc.Paragraph{Text: paragraph})
		}
	}
	if flags := flagTable(c); len(flags.Rows) > 0 {
		d.Add(doc.Heading{Text: "Options"}, flags)
	}
	if c.Example != "" {
		d.Add(doc.Heading{Text: "Examples"})
		var lines []string
		for _, l := range strings.Split(c.Example, "\n") {
			lines = append(lines, strings.TrimSpace(l))
		}
		d.Add(doc.Code{Lines: lines})
	}
	if sub := c.Commands(); len(sub) > 0 {
		t := doc.Table{Columns: make([]doc.Column, 2)}
		for _, one := range sub {
			if one.IsAvailableCommand() && one.Name() != "help" {
				t.Rows = append(t.Rows, []string{one.CommandPath(), one.Short})
			}
		}
		d.Add(doc.Heading{Text: "Commands"}, t)
	}
	codes := doc.Table{Columns: make([]doc.Column, 2)}
	for _, e := range exitCodes {
		codes.Rows = append(codes.Rows, e[:])
	}
	d.Add(doc.Heading{Text: "Exit status"}, codes, doc.Heading{Text: "See also"},
		doc.Paragraph{Text: "hisspoint(1), hisspoint-start(7), hisspoint-words(7); hisspoint help lists all commands and topics."})
	return d
}

func flagTable(c *cobra.Command) doc.Table {
	t := doc.Table{Columns: make([]doc.Column, 2)}
	c.LocalFlags().VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		kind, usage := pflag.UnquoteUsage(f)
		label := "--" + f.Name
		if f.Shorthand != "" {
			label = "-" + f.Shorthand + ", " + label
		}
		if kind != "" {
			label += " " + kind
		}
		t.Rows = append(t.Rows, []string{label, usage})
	})
	return t
}
