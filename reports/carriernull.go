package reports

import "hisspoint/analyze"

// CarrierNulls is a table of carrier nulls.
type CarrierNulls struct {
	Version string
	Nulls   []analyze.CarrierNull
}

// MarshalJSON writes the table in the shape of `carrier-null --json`.
func (c CarrierNulls) MarshalJSON() ([]byte, error) {
	all := []object{}
	for _, n := range c.Nulls {
		all = append(all, object{{"number", n.Number}, {"modulation_index", n.Index}, {"tone_hz", n.ToneHz}, {"deviation_hz", n.Deviation}, {"percent_at_40_db", n.PercentAt40dB}})
	}
	return marshal(object{{"schema", Schema}, {"tool", Tool}, {"version", c.Version}, {"command", "carrier-null"}, {"nulls", all}})
}
