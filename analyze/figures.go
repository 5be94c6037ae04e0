package analyze

// Names of readings that only comparisons of recordings have.
const (
	Output     = "output"    // the whole audio through the filter, dBFS
	HarmonicOf = "harmonic_" // and the order: one harmonic, percent of the fundamental
	HumAt      = "hum_line_" // and its frequency in Hz: one line of the hum
)

// SpectrumPicture is the name of the picture that Spectrum makes.
const SpectrumPicture = "spectrum"
