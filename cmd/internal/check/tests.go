package check

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"hisspoint/analyze"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
	"hisspoint/cmd/internal/plan"
	"hisspoint/cmd/internal/run"
	"hisspoint/reports/sentence"
)

// use is where a recording is used.
type use struct {
	round, test string
	level       unit.Level
	typed       string // of the level; empty: not stated
	state       string
}

// test looks at one test of the round.
func (c *checker) test(index int, t job.Test) {
	kind, _ := job.KindOf(t.Kind)
	if !kind.Fits(c.job.Set.Mode) {
		c.add("take it out, or correct set.mode", "%s is for %s, and the set is %s", t.Label(), strings.ToUpper(strings.Join(kind.Modes, " and ")), strings.ToUpper(c.job.Set.Mode))
	}
	why, left := c.round.LeftOut(t)
	switch {
	case left && !t.Planned():
		c.add("take it out of not_measured, or its recordings out of the test", "%s is recorded, and not measured as well (%s)", t.Label(), why)
	case left:
		return
	}
	c.limits(t)
	if c.missing(kind, t); t.Planned() {
		return
	}
	c.places(kind, t)
	c.references(t)
	var files []job.Take
	seen := map[string]bool{}
	for _, take := range t.AllTakes() {
		if take.File == "" || t.OneFile() && seen[take.File] {
			continue
		}
		seen[take.File] = true
		c.usedTwice(kind, t, take)
		if c.there(take.File) {
			files = append(files, take)
			c.asKept(take.File)
		}
	}
	c.tones(kind, t, files)
	c.mixed(kind, t, len(files))
}

// asKept says which file is not what it was when the job took it.
func (c *checker) asKept(file string) {
	now, err := jobfile.Identity(c.rn.Dir, file)
	if err != nil {
		return // what cannot be read is said when it is measured
	}
	if why := c.job.NotAsKept(file, now.SHA256); why != "" {
		what, _, _ := strings.Cut(why, ": ")
		c.add(fmt.Sprintf("hisspoint job replace %q NEW, or its own name if it was meant", file), "%s", what)
	}
}

// mixed says which recording of a series may be of another level.
func (c *checker) mixed(kind job.Kind, t job.Test, files int) {
	if !kind.Point || t.OneFile() || files < 3 || t.Stanza.Setting(job.SettingLevelsChecked) != "" {
		return
	}
	result, err := c.rn.Kind(c.job.Setup(c.round, t), run.Use{})
	if err != nil {
		return // a file that is missing is said already
	}
	for _, w := range result.Warnings {
		if w.Code == capture.SeriesContradicts {
			text, file := sentence.Of(w.Says), ""
			for _, f := range t.Files() {
				if at := strings.Index(text, f); at >= 0 && (file == "" || at < strings.Index(text, file)) {
					file = f
				}
			}
			c.add(fmt.Sprintf("hisspoint job move %q --place LEVEL --round %s", file, c.name), "%s: %s (if all is right: hisspoint job set rounds.%s.tests.%s.levels_checked yes)",
				t.Label(), text, c.name, plan.TypedTest(t))
		}
	}
}

// limits says where a test could not be judged by the limit that there is for it.
func (c *checker) limits(t job.Test) {
	kind, _ := job.KindOf(t.Kind)
	s := c.job.Setup(c.round, t)
	for _, quantity := range kind.Limits {
		for _, l := range s.Pick(quantity, c.profiles) {
			if c.otherMode(l) {
				return
			}
			why := l.Conditions.Misfit(s)
			if why == "" {
				continue
			}
			if quantity != job.QuantitySensitivity { // else it is named by its test
				why = l.Name + ": " + why
			}
			c.add(fmt.Sprintf("hisspoint job set rounds.%s.tests.%s.KEY \"...\" (criterion, filter, tone, deviation, depth or level), or another profile", c.name, plan.TypedTest(t)),
				"%s cannot be judged: %s", t.Label(), why)
			return
		}
	}
}

// otherMode tells whether a limit is for another mode than that of the set, and
// says once which profile it is from and how it is taken out.
func (c *checker) otherMode(l job.Limit) bool {
	mode := c.job.Set.Mode
	if l.Conditions.Mode == "" || mode == "" || l.Conditions.Mode == mode {
		return false
	}
	names := c.job.AllLimits()
	var rest []string
	for i, p := range c.profiles {
		if slices.ContainsFunc(p.Limits, func(l job.Limit) bool { return l.Conditions.Mode == "" || l.Conditions.Mode == mode }) {
			rest = append(rest, names[i])
		}
	}
	next := fmt.Sprintf("hisspoint job set limits NAME, with one for %s (hisspoint limits lists them)", mode)
	if len(rest) > 0 {
		next = fmt.Sprintf("take it out: hisspoint job set limits %q", strings.Join(rest, ", "))
	}
	of := "limit profile"
	if len(c.job.Limits) == 0 {
		of = "shop's limit profile"
	}
	f := Finding{"", fmt.Sprintf("the %s %s is for mode %s, and the set is %s: nothing can be judged by it", of, l.Profile, l.Conditions.Mode, mode), next}
	if !slices.Contains(c.found, f) {
		c.found = append(c.found, f)
	}
	return true
}

// missing says what is planned and not recorded yet.
func (c *checker) missing(kind job.Kind, t job.Test) {
	open := t.Missing()
	if !t.Planned() && len(open) == 0 {
		return
	}
	next := fmt.Sprintf("hisspoint job add FILE --test %s --round %s", plan.TypedTest(t), c.name)
	if kind.Transmit {
		next = "dummy load first; then " + next
	}
	var places []string
	for _, k := range open {
		places = append(places, plan.PlaceText(kind, k, c.round.Conditions.LevelKind))
	}
	list := strings.Join(places, ", ")
	switch {
	case !t.Planned():
		c.add(next, "%s: %d of %d are not recorded yet: %s", t.Label(), len(open), len(t.AllTakes()), list)
	case t.OneFile():
		c.add(next, "%s is not recorded yet: one file with %s", t.Label(), list)
	case len(open) > 0:
		c.add(strings.Replace(next, "FILE", "FILES", 1), "%s is not recorded yet: a file each at %s", t.Label(), list)
	case kind.Point:
		c.add(strings.Replace(next, "FILE", "FILES", 1), "%s is not recorded yet: a file each at about five levels on both sides of the point, 2 to 3 dB apart", t.Label())
	default:
		c.add(next, "%s is not recorded yet", t.Label())
	}
}

// there tells whether a recording lies in the job's folder, and says so if not.
func (c *checker) there(file string) bool {
	if _, err := os.Stat(filepath.Join(c.rn.Dir, filepath.FromSlash(file))); err != nil {
		c.add("copy it into the job's folder", "%s is not there", file)
		return false
	}
	return true
}

// places looks for places that are there twice, and for series of one.
func (c *checker) places(kind job.Kind, t job.Test) {
	if t.OneFile() || kind.Axis == "" {
		return
	}
	type place struct {
		level unit.Level
		at    float64
		typed string
		state string
	}
	seen := map[place]bool{}
	levels := 0
	for _, k := range t.AllTakes() {
		if k.File == "" {
			continue
		}
		p := place{level: k.Level, at: k.At, state: k.State}
		if kind.Axis == job.AxisVolume {
			p.typed = k.AtTyped
		}
		if seen[p] {
			c.add("correct one of them, or leave it as a repeat", "%s: the %s %s is there twice", t.Label(), kind.Axis, plan.PlaceText(kind, k, c.round.Conditions.LevelKind))
		} else if k.Level.Scale != unit.Off && k.State != job.StateCarrier {
			levels++
		}
		seen[p] = true
	}
	if kind.Point && levels == 1 {
		c.add("record more levels and add them", "sensitivity: one level gives no point")
	}
	within := c.job.Set.Mode == job.SSB && !job.AGCHeld(c.round.Conditions.Controls, t.Stanza.Note)
	if t.Stanza.Criterion.Quantity != job.QuantitySNN || within {
		return
	}
	for _, k := range t.AllTakes() {
		p := place{level: k.Level, at: k.At, state: k.State}
		other := p
		other.state = map[string]string{job.StateCarrier: job.StateModulated, job.StateModulated: job.StateCarrier}[p.state]
		if seen[p] && !seen[other] {
			seen[other] = true // said once, however often it was recorded
			c.add("record the "+other.state+" at that level too", "%s: %s has no recording %s", t.Label(), plan.PlaceText(kind, job.Take{Level: k.Level, Typed: k.Typed}, c.round.Conditions.LevelKind), other.state)
		}
	}
}

// references looks at the files and figures that a test is compared with.
func (c *checker) references(t job.Test) {
	if t.Stanza == nil {
		return
	}
	kind, _ := job.KindOf(t.Kind)
	for _, key := range kind.Settings {
		if value := t.Stanza.Setting(key); value != "" && job.SettingIsFile(key, value) {
			c.there(value)
		}
	}
	complete := func(keys []string) bool {
		return !slices.ContainsFunc(keys, func(k string) bool { return t.Stanza.Setting(k) == "" })
	}
	if len(kind.Needs) == 0 || slices.ContainsFunc(kind.Needs, complete) {
		return
	}
	var ways []string
	for _, keys := range kind.Needs {
		ways = append(ways, strings.Join(keys, " and "))
	}
	for _, key := range kind.Needs[0] {
		if t.Stanza.Setting(key) == "" {
			c.add(fmt.Sprintf("hisspoint job set rounds.%s.tests.%s.%s ...", c.name, plan.TypedTest(t), key), "%s has nothing to be compared with: it needs %s", t.Label(), strings.Join(ways, ", or "))
			return
		}
	}
}

// usedTwice looks whether a recording stands for two different things. Tests
// that ask for the same signal may share one.
func (c *checker) usedTwice(kind job.Kind, t job.Test, take job.Take) {
	now := use{round: c.name, test: t.Label(), level: take.Level, typed: take.Typed, state: take.State}
	if t.Stanza != nil && now.typed == "" {
		now.level, now.typed = t.Stanza.Level, t.Stanza.LevelTyped
	}
	key := fmt.Sprintf("%s from %g", take.File, take.From)
	old, twice := c.used[key]
	if !twice {
		c.used[key] = now
		return
	}
	differs := old.typed != "" && now.typed != "" && old.level != now.level || old.state != "" && now.state != "" && old.state != now.state
	switch {
	case old.round != now.round:
		c.add("name the right recording", "%s is used twice, also in %s", take.File, strings.ReplaceAll(old.round, "_", " "))
	case old.test == now.test:
		c.add("name the right recording", "%s is used twice in %s", take.File, now.test)
	case differs:
		level := c.round.Conditions.LevelKind
		was, is := plan.PlaceText(kind, job.Take{Typed: old.typed, State: old.state}, level), plan.PlaceText(kind, job.Take{Typed: now.typed, State: now.state}, level)
		c.add("name the right recording", "%s is used twice: %s in %s, %s in %s", take.File, was, old.test, is, now.test)
	}
}

// tones compares the tone of each recording with the planned one.
func (c *checker) tones(kind job.Kind, t job.Test, takes []job.Take) {
	if t.OneFile() {
		return
	}
	due := slices.DeleteFunc(slices.Clone(takes), func(k job.Take) bool { return !plan.ToneDue(t, k) })
	texts := make([]string, len(due))
	c.rn.InParallel(len(due), func(i int) {
		k := due[i]
		how := plan.HowFor(c.job, t, k)
		how.Channel = c.job.AudioChannel(c.round)
		r := c.rn.MeasureFile(k.File, how, run.Use{From: k.From, To: k.To})[0]
		switch hz := r.Measured.Get(analyze.ToneFrequency); {
		case r.Error != "":
			texts[i] = k.File + ": " + r.Error
		case r.Measured.OtherTone != 0 && !hz.OK() && math.Abs(r.Measured.OtherTone/how.Tone()-1) > 0.05:
			texts[i] = fmt.Sprintf("%s has a tone of %.0f Hz, planned is %g Hz", k.File, r.Measured.OtherTone, how.Tone())
		}
	})
	for _, text := range texts {
		if text != "" {
			c.add("set the tone of the test, or record again", "%s", text)
		}
	}
}

// meteredApart is by how many percent two calibrations by a meter may differ:
// what moving-iron and cheap digital meters keep (common practice, no source).
const meteredApart = 5

// metered compares the recordings at which a meter was read.
func (c *checker) metered() {
	takes := c.round.Metered()
	if len(takes) < 2 {
		return
	}
	first, name := 0.0, ""
	for _, k := range takes {
		r := c.rn.MeasureFile(k.File, job.Reading{Channel: c.job.AudioChannel(c.round)}, run.Use{From: k.From, To: k.To})[0]
		level := r.Measured.Get(analyze.Level)
		if r.Error != "" || !level.OK() {
			continue
		}
		volts := job.FullScaleVolts(k.MeasuredVolts, level.Value)
		if name == "" {
			first, name = volts, k.File
			continue
		}
		if math.Abs(volts/first-1) > meteredApart/100.0 {
			c.add("check the meter readings, and that the input gain was not touched", "measured_volts of %s and %s do not agree: by them full scale is %.3g V and %.3g V", name, k.File, first, volts)
		}
	}
}
