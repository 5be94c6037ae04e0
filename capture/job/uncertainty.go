package job

// Contribution to an uncertainty that a person states beside a test: what no
// other entry of the job says.
type Contribution struct {
	What         string  // "cable at the bench"
	DB           float64 // half-width, or what the distribution says
	Distribution string  // one of Distributions; empty: rectangular
}

// Distributions of a stated contribution (GUM, JCGM 100:2008, 4.3), and what
// its figure is.
const (
	Rectangular = "rectangular" // half-width of the bounds: divided by the root of 3
	UShaped     = "u-shaped"    // half-width of the bounds: divided by the root of 2; mismatch
	Normal      = "normal"      // expanded uncertainty of a certificate, k = 2: divided by 2
	Standard    = "standard"    // standard uncertainty: taken as it is
)

// Distributions lists them in the order in which help shows them.
var Distributions = []string{Rectangular, UShaped, Normal, Standard}
