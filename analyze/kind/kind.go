// Package kind has a file for each kind of test: what its recordings become, the most
// telling figure first. A new measurement goes here. It must not know cards, limits or
// hints, which look at its results, nor the rows of other kinds.
package kind
