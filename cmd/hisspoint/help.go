package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/reports/doc"
	"hisspoint/reports/text"
	"hisspoint/reports/topics"
)

// exitCodes are what a command returns, in words.
var exitCodes = [][2]string{
	{"0", "done, and nothing failed"},
	{"1", "a limit failed"},
	{"2", "no verdict, or something that you asked for was not measured"},
	{"3", "wrong usage, or a file that could not be read or written"},
}

// manualFacts is what pages of the manual take from the commands.
var manualFacts = topics.Facts{ExitCodes: exitCodes}

// commandGroups are the commands in the order in which help lists them.
var commandGroups = []*cobra.Group{{ID: "measure", Title: "Measure recordings"}, {ID: "job", Title: "Keep a job"}, {ID: "live", Title: "At the live bench"}, {ID: "read", Title: "To look things up"}}

// groupOf is the group of each command.
var groupOf = map[string]string{
	"demo": "measure", "measure": "measure", "sensitivity": "measure", "squelch": "measure", "response": "measure",
	"job": "job", "report": "job", "compare": "job",
	"wiring": "live", "card": "live", "signals": "live", "record": "live", "watch": "live",
	"limits": "read", "carrier-null": "read", "schema": "read", "version": "read",
}

// helpCommand shows a command's page, or a topic of the manual.
func (a *app) helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND or TOPIC]",
		Short: "Shows the manual: a command, or a topic",
		Long:  "Shows the page of a command or of a topic. Alone it lists both.",
		RunE:  func(c *cobra.Command, args []string) error { return a.help(c.Root(), args) },
		ValidArgsFunction: func(c *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
			if len(args) > 0 {
				return nil, cobra.ShellCompDirectiveNoFileComp
			}
			return fitting(helpNames(c.Root()), typed), cobra.ShellCompDirectiveNoFileComp
		},
	}
}

func (a *app) help(root *cobra.Command, args []string) error {
	if len(args) == 0 {
		return a.page(overview(root))
	}
	if c, rest, err := root.Find(args); err == nil && c != root && len(rest) == 0 {
		return a.commandHelp(c)
	}
	t, known := topics.Find(args[0])
	switch {
	case known && t.Name == "words" && len(args) > 1:
		d, err := topics.Word(strings.Join(args[1:], " "))
		if err != nil {
			return err
		}
		return a.page(d)
	case known && t.Name == "warnings" && len(args) > 1:
		d, err := topics.Warning(args[1])
		if err != nil {
			return err
		}
		return a.page(d)
	case known && len(args) > 1:
		return fmt.Errorf("help %s: %q is one too many", t.Name, args[1])
	case known:
		d, err := topics.Page(t, manualFacts)
		if err != nil {
			return err
		}
		return a.page(d)
	}
	var names []string
	for _, n := range helpNames(root) {
		name, _, _ := strings.Cut(n, "\t")
		names = append(names, name)
	}
	if guess := nearest(args[0], names); guess != "" {
		return fmt.Errorf("help has nothing on %q; did you mean %q?", args[0], guess)
	}
	return fmt.Errorf("help has nothing on %q; see hisspoint help", args[0])
}

// commandHelp is a command's guide, where the manual has one, with its flags below.
func (a *app) commandHelp(c *cobra.Command) error {
	blocks, has, err := topics.Guide(guideName(c), manualFacts)
	if err != nil {
		return err
	}
	if has {
		if err := a.page(doc.Document{Title: c.CommandPath() + ": " + c.Short, Blocks: blocks}); err != nil {
			return err
		}
		fmt.Fprint(a.stdout, "\nThe command itself\n\n")
	}
	return c.Help()
}

// guideName is the name under which the manual has a command's guide.
func guideName(c *cobra.Command) string {
	return strings.TrimPrefix(strings.ReplaceAll(c.CommandPath(), " ", "-"), "hisspoint-")
}

func (a *app) page(d doc.Document) error {
	return text.Write(a.stdout, d, text.Options{Color: a.screen.color, Width: min(a.screen.width, 80), Airy: true})
}

// overview lists commands and topics.
func overview(root *cobra.Command) doc.Document {
	d := doc.Document{Title: root.Short}
	for _, g := range commandGroups {
		t := doc.Table{Columns: make([]doc.Column, 2)}
		for _, c := range root.Commands() {
			if groupOf[c.Name()] == g.ID {
				t.Rows = append(t.Rows, []string{c.Name(), c.Short})
			}
		}
		d.Add(doc.Heading{Text: g.Title, Level: 1}, t)
	}
	for _, g := range topics.Groups {
		t := doc.Table{Columns: make([]doc.Column, 2)}
		for _, p := range g.Topics {
			t.Rows = append(t.Rows, []string{p.Name, p.Purpose})
		}
		d.Add(doc.Heading{Text: "Topics: " + strings.ToLower(g.Title[:1]) + g.Title[1:], Level: 1}, t)
	}
	d.Add(doc.Paragraph{Text: "hisspoint help NAME shows a page; hisspoint COMMAND --help the flags of a command."})
	return d
}

// helpNames are the names that help knows, each with what it is about.
func helpNames(root *cobra.Command) (out []string) {
	for _, c := range root.Commands() {
		if c.IsAvailableCommand() {
			out = append(out, c.Name()+"\t"+c.Short)
		}
	}
	for _, t := range topics.All() {
		out = append(out, t.Name+"\t"+t.Purpose)
	}
	return out
}
