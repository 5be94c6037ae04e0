package main

import (
	"fmt"
	"regexp"
	"time"

	"github.com/spf13/cobra"

	"hisspoint/cmd/internal/page"
	"hisspoint/reports"
	"hisspoint/reports/doc/bench"
)

// pageFlag adds --page, alone for this computer or with a port for the network.
func pageFlag(c *cobra.Command, address *string) {
	c.Flags().StringVar(address, "page", "", "serve the live page for a phone or tablet on this computer; with `:PORT` for the network, behind the key in the address")
	c.Flags().Lookup("page").NoOptDefVal = page.Loopback
}

var portAlone = regexp.MustCompile(`^:\d{1,5}$`)

// withoutPort takes the port of "--page :8080" out of the arguments, among which a flag
// whose value may be missing leaves it.
func withoutPort(address *string, args []string) (rest []string) {
	for _, a := range args {
		if *address == page.Loopback && portAlone.MatchString(a) {
			*address = a
			continue
		}
		rest = append(rest, a)
	}
	return rest
}

// openPage serves the page where one is asked for; nil: none is.
func openPage(address string) (*page.Server, []string, error) {
	if address == "" {
		return nil, nil, nil
	}
	s, err := page.Open(address)
	if err != nil {
		return nil, nil, err
	}
	all := s.Addresses()
	code, err := page.Code(all[0])
	if err != nil {
		s.Close()
		return nil, nil, fmt.Errorf("--page: %w", err)
	}
	return s, append(all, code...), nil
}

// saysPage tells where the page is, on lines.
func (a *app) saysPage(lines []string) {
	if a.quiet {
		lines = lines[:min(1, len(lines))]
	}
	for _, l := range lines {
		fmt.Fprintln(a.stderr, l)
	}
}

// watchButtons are those of a watch.
var watchButtons = []page.Button{{Do: "hold", Label: "Hold"}, {Do: "best", Label: "New best"}, {Do: "mark", Label: "Mark"}}

// pageStep is that of all that a watch shows: a button means the same throughout.
const pageStep = "watch"

// show sends what is seen to the page.
func (s *watching) show() {
	if s.page != nil && s.heard {
		s.page.Show(bench.WatchPanel(s.now, s.state), pageStep, watchButtons...)
	}
}

// press does what a button asks for.
func (s *watching) press(what string) {
	switch what {
	case "hold":
		s.state.Held = !s.state.Held
	case "best":
		s.w.Forget()
		s.say("a new best begins", time.Second)
	case "mark":
		s.mark(s.now, "from the page")
	}
}

// pressed are the buttons that the page's viewers press; nil: there is none.
func (s *watching) pressed() <-chan string {
	if s.page == nil {
		return nil
	}
	return s.page.Pressed
}

// onLines shows a reading that is written as a line.
func (s *watching) onLines(r reports.Watch) {
	select {
	case what := <-s.pressed():
		s.press(what)
	default:
	}
	s.take(r)
}

// take takes a reading, shows it on the page and lets what was said go.
func (s *watching) take(r reports.Watch) {
	if !s.state.Held {
		s.now, s.heard = r, true
	}
	if s.state.Said != "" && time.Now().After(s.saidUntil) {
		s.state.Said = ""
	}
	s.show()
}
