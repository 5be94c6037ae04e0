package live

import (
	"io"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/analyze"
	"hisspoint/analyze/watch"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/soundcard"
	"hisspoint/capture/unit"
	"hisspoint/reports"
)

var format = soundcard.Format{Rate: 8000, Channels: 1, Bits: 16}

// fake is an input that hands out a tone and then has a fault.
type fake struct {
	frames int
	fault  error
	at     int
}

func (f *fake) Device() soundcard.Device {
	return soundcard.Device{ID: "fake", Name: "Fake", Format: format}
}
func (f *fake) Format() soundcard.Format { return format }
func (f *fake) Close() error             { return nil }
func (f *fake) Read(block []float64) (int, error) {
	n := min(len(block), f.frames-f.at, 160)
	if n == 0 {
		return 0, f.fault
	}
	for i := range n {
		block[i] = 0.25 * math.Sin(2*math.Pi*1000*float64(f.at+i)/8000)
	}
	f.at += n
	return n, nil
}

func seconds(t *testing.T, file string) float64 {
	f, err := capture.Open(file)
	require.NoError(t, err)
	defer f.Close()
	assert.Empty(t, f.Channels[0].Origin.Warnings, "a valid file")
	return f.Channels[0].Seconds()
}

func TestTakeIsAFileAtEveryMoment(t *testing.T) {
	file := filepath.Join(t.TempDir(), "new", "rx.wav")
	take, err := NewTake(file, format)
	require.NoError(t, err)
	part := filepath.Join(filepath.Dir(file), "rx.unfinished.wav")
	require.NoError(t, take.Record(&fake{frames: 80000}, 20000, nil, nil))
	assert.InDelta(t, 2.5, seconds(t, part), 1, "a second at most is missing")
	assert.NoFileExists(t, file)
	require.NoError(t, take.Finish())
	assert.Equal(t, 2.5, seconds(t, file))
	assert.NoFileExists(t, part)

	before, err := os.ReadFile(file)
	require.NoError(t, err)
	_, err = NewTake(file, format)
	assert.ErrorContains(t, err, "rx.wav: already exists and was not changed")
	after, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, before, after)
}

func TestTakeKeepsWhatCameBeforeAFault(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "rx.wav")
	for n, part := range []string{"rx.unfinished.wav", "rx.unfinished-2.wav"} {
		take, err := NewTake(file, format)
		require.NoError(t, err)
		assert.ErrorIs(t, take.Record(&fake{frames: 4000, fault: io.ErrUnexpectedEOF}, 80000, nil, nil), io.ErrUnexpectedEOF)
		assert.Equal(t, "0.5 s (4000 samples) are kept in "+filepath.ToSlash(filepath.Join(dir, part)), take.Keep(), n)
		assert.Equal(t, 0.5, seconds(t, filepath.Join(dir, part)))
	}
	take, err := NewTake(filepath.Join(dir, "nothing.wav"), format)
	require.NoError(t, err)
	assert.Empty(t, take.Keep())
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, files, 2, "a recording without sound leaves nothing")
}

func TestAFileThatCameMeanwhileStays(t *testing.T) {
	file := filepath.Join(t.TempDir(), "rx.wav")
	take, err := NewTake(file, format)
	require.NoError(t, err)
	require.NoError(t, take.Add(make([]float64, 800)))
	require.NoError(t, os.WriteFile(file, []byte("mine"), 0o644))
	assert.ErrorContains(t, take.Finish(), "was made by another program while you recorded, and was left alone")
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(data))
}

func TestFeedRecordsWhileItListens(t *testing.T) {
	in := &fake{frames: 40000, fault: io.EOF}
	l, err := watch.NewLive("fake", 8000, 1, 0, job.Reading{})
	require.NoError(t, err)
	w, err := NewWatch(in, l, analyze.AimAudio)
	require.NoError(t, err)
	file := filepath.Join(t.TempDir(), "rx.wav")
	take, err := NewTake(file, format)
	require.NoError(t, err)
	f := &Feed{in: in, watch: w, gone: make(chan struct{})}
	done := f.Record(take, 8000)
	f.run()
	require.NoError(t, <-done)
	require.NoError(t, take.Finish())
	assert.Equal(t, 1.0, seconds(t, file))
	latest, has := f.Latest()
	assert.True(t, has)
	assert.InDelta(t, -12.04, latest.Measured.Get(analyze.ToneLevel).Value, 0.01)
	assert.EqualError(t, f.Err(), "Fake: the sound has ended")
	assert.True(t, f.Settled(-30))
	assert.False(t, f.Settled(-12), "nothing has changed")
}

// A fault of the program itself becomes an error, so that a full screen can be given
// back before it is said, and what was recorded is kept.
func TestFeedTurnsAPanicIntoAnError(t *testing.T) {
	in := &fake{frames: 8000, fault: io.EOF}
	l, err := watch.NewLive("fake", 8000, 1, 0, job.Reading{})
	require.NoError(t, err)
	w, err := NewWatch(in, l, analyze.AimAudio)
	require.NoError(t, err)
	f := &Feed{in: in, watch: w, gone: make(chan struct{})}
	w.aimer = nil // the first reading panics
	take, err := NewTake(filepath.Join(t.TempDir(), "rx.wav"), format)
	require.NoError(t, err)
	done := f.Record(take, -1)
	f.run()
	assert.ErrorContains(t, <-done, "a fault in hisspoint itself")
	assert.ErrorContains(t, f.Err(), "a fault in hisspoint itself")
	assert.Contains(t, take.Keep(), " are kept in")
}

// waiting is an input that always has more than is asked for: the computer is late.
type waiting struct{ fake }

func (w *waiting) Read(block []float64) (int, error) {
	if w.at >= w.frames {
		return 0, io.EOF
	}
	w.at += len(block)
	return len(block), nil
}

// A computer that cannot keep up takes fewer readings, so that it catches up.
func TestFewerReadingsWhereTheComputerIsLate(t *testing.T) {
	count := func(in soundcard.Input) (n int) {
		l, err := watch.NewLive("fake", 8000, 1, 0, job.Reading{})
		require.NoError(t, err)
		w, err := NewWatch(in, l, analyze.AimAudio)
		require.NoError(t, err)
		require.NoError(t, w.Run(nil, 0, func(reports.Watch) error { n++; return nil }))
		return n
	}
	assert.InDelta(t, 95, count(&fake{frames: 80000, fault: io.EOF}), 2, "ten a second")
	assert.InDelta(t, 15, count(&waiting{fake{frames: 80000}}), 3, "one a second after the first")
}

func TestOutputsAreRememberedLikeInputs(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"XDG_CONFIG_HOME", "HOME", "AppData"} {
		t.Setenv(name, dir)
	}
	all := []soundcard.Device{{ID: "a", Name: "Line A", Default: true}, {ID: "b", Name: "Line B"}}
	for _, c := range []struct{ name, want string }{{"", "a"}, {"line b", "b"}, {"", "b"}} {
		d, err := pickOutput(all, c.name)
		require.NoError(t, err)
		assert.Equal(t, c.want, d.ID, c.name)
	}
	_, err := pickOutput(all[:1], "")
	assert.ErrorContains(t, err, "Line B: the output chosen last is not there", "never another one in silence")
}

func wantedOf(t *testing.T, kind string, stanza job.Stanza, step Step, volts float64) (Wanted, bool) {
	var known bool
	step.Kind, known = job.KindOf(kind)
	require.True(t, known)
	return WantedFor(step, job.Test{Kind: kind, Stanza: &stanza}, volts)
}

// Which signal a step gets, and how loud: inputs in volts by what full scale gives,
// 20 log10 of the ratio; inputs in dB with the loudest at the level chosen.
func TestWhatIsPlayedForAStep(t *testing.T) {
	signalOf := func(name string) job.Stanza { return job.Stanza{Settings: map[string]string{job.SettingSignal: name}} }
	for name, file := range map[string]string{"": "stepped-third-octave", "auto": "stepped-third-octave", "sweep": "sweep", "multitone": "multitone", "speech": "speech-noise"} {
		w, wanted := wantedOf(t, job.KindTransmitResponse, signalOf(name), Step{Whole: true}, 0)
		assert.True(t, wanted)
		assert.Equal(t, file, w.File)
		assert.Equal(t, IntoMicrophone, w.Into)
	}
	w, _ := wantedOf(t, job.KindResponse, job.Stanza{}, Step{Take: job.Take{At: 400}}, 0)
	assert.Equal(t, IntoGenerator, w.Into)
	assert.True(t, w.Steady)
	assert.Equal(t, 400.0, w.Hz)
	_, wanted := wantedOf(t, job.KindTransmitHumNoise, job.Stanza{}, Step{Take: job.Take{State: job.StateCarrier}}, 0)
	assert.False(t, wanted, "the carrier alone")

	player := &Player{Device: soundcard.Device{Format: soundcard.Format{Rate: 22050}}}
	inputs := func(texts ...string) (all []job.Take) {
		for _, text := range texts {
			at, err := job.ParseAt(job.AxisInput, text)
			require.NoError(t, err)
			all = append(all, job.Take{At: at, AtTyped: text})
		}
		return all
	}
	levels := func(w Wanted) (all []float64) {
		x, err := w.Make(player, -40)
		require.NoError(t, err)
		for _, p := range x.Parts {
			all = append(all, math.Round(1000*p.LevelDBFS)/1000)
		}
		assert.InDelta(t, 3*1.5, x.Seconds(), 0.01)
		return all
	}
	w, _ = wantedOf(t, job.KindLimiter, job.Stanza{}, Step{Places: inputs("0 dB", "10 dB", "30 dB")}, 0)
	assert.Equal(t, []float64{-70, -60, -40}, levels(w))
	w, _ = wantedOf(t, job.KindLimiter, job.Stanza{}, Step{Places: inputs("1 mV", "10 mV", "100 mV")}, 1)
	assert.Equal(t, []float64{-60, -40, -20}, levels(w))
	assert.InDelta(t, -20, w.Level(-40), 1e-9)
	_, wanted = wantedOf(t, job.KindLimiter, job.Stanza{}, Step{Places: inputs("1 mV", "10 mV")}, 0)
	assert.False(t, wanted, "volts need what full scale gives")
	_, wanted = wantedOf(t, job.KindLimiter, job.Stanza{}, Step{Places: inputs("1 mV", "10 mV")}, 0.01)
	assert.False(t, wanted, "louder than the output can")
	w, _ = wantedOf(t, job.KindLimiter, job.Stanza{}, Step{Take: inputs("-20 dB")[0]}, 0)
	assert.InDelta(t, -60, w.Level(-40), 1e-9)
}

func TestStepsAreWhatIsMissing(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "there.wav"), nil, 0o644))
	level := func(s string) job.Take {
		l, err := unit.ParseLevel(s, unit.PD)
		require.NoError(t, err)
		return job.Take{Level: l, Typed: s}
	}
	named := func(s, file string) job.Take { k := level(s); k.File = file; return k }
	r := &job.Round{
		Tests: []job.Test{
			{Kind: job.KindDeviation, Stanza: &job.Stanza{}},
			{Kind: job.KindSensitivity, Stanza: &job.Stanza{Takes: []job.Take{named("1 uV", "there.wav"), named("0.5 uV", "gone.wav"), level("-119.5 dBm")}}},
			{Kind: job.KindQuieting, Stanza: &job.Stanza{OneFile: true, Takes: []job.Take{{State: job.StateOff}, {State: job.StateCarrier, Typed: "1 uV"}}}},
			{Kind: job.KindHiss, Stanza: &job.Stanza{}},
		},
		NotMeasured: []job.NotMeasured{{What: "open-squelch hiss", Why: "no time"}},
	}
	steps := Steps(dir, "as_left", r)
	var files []string
	for _, s := range steps {
		files = append(files, s.File)
	}
	assert.Equal(t, []string{"gone.wav", "as-left/sensitivity_-119.5dBm.wav", "", "as-left/quieting.wav", "as-left/deviation.wav"}, files,
		"receive before transmit, nothing that is there, nothing that was left out")
	assert.True(t, steps[0].Named)
	assert.True(t, steps[2].Open)
	assert.Len(t, steps[3].Places, 2)
	assert.True(t, steps[4].Kind.Transmit)
	assert.True(t, AnyRecorded(dir, r))
	assert.Equal(t, "there-2.wav", Free(dir, "there.wav"))
}

func TestSettingsAreRemembered(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"XDG_CONFIG_HOME", "HOME", "AppData"} {
		t.Setenv(name, dir)
	}
	s, err := LoadSettings()
	require.NoError(t, err)
	assert.Empty(t, s.Device)
	volts := 1.5
	s.Device, s.Name = "usb_in", "USB line in"
	s.Cards = map[string]Qualified{"usb_in": {Card: job.Card{RateHz: 48000, NoiseDBFS: map[string]float64{job.SpeechBand: -60}, FullScaleVolts: &volts}}}
	require.NoError(t, s.Save())
	back, err := LoadSettings()
	require.NoError(t, err)
	assert.Equal(t, s, back)
	assert.Equal(t, 1.5, FullScaleVolts("usb_in", 48000))
	assert.Zero(t, FullScaleVolts("usb_in", 44100))

	near := analyze.Measured{Rate: 48000, Readings: []analyze.Reading{{Name: analyze.NoiseLevel, Unit: "dBFS", Value: -55}}}
	_, warned := CardNote("", near)
	assert.True(t, warned)
	_, warned = CardNote("other", near)
	assert.False(t, warned)

	file, err := settingsFile()
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(file, []byte("{"), 0o644))
	_, err = LoadSettings()
	assert.ErrorContains(t, err, "delete it and choose the device again")
}

func TestTheDeviceChosenLastIsUsedAgain(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"XDG_CONFIG_HOME", "HOME", "AppData"} {
		t.Setenv(name, dir)
	}
	all := []soundcard.Device{{ID: "a", Name: "Line A", Default: true}, {ID: "b", Name: "Line B"}}
	d, err := Source{}.pick(all)
	require.NoError(t, err)
	assert.Equal(t, "a", d.ID, "the system's choice")
	d, err = Source{Device: "line b"}.pick(all)
	require.NoError(t, err)
	assert.Equal(t, "b", d.ID)
	d, err = Source{}.pick(all)
	require.NoError(t, err)
	assert.Equal(t, "b", d.ID, "the one chosen last")
	_, err = Source{}.pick(all[:1])
	assert.ErrorContains(t, err, "Line B: the input chosen last is not there", "never another one in silence")
}

// Nothing is modulated for quieting: what tells what to set hears so from its steps.
func TestQuietingLevelsAreCarriers(t *testing.T) {
	off, err := unit.ParseLevel("off", unit.PD)
	require.NoError(t, err)
	test := &job.Stanza{Criterion: job.Criterion{Quantity: job.QuantityQuieting, Value: 20, Unit: "dB"},
		Takes: []job.Take{{Level: off, Typed: "off"}, {Level: unit.DBm(-101), Typed: "-101 dBm"}}}
	steps := Steps(t.TempDir(), "as_left", &job.Round{Tests: []job.Test{{Kind: job.KindSensitivity, Stanza: test}}})
	require.Len(t, steps, 3)
	assert.Equal(t, []string{"", job.StateCarrier}, []string{steps[0].Take.State, steps[1].Take.State})
	assert.Empty(t, test.Takes[1].State, "the job file knows it by the criterion")
}
