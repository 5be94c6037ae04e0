package unit

// LevelKind says which voltage a generator level in microvolts means.
type LevelKind string

const (
	PD  LevelKind = "pd"  // across the 50 ohm load: potential difference
	EMF LevelKind = "emf" // open circuit: twice PD, 6.02 dB more
)

// Scale says what an RF level is counted from.
type Scale int

const (
	Absolute Scale = iota // DB is dBm into 50 ohm
	Relative              // DB is dB against an unstated reference
	Off                   // no signal; DB has no meaning
)

// Level is an RF level. Absolute levels are kept in dBm into 50 ohm.
type Level struct {
	Scale Scale
	DB    float64
}
