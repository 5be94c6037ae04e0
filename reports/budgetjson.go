package reports

import "hisspoint/analyze/budget"

// budgetObjects are the contributions to a figure. What errs either way has its
// standard uncertainty in the figure's unit; what errs in one direction only has
// that, and is added to the end of the interval on that side as it is.
func budgetObjects(b budget.Budget, unitName string) []object {
	all := []object{}
	for _, c := range b {
		stated := c.Unit
		if stated == "" {
			stated = "dB"
		}
		o := object{{"what", c.Name}, {"type", c.Type}, {"distribution", c.Distribution}, {"stated", c.HalfWidth}, {"stated_unit", stated}}
		if c.Assumed {
			o = append(o, member{"assumed", true})
		}
		switch {
		case c.Towards > 0:
			o = append(o, member{"towards", "higher"}, member{"at_most", c.Standard()})
		case c.Towards < 0:
			o = append(o, member{"towards", "lower"}, member{"at_most", c.Standard()})
		default:
			o = append(o, member{"standard", c.Standard()})
		}
		all = append(all, append(o, member{"unit", unitName}))
	}
	return all
}
