package response

import (
	"hisspoint/analyze"
)

// WithoutCard is the same response as if nothing were known of the card.
func WithoutCard(r analyze.ResponseResult) analyze.ResponseResult {
	w := listener{r}
	w.How.Card, w.Points, w.Bands, w.Warnings = nil, nil, nil, nil
	mask := w.Mask
	w.shape(levels(w.Levels))
	w.Mask = mask
	return w.ResponseResult
}
