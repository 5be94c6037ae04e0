package truth_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/mathext"

	"hisspoint/analyze"
	"hisspoint/capture/simulate"
)

// The long run: intervals of every reading at 6, 12 and 20 dB SINAD, in clicks and in
// Gaussian noise alone, over 1,000 recordings each of 1, 5, 15 and 60 s. Those of the
// noise and of the tone hold the truth 93 to 97 % of the time, give or take what 1,000
// tries leave open, more where clicks are so few that their whole number shows, and over
// all conditions 94 to 96.5 %; those of the others 93 % or more, 94 % over all. More is
// allowed where the deviation is not stated. No constant of the method was chosen on these seeds.
func TestIntervalsHoldTheTruth(t *testing.T) {
	if !long() {
		t.Skip("an hour or two of computing: set HISSPOINT_LONG=1")
	}
	names := []string{
		analyze.SINAD, analyze.THDN, analyze.SNR, analyze.NoiseLevel, analyze.Level, analyze.ToneLevel,
		analyze.ToneFrequency, analyze.THD, analyze.HumLevel, analyze.DCOffset,
	}
	all := map[string]*coverage{}
	lengths := []parts{{seconds: 1, each: 4, of: 250, unstated: true}, {seconds: 5, each: 4, of: 250, unstated: true}, {seconds: 15, each: 4, of: 250, unstated: true}, {seconds: 60, each: 1, of: 1000, unstated: false}}
	for _, sinad := range []float64{12, 6, 20} {
		for _, s := range []source{
			received(t, "7.5 kHz IF, 1.2 kHz", benchOf(simulate.Healthy27MHzFM(), 22), sinad),
			received(t, "12 kHz IF, 3 kHz", benchOf(invented(), 21), sinad),
			gaussian(sinad),
		} {
			p := s.measured(t, 1000, 60, lengths...)
			for _, c := range lengths {
				for _, name := range names {
					p.claim(t, all, p.ms[c.seconds], c.seconds, name, name)
				}
				if c.unstated {
					p.claim(t, all, p.unstated[c.seconds], c.seconds, analyze.SINAD, "sinad, not stated")
				}
			}
		}
	}
	for label, c := range all {
		t.Logf("all of %s: n %d, inside %.2f %%", label, c.n, 100*c.share())
		assert.GreaterOrEqual(t, c.share(), 0.94, label)
		if ofNoiseOrTone(label) {
			assert.LessOrEqual(t, c.share(), 0.965, label)
		}
	}
}

func ofNoiseOrTone(label string) bool {
	switch label {
	case analyze.SINAD, analyze.THDN, analyze.SNR, analyze.NoiseLevel, analyze.Level, analyze.ToneLevel:
		return true
	}
	return false
}

func (p *bulk) claim(t *testing.T, all map[string]*coverage, ms []analyze.Measured, seconds float64, name, label string) {
	c := p.covered(ms, name, 1)
	if c.n < 900 { // hum below the noise
		return
	}
	if all[label] == nil {
		all[label] = new(coverage)
	}
	all[label].n, all[label].inside = all[label].n+c.n, all[label].inside+c.inside
	narrow := p.covered(ms, name, 0.7).share()
	t.Logf("%-28s %4g s %-18s %v; narrowed by 30 %%: %.1f %%", p.name, seconds, label, c, 100*narrow)
	// Three standard deviations: of some 340 claims two would fail eight by chance.
	chance := 3 * math.Sqrt(0.05*0.95/float64(c.n))
	assert.GreaterOrEqual(t, c.share(), 0.93-chance, "%s, %g s, %s", p.name, seconds, label)
	if ofNoiseOrTone(label) {
		most := math.Max(0.97, countCovered(p.clicks*seconds))
		assert.LessOrEqual(t, c.share(), most+chance, "%s, %g s, %s", p.name, seconds, label)
		assert.Less(t, narrow, 0.93, "%s, %g s, %s, narrowed by 30 %%", p.name, seconds, label)
	}
}

// countCovered is the largest share that intervals of a Poisson mean between two thirds
// of and one and a half times the one given hold of it, if their ends are gamma quantiles
// of order n + 1/4 and n + 1/2, by the Poisson distribution itself: a count is a whole
// number, so where clicks are few no ends hold 95 %.
func countCovered(mean float64) (most float64) {
	if mean < 0.01 || mean > 100 { // no clicks to speak of; so many that it makes no difference
		return 0
	}
	for by := 1 / 1.5; by <= 1.5; by *= 1.05 {
		m, inside := mean*by, 0.0
		p := math.Exp(-m)
		for n := 0.0; n < 200; n++ {
			if (n == 0 || mathext.GammaIncRegInv(n+0.25, 0.025) <= m) && m <= mathext.GammaIncRegInv(n+0.5, 0.975) {
				inside += p
			}
			p *= m / (n + 1)
		}
		most = math.Max(most, inside)
	}
	return most
}
