package point

import (
	"math"
	"slices"
)

// Reached is what one level of a series gave: how far the reading lies above the
// criterion, in dB. Without a tone it is worse than any.
type Reached struct {
	LevelDB float64
	AboveDB float64
	NoTone  bool
}

// Where the next level is looked for.
const (
	nearDB     = 6.0 // levels this close to the crossing decide it
	needNear   = 4   // so many of them suffice,
	needSide   = 2   // with as many on each side
	widestGap  = 3.0 // dB between neighbours of the crossing
	nextStep   = 2.0
	gridDB     = 0.5 // of a generator's dial
	startSlope = 1.3 // dB a dB, between the 1 of a strong signal and the 3 at an FM threshold
	noToneStep = 6.0
)

// NextLevel proposes the level at which a series for a sensitivity point is
// recorded next, or says that it is complete: some readings near the criterion
// on each side. start is used while nothing was recorded.
func NextLevel(got []Reached, start float64) (level float64, done bool) {
	if len(got) == 0 {
		return onGrid(start, got), false
	}
	above, below, hasAbove, hasBelow := bracket(got)
	switch {
	case !hasBelow:
		return onGrid(above.LevelDB-limited((above.AboveDB+nextStep)/slope(got), nextStep, 20), got), false
	case !hasAbove && below.NoTone:
		return onGrid(below.LevelDB+noToneStep, got), false
	case !hasAbove:
		return onGrid(below.LevelDB+limited((nextStep-below.AboveDB)/slope(got), nextStep, 10), got), false
	}
	if above.LevelDB < below.LevelDB { // the series crosses more than once: look between
		return onGrid((above.LevelDB+below.LevelDB)/2, got), len(got) >= 8
	}
	if above.LevelDB-below.LevelDB > widestGap {
		return onGrid((above.LevelDB+below.LevelDB)/2, got), false
	}
	nearAbove, nearBelow := 0, 0
	for _, r := range got {
		switch {
		case r.AboveDB >= 0 && !r.NoTone && r.LevelDB-above.LevelDB <= nearDB:
			nearAbove++
		case (r.AboveDB < 0 && !r.NoTone) && below.LevelDB-r.LevelDB <= nearDB:
			nearBelow++
		}
	}
	if nearAbove >= needSide && nearBelow >= needSide && nearAbove+nearBelow >= needNear {
		return 0, true
	}
	if nearAbove < needSide {
		return onGrid(above.LevelDB+nextStep, got), false
	}
	if below.NoTone { // between, where the tone may still be heard
		return onGrid((above.LevelDB+below.LevelDB)/2, got), above.LevelDB-below.LevelDB <= gridDB
	}
	return onGrid(below.LevelDB-nextStep, got), false
}

// bracket gives the weakest level that meets the criterion and the strongest that does not.
func bracket(got []Reached) (above, below Reached, hasAbove, hasBelow bool) {
	for _, r := range got {
		if !r.NoTone && r.AboveDB >= 0 {
			if !hasAbove || r.LevelDB < above.LevelDB {
				above, hasAbove = r, true
			}
		} else if !hasBelow || r.LevelDB > below.LevelDB {
			below, hasBelow = r, true
		}
	}
	return above, below, hasAbove, hasBelow
}

// slope is that of the two levels nearest to the criterion, within what sets show.
func slope(got []Reached) float64 {
	heard := slices.DeleteFunc(slices.Clone(got), func(r Reached) bool { return r.NoTone })
	slices.SortFunc(heard, func(a, b Reached) int {
		if math.Abs(a.AboveDB) < math.Abs(b.AboveDB) {
			return -1
		}
		return 1
	})
	if len(heard) < 2 || heard[0].LevelDB == heard[1].LevelDB {
		return startSlope
	}
	return limited((heard[0].AboveDB-heard[1].AboveDB)/(heard[0].LevelDB-heard[1].LevelDB), 1, 3)
}

func limited(x, low, high float64) float64 { return math.Max(low, math.Min(high, x)) }

// onGrid rounds to what a dial can be set to, and moves away from levels that
// were recorded already.
func onGrid(level float64, got []Reached) float64 {
	level = math.Round(level/gridDB) * gridDB
	taken := func(l float64) bool {
		return slices.ContainsFunc(got, func(r Reached) bool { return math.Abs(r.LevelDB-l) < gridDB/2 })
	}
	for i := 1; taken(level) && i < 40; i++ {
		move := float64((i+1)/2) * gridDB
		if i%2 == 1 {
			move = -move
		}
		if !taken(level + move) {
			return level + move
		}
	}
	return level
}
