package analyze

// Hint is what figures point to: never a diagnosis, and never without the
// figures that say so.
type Hint struct {
	Name     string   // "reservoir"
	Text     string   // what it may be, in a sentence
	Evidence []string // the figures that fired it, each in a few words
	First    string   // what to check first
	Also     string   // what else could explain it
	Source   string   // of the rule: "common practice, no source"
}
