package handmade

import (
	"fmt"

	"hisspoint/analyze"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

// Earlier is a job against three earlier ones, whose sensitivities lie at -116,
// -117 and -118 dBm.
func Earlier() reports.Compare {
	var sides []reports.Side
	for i, dbm := range []float64{-116, -117, -118, -101} {
		r := Whole()
		r.Rounds[1].Tests[0] = With(r.Rounds[1].Tests[0], func(p *analyze.Point) { p.Level, p.Low, p.High = unit.DBm(dbm), dbm-1.2, dbm+1.2 })
		r.Facts.Job = fmt.Sprintf("%04d", i+1)
		sides = append(sides, reports.Side{Label: "job " + r.Facts.Job, Facts: r.Facts, Round: r.Rounds[1]})
	}
	return reports.CompareJobs("1.2.3", sides, true, false)
}
