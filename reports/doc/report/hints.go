package report

import (
	"strings"

	"hisspoint/reports"
	"hisspoint/reports/doc"
	"hisspoint/reports/doc/say"
	"hisspoint/reports/sentence"
)

// hintsOf are the hints of a round, each with what it rests on. They never
// decide anything.
func hintsOf(round reports.Round) []doc.Block {
	if len(round.Hints) == 0 {
		return nil
	}
	blocks := []doc.Block{
		doc.Heading{Text: say.Round(round.Name) + ": likely causes", Level: 1},
		doc.Paragraph{Text: "Where to look first. Other faults can look the same."},
	}
	for _, h := range round.Hints {
		is := sentence.HintOf(h.Name, h.As)
		blocks = append(blocks, factTable([][2]string{
			{"Points to", is.Text}, {"Reading", strings.Join(sentence.All(h.Evidence), "; ")}, {"Check first", is.First},
			{"Could also be", is.Also}, {"Basis", sentence.HintSource},
		}))
	}
	return blocks
}

// hintBlocks are those of all rounds.
func hintBlocks(r reports.Job) []doc.Block {
	var blocks []doc.Block
	for _, round := range r.Rounds {
		blocks = append(blocks, hintsOf(round)...)
	}
	return blocks
}
