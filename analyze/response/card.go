package response

import (
	"hisspoint/analyze"
)

// OfSet is the same response as if nothing of the bench acted on it.
func OfSet(r analyze.ResponseResult) analyze.ResponseResult {
	r.How.BenchDB = 0
	return WithoutCard(r)
}

// WithoutCard is the same response as if nothing were known of the card.
func WithoutCard(r analyze.ResponseResult) analyze.ResponseResult {
	w := listener{r}
	w.How.Card, w.Points, w.Bands, w.Warnings = nil, nil, nil, nil
	mask := w.Mask
	w.shape(levels(w.Levels))
	w.Mask = mask
	return w.ResponseResult
}
