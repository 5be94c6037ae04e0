package truth_test

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/response"
	"hisspoint/capture"
	"hisspoint/capture/note"
	testsignal "hisspoint/capture/signal"
)

// through is x after a linear response, exact at every frequency: gain in dB and
// no change of phase but that of a delay in seconds.
func through(x []float64, rate int, dB func(hz float64) float64, delay float64) []float64 {
	n := len(x)
	f, done := libraryPlan(n)
	defer done()
	c := f.Coefficients(nil, x)
	for k := range c {
		hz := float64(k) * float64(rate) / float64(n)
		c[k] *= cmplx.Rect(gain(dB(math.Max(hz, 20)))/float64(n), -2*math.Pi*hz*delay)
	}
	return f.Sequence(nil, c)
}

// within adds white noise so that a mean square stands so many dB above what of the
// noise lies between 300 and 3400 Hz.
func within(x []float64, rate int, meanSquare, sn float64, seed uint64) []float64 {
	r := seeded(seed)
	sigma := math.Sqrt(meanSquare / gain(2*sn) * float64(rate) / 2 / 3100)
	out := slices.Clone(x)
	for i := range out {
		out[i] += sigma * r.NormFloat64()
	}
	return out
}

// A radio's response as filters have it: second-order corners at 280 and 3300 Hz
// around a slope, in dB.
func radio(slope float64) func(hz float64) float64 {
	return func(hz float64) float64 {
		low, high := math.Pow(280/hz, 4), math.Pow(hz/3300, 4)
		return slope*math.Log2(hz/1000) - 10*math.Log10((1+low)*(1+high)) + 10*math.Log10((1+math.Pow(0.28, 4))*(1+math.Pow(1/3.3, 4)))
	}
}

func responseOf(t testing.TB, rate int, x []float64, how analyze.ResponseHow) analyze.ResponseResult {
	t.Helper()
	r, err := response.Measure([]capture.Recording{capture.FromSamples("r.wav", rate, x)}, how)
	require.NoError(t, err)
	return r
}

const responseRate = 16000

// played are the test signals, short, as a radio with a slope gives them back at
// 30 dB S/N.
func played(slope float64, seed uint64) map[string][]float64 {
	out := map[string][]float64{}
	for kind, s := range map[string]testsignal.Signal{
		analyze.ResponseStepped:   testsignal.Stepped(responseRate, testsignal.StandardSteps(3), -12, 0.8),
		analyze.ResponseSweep:     testsignal.SweepSignal(responseRate, shortSweep(), -12, 0.5),
		analyze.ResponseMultitone: testsignal.Multitone(responseRate, testsignal.StandardMultitone(), -12, 5),
	} {
		out[kind] = within(through(s.Samples, responseRate, radio(slope), 0.002), responseRate, gain(2*s.LevelDBFS)/2, 30, seed)
	}
	return out
}

func shortSweep() testsignal.Sweep {
	return testsignal.Sweep{LowHz: 60, HighHz: 8000, Seconds: 10}.Synchronized()
}

// agrees holds a response against the truth: within 0.1 dB from 300 to 3400 Hz, and
// everywhere within what its intervals allow. It returns the largest difference.
func agrees(t *testing.T, r analyze.ResponseResult, truth func(hz float64) float64) float64 {
	t.Helper()
	worst := 0.0
	for _, p := range r.Points {
		off := p.DB - (truth(p.Hz) - truth(1000))
		half := (p.High - p.Low) / 2
		if p.Hz >= 300 && p.Hz <= 3400 {
			worst = math.Max(worst, math.Abs(off))
			assert.InDelta(t, 0, off, 0.1, "%s at %g Hz, 95 %% %.3f", r.Kind, p.Hz, half)
		}
		assert.InDelta(t, 0, off, 2.5*half+0.02, "%s at %g Hz", r.Kind, p.Hz)
	}
	return worst
}

// Stepped tones, a sweep and a multitone through one response give that response,
// known in closed form, within 0.1 dB at 30 dB S/N; each is recognised by itself,
// and edges, tilt and mask are those of the closed form.
func TestResponsesAgree(t *testing.T) {
	truth := radio(0)
	edge := func(from, to float64) float64 { // where the truth is 3 dB down, by halving
		for range 60 {
			if middle := math.Sqrt(from * to); truth(middle)-truth(1000) > -3 {
				from = middle
			} else {
				to = middle
			}
		}
		return from
	}
	for kind, x := range played(0, 11) {
		r := responseOf(t, responseRate, x, analyze.ResponseHow{Sweep: shortSweep()})
		require.Empty(t, r.Why, kind)
		assert.Equal(t, kind, r.Kind)
		assert.Empty(t, r.Warnings, kind)
		require.GreaterOrEqual(t, len(r.Points), 14, kind)
		worst := agrees(t, r, truth)
		t.Logf("%s: %d points, furthest off %.3f dB; tilt %.3f [%.3f %.3f], edges %.0f %.0f, %s", kind, len(r.Points), worst, r.Tilt.Value, r.Tilt.Low, r.Tilt.High, r.EdgeLow.Value, r.EdgeHigh.Value, r.Lean)
		assert.Equal(t, analyze.LeanEven, r.Lean)
		// Straight lines between tones a third of an octave apart miss a bend by some percent.
		assert.InEpsilon(t, edge(1000, 6000), r.EdgeHigh.Value, 0.02, kind)
		if kind == analyze.ResponseSweep {
			assert.InEpsilon(t, edge(1000, 100), r.EdgeLow.Value, 0.02)
		} else {
			assert.NotEmpty(t, r.EdgeLow.Why, "there is no tone below the edge")
		}
		require.NotNil(t, r.Mask)
		assert.Equal(t, analyze.MaskInside, r.Mask.Outcome, "%+v", r.Mask)
	}
}

// Pre-emphasis by 6 dB an octave and by 750 us as computed outside the project: what
// a set without either gives through a monitor with the one is level once the
// monitor's curve is taken out, within 0.1 dB.
func TestEmphasisIsTakenOut(t *testing.T) {
	curve := func(column string) func(hz float64) float64 {
		var hz, dB []float64
		for _, row := range reference(t, "deemphasis.csv") {
			hz, dB = append(hz, number(t, row, "freq_hz")), append(dB, number(t, row, column))
		}
		return func(f float64) float64 {
			i, _ := slices.BinarySearch(hz, f)
			i = min(max(1, i), len(hz)-1)
			u := math.Log(f/hz[i-1]) / math.Log(hz[i]/hz[i-1])
			return dB[i-1] + math.Max(0, math.Min(1, u))*(dB[i]-dB[i-1])
		}
	}
	tones := []float64{300, 400, 500, 600, 800, 1000, 1250, 1500, 2000, 2500, 3000, 3400} // rows of the table
	s := testsignal.Stepped(responseRate, tones, -12, 0.5)
	for _, c := range []struct{ column, monitor, against string }{
		{"tau750us_re1k", analyze.Monitor750us, analyze.AgainstFlat},
		{"ideal_6dB_oct_re1k", analyze.Monitor6dB, analyze.AgainstFlat},
		{"ideal_6dB_oct_re1k", analyze.MonitorFlat, analyze.AgainstDeEmphasis},
	} {
		x := through(s.Samples, responseRate, curve(c.column), 0)
		r := responseOf(t, responseRate, within(x, responseRate, gain(-24)/2, 40, 12), analyze.ResponseHow{Against: c.against, Monitor: analyze.MonitorCurve{Name: c.monitor}})
		require.Empty(t, r.Why)
		require.Len(t, r.Points, len(tones))
		for _, p := range r.Points {
			assert.InDelta(t, 0, p.Deviation, 0.1, "%s at %g Hz", c.column, p.Hz)
		}
		assert.InDelta(t, 0, r.Tilt.Value, 0.02)
		for _, b := range r.Bands {
			assert.InDelta(t, 0, b.Level.Value, 0.05)
		}
		assert.Equal(t, analyze.MaskInside, r.Mask.Outcome)
	}
	// Without pre-emphasis the deviation falls by 6.02 dB an octave: bassy, and outside.
	r := responseOf(t, responseRate, within(s.Samples, responseRate, gain(-24)/2, 40, 13), analyze.ResponseHow{Against: analyze.AgainstPreEmphasis})
	assert.InDelta(t, -6.02, r.Tilt.Value, 0.02)
	assert.Equal(t, analyze.LeanBassy, r.Lean)
	assert.Equal(t, analyze.MaskOutside, r.Mask.Outcome)
	assert.InDelta(t, 10.46, r.Mask.WorstDB, 0.05, "20 log10(1000/300)")
	assert.InDelta(t, 12.04, r.Balance.Value, 0.05, "two octaves")
}

// The clock of a sound card that is 200 ppm off, and one tone a recording.
func TestResponseWithAnotherClockAndInPieces(t *testing.T) {
	truth := radio(-6.02)
	// 200 ppm: as if the recording had been made at another rate.
	m := testsignal.Multitone(responseRate, testsignal.StandardMultitone(), -12, 0.1)
	x := make([]float64, 2*responseRate)
	for k, hz := range m.TonesHz {
		for i := range x {
			x[i] += 0.02 * gain(truth(hz)) * math.Sin(2*math.Pi*math.Mod(hz*1.0002*float64(i)/responseRate, 1)+float64(k*k))
		}
	}
	r := responseOf(t, responseRate, within(x, responseRate, 2e-4, 30, 14), analyze.ResponseHow{})
	require.Empty(t, r.Why)
	agrees(t, r, truth)
	var rs []capture.Recording
	for i, hz := range []float64{300, 500, 700, 1000, 1400, 2000, 2800} {
		x := silence(responseRate, 0.7).tone(0.2*gain(truth(hz)-truth(1000)), hz, 0.3).x
		rs = append(rs, capture.FromSamples("piece.wav", responseRate, within(x, responseRate, 0.02, 30, uint64(20+i))))
	}
	r, err := response.Measure(rs, analyze.ResponseHow{})
	require.NoError(t, err)
	require.Len(t, r.Points, 7)
	assert.Equal(t, analyze.ResponseStepped, r.Kind)
	agrees(t, r, truth)
}

// A tone that is too weak is left out and named; one that comes out differently
// when repeated is told.
func TestResponseWarnings(t *testing.T) {
	s := testsignal.Stepped(responseRate, testsignal.StandardSteps(3), -20, 0.5)
	x := slices.Clone(s.Samples)
	for i := range x {
		at := i / (responseRate / 2)
		switch {
		case at == 3: // 500 Hz
			x[i] *= 1e-4
		case at >= 14: // 1 kHz once more
			x[i] *= gain(1)
		}
	}
	r := responseOf(t, responseRate, within(x, responseRate, gain(-40)/2, 30, 15), analyze.ResponseHow{})
	require.Empty(t, r.Why)
	var codes []string
	for _, w := range r.Warnings {
		codes = append(codes, string(w.Code))
		if w.Code == "tone-missing" {
			assert.Contains(t, w.Says.Parts[0].(note.Tones), 500.0)
		}
	}
	assert.ElementsMatch(t, []string{"gain-changed", "tone-missing"}, codes)
	for _, p := range r.Points {
		assert.Greater(t, math.Abs(p.Hz-500), 10.0)
	}
	x[1000] = math.NaN()
	assert.Equal(t, string(capture.NotFinite), responseOf(t, responseRate, x, analyze.ResponseHow{}).Why)
}

// Whatever is no test signal gives no response: noise, silence, a lone tone, and
// talk no tones, sweep or multitone.
func TestNoResponseThatIsNotThere(t *testing.T) {
	const quietRate = 8000
	r := seeded(16)
	burst := times(0.1, noise(r, quietRate, 12*quietRate, between(300, 3400)))
	steps := silence(quietRate, 12).tone(0.1, 1000, 0).x
	for i := range burst {
		if i/quietRate%3 == 0 {
			burst[i] *= 0.01
		}
		steps[i] *= math.Pow(10, -float64(i/quietRate)/10)
	}
	syllables := noise(r, 12000, 12*12000, between(90, 5500))
	for i := range syllables {
		syllables[i] *= 0.1 * math.Pow(math.Abs(math.Sin(4*math.Pi*float64(i)/12000)), 1.5)
	}
	for name, x := range map[string][]float64{
		"short bursts": syllables,
		"bursts":       burst,
		"level steps":  steps,
		"white noise":  times(0.1, noise(r, quietRate, 12*quietRate, between(0, 4000))),
		"audio noise":  times(0.1, noise(r, quietRate, 12*quietRate, between(300, 3400))),
		"silence":      make([]float64, 3*quietRate),
		"a lone tone":  silence(quietRate, 6).tone(0.1, 1000, 0).x,
		"short":        make([]float64, 100),
		"tone and hum": within(silence(quietRate, 4).tone(0.1, 1000, 0).tone(0.1, 100, 0).x, quietRate, 0.01, 30, 3),
	} {
		rate := quietRate
		if name == "short bursts" {
			rate = 12000
		}
		got := responseOf(t, rate, x, analyze.ResponseHow{})
		assert.NotEmpty(t, got.Why, name)
		assert.Empty(t, got.Points, name)
	}
	for i := range 2 {
		x := speech(seeded(uint64(30+i)), quietRate, 12).x
		for _, kind := range []string{analyze.ResponseStepped, analyze.ResponseSweep, analyze.ResponseMultitone} {
			got := responseOf(t, quietRate, x, analyze.ResponseHow{Kind: kind})
			assert.NotEmpty(t, got.Why, "talk as %s", kind)
		}
	}
}

// The tilt's interval holds the truth as often as it says: seeded stepped tones in
// noise. Truth is the slope of the closed form at the same tones.
func TestTiltHoldsTheTruth(t *testing.T) {
	tones := []float64{300, 450, 670, 1000, 1500, 2240, 3000}
	s := testsignal.Stepped(8000, tones, -20, 0.45)
	held, narrow, n := 0, 0, runsOf(120, 1500)
	clean := through(s.Samples, 8000, func(hz float64) float64 { return -1.5 * math.Log2(hz/1000) }, 0)
	for i := range n {
		r := responseOf(t, 8000, within(clean, 8000, gain(-40)/2, 20, uint64(1000+i)), analyze.ResponseHow{Kind: analyze.ResponseStepped})
		require.Empty(t, r.Why)
		if r.Tilt.Low <= -1.5 && r.Tilt.High >= -1.5 {
			held++
		}
		if half := 0.7 * (r.Tilt.High - r.Tilt.Low) / 2; math.Abs(r.Tilt.Value+1.5) <= half {
			narrow++
		}
	}
	share := 100 * float64(held) / float64(n)
	t.Logf("%d runs: %.1f %% held, narrowed by 30 %%: %.1f %%", n, share, 100*float64(narrow)/float64(n))
	chance := 100 * 3 * math.Sqrt(0.95*0.05/float64(n))
	assert.InDelta(t, 95, share, math.Max(2, chance))
	if n >= 1000 {
		assert.Less(t, 100*float64(narrow)/float64(n), 93.0, "a narrower interval would be noticed")
	}
}

// runsOf is how often something is tried: a few times, or at length.
func runsOf(short, atLength int) int {
	if long() {
		return atLength
	}
	return short
}

// A measured monitor's curve is taken out, its uncertainty is in the interval, and
// tones it does not reach are left out.
func TestMeasuredMonitorCurve(t *testing.T) {
	s := testsignal.Stepped(responseRate, testsignal.StandardSteps(3), -20, 0.5)
	truth := radio(-6.02)
	x := within(through(s.Samples, responseRate, truth, 0), responseRate, gain(-40)/2, 40, 17)
	m := analyze.MonitorCurve{Name: "monitor.json"}
	for _, hz := range testsignal.Frequencies(250, 3000, 12) {
		m.Hz, m.DB, m.SD = append(m.Hz, hz), append(m.DB, truth(hz)), append(m.SD, 0.1)
	}
	r := responseOf(t, responseRate, x, analyze.ResponseHow{Monitor: m})
	require.Empty(t, r.Why)
	assert.Len(t, r.Points, 12, "not 3150 and 3400 Hz")
	require.Len(t, r.Warnings, 1)
	assert.InDeltaSlice(t, []float64{3150, 3400}, []float64(r.Warnings[0].Says.Parts[0].(note.Tones)), 0.01)
	for _, p := range r.Points {
		assert.InDelta(t, 0, p.DB, 0.1)
		if math.Abs(p.Hz-1000) > 1 {
			assert.Greater(t, p.High-p.Low, 2*1.96*0.1)
		}
	}
}

// A ladder of tones whose file says another sample rate than it was taken with is told by
// the ladder itself; one that says the right rate, or a ladder of its own, is not.
func TestLaddersTellAWrongRate(t *testing.T) {
	says := func(label, rate int, tones, expected []float64) []capture.Warning {
		x := testsignal.Stepped(rate, tones, -20, 0.8).Samples
		return responseOf(t, label, within(x, rate, gain(-40)/2, 40, 9), analyze.ResponseHow{Kind: analyze.ResponseStepped, TonesHz: expected}).Warnings
	}
	third, own := testsignal.StandardSteps(3), []float64{300, 450, 670, 1000, 1500, 2240, 3000}
	for _, c := range []struct{ label, rate int }{{44100, 48000}, {48000, 44100}, {11025, 22050}, {32000, 16000}} {
		for i, tones := range [][]float64{third, own} {
			w := says(c.label, c.rate, tones, [][]float64{nil, own}[i])
			require.Len(t, w, 1, "%d as %d", c.rate, c.label)
			assert.Equal(t, capture.RateSuspect, w[0].Code)
		}
		assert.Empty(t, says(c.rate, c.rate, third, nil))
		assert.Empty(t, says(c.label, c.rate, own, nil), "nobody knows where such tones belong")
	}
}

// Hum that stands on a tone moves its level by as much as its phase lets it, up to 20
// log10(1 + r): the tone's interval holds that at any phase, and tones that stand beside
// the mains keep theirs.
func TestHumOnLowTonesWidensThem(t *testing.T) {
	tones := []float64{200, 250, 300, 330, 450, 670, 1000, 1500, 2240, 3000}
	s := testsignal.Stepped(8000, tones, -20, 0.8)
	clean := responseOf(t, 8000, within(s.Samples, 8000, gain(-40)/2, 40, 5), analyze.ResponseHow{Kind: analyze.ResponseStepped})
	held, n := 0, 0
	for i := range 12 {
		x := slices.Clone(s.Samples)
		for k, hz := range []float64{100, 200, 300} { // on 200 and 300 Hz 20 and 26 dB below the tones
			for j := range x {
				x[j] += 0.1 * []float64{1, 0.1, 0.05}[k] * math.Sin(2*math.Pi*hz*float64(j)/8000+float64(i*(k+2)))
			}
		}
		r := responseOf(t, 8000, within(x, 8000, gain(-40)/2, 40, uint64(i)), analyze.ResponseHow{Kind: analyze.ResponseStepped})
		require.Empty(t, r.Why)
		require.Len(t, r.Points, len(tones))
		for k, p := range r.Points {
			switch tones[k] {
			case 200, 300:
				n++
				if p.Low <= 0 && 0 <= p.High {
					held++
				}
				assert.Greater(t, p.High-p.Low, 0.5, "%g Hz", p.Hz)
			case 330, 450, 670:
				assert.InDelta(t, clean.Points[k].High-clean.Points[k].Low, p.High-p.Low, 0.05, "%g Hz", p.Hz)
			}
		}
	}
	t.Logf("%d of %d held", held, n)
	assert.Equal(t, n, held, "u-shaped: 1.96 standard uncertainties reach over every phase")
}
