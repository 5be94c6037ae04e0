package limit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// The budget and the interval are the same sum. Figures from the formulas of
// ETSI TR 100 028: +-1 dB rectangular is 0.577 dB; reflection factors 0.2 and
// 0.5 behind a pad of 6.02 dB (a quarter there and back) are 0.2*0.5/4 = 2.5 % of
// voltage, U-shaped: 2.5/sqrt 2/11.5 = 0.154 dB; 10 % of deviation is 0.828 dB of
// the tone and, as SINAD holds noise above the line as well, 14.85/15.85 of that of a
// SINAD of 12 dB, rectangular, over a slope of 2: 0.224 dB.
func TestBudgetIsTheInterval(t *testing.T) {
	one := 1.0
	half := 1.96 * math.Hypot(0.3, 1/math.Sqrt(3))
	r := analyze.Result{
		Setup: job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12}}, Reading: job.Reading{Mode: job.FM}, Mode: job.FM, DeviationPercent: 10, Path: job.RFPath{LevelUncertainty: &one, PadDB: 20 * math.Log10(2), GeneratorReflection: 0.2, InputReflection: 0.5}},
	}.WithPoint(analyze.Point{Status: analyze.Found, Level: unit.DBm(-117), Low: -117 - half, High: -117 + half, Slope: 2,
		Shares: []analyze.Share{{Name: "readings", DB: 0.3}, {Name: "generator", DB: 1 / math.Sqrt(3)}}})
	got := WidenResult(r)
	b, ok := BudgetOf(got, got.Figures[0])
	require.True(t, ok)
	require.Len(t, b, 4)
	for i, want := range []float64{0.3, 0.577, 0.154, 0.224} {
		assert.InDelta(t, want, b[i].Standard(), 0.001, b[i].Name)
	}
	assert.InDelta(t, b.Expanded(), got.Point.High-got.Point.Level.DB, 1e-4)
	assert.InDelta(t, b.Expanded(), got.Point.Level.DB-got.Point.Low, 1e-4)
	assert.Len(t, r.Point.Shares, 2, "what was given is left alone")

	r.Setup.DeviationPercent, r.Setup.Path.InputReflection = 0, 0
	assert.Equal(t, r, WidenResult(r))
	r = r.WithPoint(analyze.Point{Status: analyze.AboveRange})
	_, ok = BudgetOf(r, r.Figures[0])
	assert.False(t, ok)
}

// What the analysis joined of generator and pad stands in the budget by itself, and the
// budget still is the interval: a step of 2 dB, +-1 dB and +-0.5 dB, rectangular.
func TestBudgetOfALevelNamesTheGenerator(t *testing.T) {
	one := 1.0
	common := math.Hypot(1, 0.5) / math.Sqrt(3)
	half := 1.96 * math.Hypot(0.5, common)
	f := analyze.Reading{Name: job.FigureOpensAt, Unit: "dBm", Value: -112, Low: -112 - half, High: -112 + half, Common: common}
	r := analyze.Result{Setup: job.Setup{Kind: job.KindSquelchLevels, Path: job.RFPath{LevelUncertainty: &one, PadUncertaintyDB: 0.5}}, Figures: []analyze.Reading{f}}
	b, ok := BudgetOf(r, f)
	require.True(t, ok)
	require.Len(t, b, 3)
	for i, want := range []float64{0.5, 1 / math.Sqrt(3), 0.5 / math.Sqrt(3)} {
		assert.InDelta(t, want, b[i].Standard(), 1e-9, b[i].Name)
	}
	assert.InDelta(t, half, b.Expanded(), 1e-9)
}
