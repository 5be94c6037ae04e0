// Package note is what there is to say before it is words: which sentence, and the
// figures in it with their units. reports/sentence has the words. It must not turn a
// number into text.
package note

// Note names a sentence and holds what stands in it. The zero note says nothing.
type Note struct {
	Sentence string // its row in the table of reports/sentence; empty: the parts, one after the other
	Parts    []any  // figures (of the types below, or int for a count), names (string), or further notes
}

// Figures by their units, so that no number goes without one.
type (
	DB      float64
	DBFS    float64
	DBm     float64
	Hz      float64
	Seconds float64
	MS      float64
	Percent float64
	Volts   float64
	Bits    float64
	Count   float64   // of what may not be whole while it is measured
	Share   float64   // of full scale
	Times   []float64 // s from the start of the file
	Tones   []float64 // Hz
)

// Of is the sentence of that name with what stands in it, in the order of its words.
func Of(sentence string, parts ...any) Note { return Note{sentence, parts} }

// Phrase is what needs no figure: it is said as it is.
func Phrase(text string) Note {
	if text == "" {
		return Note{}
	}
	return Note{Parts: []any{text}}
}

// Run is notes and phrases (string) one after the other.
func Run(parts ...any) Note { return Note{Parts: parts} }

// Joined is notes with a phrase between each two.
func Joined(between string, all []Note) Note {
	var out Note
	for i, n := range all {
		if i > 0 {
			out.Parts = append(out.Parts, between)
		}
		out.Parts = append(out.Parts, n)
	}
	return out
}

// None tells that there is nothing to say.
func (n Note) None() bool { return n.Sentence == "" && len(n.Parts) == 0 }
