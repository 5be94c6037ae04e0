package simulate

func (r FM) audioLevel(line timeline, seed uint64) []float64 { return r.carrierLevel(line, seed) }
