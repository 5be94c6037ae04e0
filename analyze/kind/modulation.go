package kind

import (
	"fmt"
	"math"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/capture/unit"
)

// ModulationDepth is that of an AM transmitter. From highest and lowest carrier as
// read off a scope it is (high - low)/(high + low). Otherwise it is by substitution,
// since a sound card passes no DC and so no carrier: the same monitor hears a
// generator of known depth, and the carrier reaches the detector equally strong both
// times (AGC or a matched level sees to that). The half-waves are those of the
// envelope; a trough of 100 % is a carrier that is cut off.
func ModulationDepth(t job.Setup, rs []capture.Recording) (analyze.Result, error) {
	if t.Setting(job.SettingHighest) != "" || t.Setting(job.SettingLowest) != "" {
		return depthFromScope(t), nil
	}
	known, why := knownReference(t, rs, job.SettingReferenceDepth, unit.ParsePercent)
	if why == "" && known > 95 {
		why = "a reference above 95 % is not linear in any detector: use one of 30 to 80 %"
	}
	if why != "" {
		return analyze.Refused(t, why+", or the highest and lowest carrier read off a scope"), nil
	}
	m, ref, why, err := referenceOf(t, rs[len(rs)-1], known)
	if err != nil {
		return analyze.Result{}, err
	}
	if why != "" {
		return analyze.Refused(t, why, ref), nil
	}
	u, w, why, err := readWave(rs[0], t.Reading, "transmitter")
	if err != nil {
		return analyze.Result{}, err
	}
	u.Take = t.Takes[0]
	if why == "" {
		why = m.copied(u, w)
	}
	if why != "" {
		return analyze.Refused(t, why, u, ref), nil
	}
	out := analyze.Result{Setup: t, Rows: []analyze.Used{u, ref}, Warnings: m.otherTone(w)}
	percent := func(name string, of func(up, down float64) float64) analyze.Reading {
		r := m.scaled(w, name, of)
		r.Unit = "%"
		return r
	}
	tone := m.widened(w.reading(job.FigureToneDepth, "%", func(mean []complex128) float64 { return m.scale * cabs(mean[0]/m.through(w.hz)) }))
	out.Figures = []analyze.Reading{percent(job.QuantityModulation, math.Max), tone, percent(job.FigureDepthLarger, math.Max), percent(job.FigureDepthLesser, math.Min)}
	out.Says = []note.Note{note.Phrase("It holds only if the carrier reached the detector as strong as the reference's did: compare the S-meter, or the AGC voltage.")}
	if f := out.Figures[0]; f.OK() && f.Value > 95 {
		out.Says = append(out.Says, note.Phrase("Near 100 % the detector's own distortion and a carrier that is cut off look alike: look at the carrier with a scope."))
	}
	if !m.stated {
		out.Says = append(out.Says, note.Phrase("The uncertainty of the reference generator's depth is not stated, so what is usual is assumed: state deviation_uncertainty_percent of the generator under equipment."))
	}
	return out, nil
}

// depthFromScope is the depth from typed readings of a scope.
func depthFromScope(t job.Setup) analyze.Result {
	high, unitH, errH := scopeReading(t.Setting(job.SettingHighest))
	low, unitL, errL := scopeReading(t.Setting(job.SettingLowest))
	if errH != nil || unitH != unitL && low != 0 || errL != nil || !(high > low) || low < 0 {
		return analyze.Refused(t, fmt.Sprintf("highest %q and lowest %q are no readings of a carrier: write both in the same unit, the highest first", t.Setting(job.SettingHighest), t.Setting(job.SettingLowest)))
	}
	return analyze.Result{Setup: t, Figures: []analyze.Reading{analyze.Exact(job.QuantityModulation, "%", 100*(high-low)/(high+low), "it was read by eye")},
		Says: []note.Note{note.Phrase("Read by eye off a scope: the value alone, without an interval.")}}
}

// scopeReading is a figure as it was read off a scope, apart from its unit.
func scopeReading(text string) (v float64, unitName string, err error) {
	number := strings.TrimRight(strings.TrimSpace(text), "abcdefghijklmnopqrstuvwxyzV\u00b5 ")
	v, err = unit.ParseNumber(number)
	return v, strings.TrimSuffix(strings.TrimSpace(strings.TrimSpace(text)[len(number):]), "s"), err
}
