package limit

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

func TestEveryFigureSaysWhereItComesFrom(t *testing.T) {
	profiles := Profiles()
	require.NotEmpty(t, profiles)
	for _, p := range profiles {
		assert.NotEmpty(t, p.Title, p.Name)
		require.NotEmpty(t, p.Limits, p.Name)
		for _, l := range p.Limits {
			what := p.Name + ": " + l.Name + " " + l.Typed
			assert.NotEmpty(t, l.Source, what)
			assert.Contains(t, []string{job.Seen, job.Secondary, job.Memory, job.CommonPractice}, l.Standing, what)
			assert.Equal(t, l.Standing == job.CommonPractice, l.Source == "common practice", what)
			assert.Contains(t, []string{job.AtMost, job.AtLeast}, l.Bound, what)
			assert.Contains(t, job.BoundedQuantities(), l.Quantity, what)
			assert.Equal(t, p.Name, l.Profile, what)
			assert.NotEmpty(t, l.Name, what)
			assert.Contains(t, job.Modes, l.Conditions.Mode, what)
			again, err := job.ParseLimit(l.Typed, l.Quantity, unit.PD)
			require.NoError(t, err, what)
			assert.Equal(t, l.Value, again.Value, what)
			assert.Equal(t, l.Unit, again.Unit, what)
		}
	}
	assert.True(t, slices.IsSortedFunc(profiles, func(a, b Profile) int { return strings.Compare(a.Name, b.Name) }))
}

// Figures against the documents that were read: 47 CFR 95.975(d) and 95.975,
// 80.874(b), ETS 300 441 7.9, Japan MPT Notice 622/1970.
func TestFiguresThatWereSeen(t *testing.T) {
	for _, c := range []struct {
		profile, quantity, bound string
		value                    float64
	}{
		{"fm-27mhz", job.QuantityDeviation, job.AtMost, 2000},
		{"am-27mhz", job.QuantityModulation, job.AtLeast, 85},
		{"am-27mhz", job.QuantityModulation, job.AtMost, 100},
		{"marine-fm", job.QuantitySensitivity, job.AtMost, -113.0103},
		{"marine-fm", job.QuantitySensitivity, job.AtMost, -100.9691},
		{"marine-mf-am", job.QuantitySNR, job.AtLeast, 6},
		{"am-receiver", job.QuantityDistortion, job.AtMost, 10},
		{"am-receiver", job.QuantityDistortion, job.AtMost, 15},
		{"fm-quieting-20db", job.QuantitySensitivity, job.AtMost, -100.9691},
	} {
		p, err := Lookup(c.profile)
		require.NoError(t, err)
		assert.True(t, slices.ContainsFunc(p.Limits, func(l job.Limit) bool {
			return l.Quantity == c.quantity && l.Bound == c.bound && abs(l.Value-c.value) < 1e-4 && l.Standing == job.Seen
		}), "%+v", c)
	}
}

func TestLookup(t *testing.T) {
	_, err := Lookup("fm-land-mobil-12k5")
	assert.EqualError(t, err, `limit profile "fm-land-mobil-12k5" is not known: did you mean fm-land-mobile-12k5?`)
	_, err = Lookup("marine")
	assert.EqualError(t, err, `limit profile "marine" is not known: did you mean marine-fm or marine-mf-am?`)
	_, err = Lookup("xyzzy-plugh-quux")
	assert.ErrorContains(t, err, "known are am-27mhz, ")
	data, err := Source("fm-27mhz")
	require.NoError(t, err)
	assert.Contains(t, string(data), "profile: fm-27mhz")
	_, err = Source("../verdict.go")
	assert.Error(t, err)
	Profiles()[0].Limits[0].Value = 1
	assert.NotEqual(t, 1.0, Profiles()[0].Limits[0].Value, "a caller's change stays with the caller")
}

func TestPickTheLimitThatFits(t *testing.T) {
	p, err := Lookup("fm-land-mobile-12k5")
	require.NoError(t, err)
	test := job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}}, Reading: job.Reading{Mode: job.FM}, Mode: job.FM}
	picked := func() job.Limit {
		all := test.Pick(job.QuantitySensitivity, []Profile{p})
		require.Len(t, all, 1)
		return all[0]
	}
	assert.Equal(t, "0.5 µV PD", picked().Typed)
	test.Criterion.Value = 20
	test.Reading.Filter.Name = job.Psophometric
	assert.Equal(t, "6 dBµV EMF", picked().Typed)
	test.Criterion.Quantity = job.QuantityQuieting
	assert.NotEmpty(t, picked().Conditions.Misfit(test), "a limit that does not fit is shown as not judged")
	assert.Empty(t, test.Pick(job.QuantitySensitivity, nil))
}

func abs(x float64) float64 { return max(x, -x) }
