package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"hisspoint/analyze/card"
	"hisspoint/capture/jobfile/cardfile"
	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports"
	"hisspoint/reports/sentence"
)

// cardNone is the word with which --card asks for no sound card.
const cardNone = "none"

func cardFlag(c *cobra.Command, cardName *string) {
	c.Flags().StringVar(cardName, "card", "", "`card` that recorded it: a file that hisspoint card wrote, the name of a qualified input, or none (default: the "+cardfile.Name+" beside the recording)")
}

// runnerOn is the service for recordings of the card that --card names.
func (a *app) runnerOn(cardName string) (run.Runner, error) {
	s := a.runner()
	switch cardName = strings.TrimSpace(cardName); {
	case cardName == "":
	case strings.EqualFold(cardName, cardNone):
		s.NoCard = true
	case isCardFile(cardName):
		q, err := cardfile.Load(cardName)
		if err != nil {
			return s, fmt.Errorf("--card: %w", err)
		}
		s.Card = q
	default:
		q, err := live.CardNamed(cardName)
		if err != nil {
			return s, fmt.Errorf("--card: %w", err)
		}
		s.Card = q
	}
	return s, nil
}

func isCardFile(name string) bool {
	info, err := os.Stat(name)
	return strings.EqualFold(filepath.Ext(name), ".json") || err == nil && info.Mode().IsRegular()
}

// mostPerhaps is how many recordings the sentence about a card that may have
// recorded them names.
const mostPerhaps = 3

// perhaps says of recordings that nothing ties to a sound card where the one that
// was chosen last would limit them, if they were recorded with it. It changes no
// figure.
func (a *app) perhaps(s run.Runner, record reports.Measure) {
	q, known := live.CardOf("")
	if !known || a.json || a.quiet || s.Card != nil || s.NoCard {
		return
	}
	said := 0
	for _, r := range record.Recordings {
		if r.Error != "" || s.Tied(r.File) {
			continue
		}
		for _, w := range card.Limits(q, r.Measured) {
			if said++; said > mostPerhaps {
				fmt.Fprintf(a.stderr, "note: the same may hold for others; --card %q says that they were recorded with it, --card none that they were not\n", q.Name)
				return
			}
			fmt.Fprintf(a.stderr, "note: if %s was recorded with %s, then %s\n", r.File, q.Label(), sentence.Of(w.Says))
		}
	}
}
