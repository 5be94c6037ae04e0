package job

// Curve is a response as points, in dB relative to 1 kHz, such as that of a
// monitor receiver: by name, or as measured.
type Curve struct {
	Name   string
	Hz, DB []float64 // in rising order of Hz; empty for one with a name
	SD     []float64 // standard uncertainty of each in dB; may be empty
}
