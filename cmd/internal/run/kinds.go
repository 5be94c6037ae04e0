package run

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"hisspoint/analyze"
	"hisspoint/analyze/kind"
	"hisspoint/capture"
	"hisspoint/capture/job"
)

// Kind runs a test on the files that it names. One without recordings gives a result
// that says so.
func (rn Runner) Kind(t job.Setup, use Use) (analyze.Result, error) {
	row, _ := job.KindOf(t.Kind)
	if row.Point && !t.OneFile {
		return rn.series(t, use)
	}
	files := job.Test{Stanza: &t.Stanza}.Files()
	if len(files) == 0 && !slices.ContainsFunc(row.ByEye, func(key string) bool { return t.Setting(key) != "" }) {
		return analyze.Result{Setup: t, Why: "not recorded yet"}, nil
	}
	var err error
	if t.Reading, err = rn.tied(t.Reading, files...); err != nil {
		return analyze.Result{}, err
	}
	if text := t.Setting(job.SettingMonitorCurve); text != "" {
		m, err := rn.MonitorCurve(text)
		if err != nil {
			return analyze.Result{}, err
		}
		t.Monitor = job.Curve{Name: m.Name, Hz: m.Hz, DB: m.DB, SD: m.SD}
	}
	opened, closeAll, err := rn.openAll(files)
	if err != nil {
		return analyze.Result{}, err
	}
	defer closeAll()
	use = apart(t, opened, use)
	all := inOrder(files, opened)
	use, why, err := rn.oneChannel(all, t.Reading, use, slices.Contains(bySound, t.Kind))
	if err != nil {
		return analyze.Result{}, err
	}
	if why != "" {
		return unstated(t, all, use, why)
	}
	audio, keying := map[string]capture.Recording{}, []capture.Recording(nil)
	for i, f := range all {
		one, err := use.of(f)
		if err != nil {
			return analyze.Result{}, err
		}
		audio[files[i]] = one[0]
		if keying, err = keyChannel(t, f, one[0], keying); err != nil {
			return analyze.Result{}, err
		}
	}
	rs, err := recordingsOf(t, audio)
	if err != nil {
		return analyze.Result{}, err
	}
	return kind.Run(t, append(rs, keying...))
}

// apart uses the other of two channels where one of them only tells when the
// signal was keyed.
func apart(t job.Setup, files map[string]*capture.File, use Use) Use {
	n, err := strconv.Atoi(t.Setting(job.SettingKeyChannel))
	if err != nil || use.Channel != ToneChannel || t.Reading.Channel > 0 {
		return use
	}
	for _, f := range files {
		if len(f.Channels) != 2 {
			return use
		}
	}
	use.Channel = 3 - n
	return use
}

// keyChannel is the channel that tells when the signal was keyed, if one is named.
func keyChannel(t job.Setup, f *capture.File, audio capture.Recording, so []capture.Recording) ([]capture.Recording, error) {
	text := t.Setting(job.SettingKeyChannel)
	if text == "" || so != nil {
		return so, nil
	}
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 1 || n > len(f.Channels) {
		return nil, fmt.Errorf("%s: has no channel %s that could tell when the signal was keyed, only %d; correct the key channel", f.Channels[0].Origin.File, text, len(f.Channels))
	}
	if n == audio.Origin.Channel {
		return nil, fmt.Errorf("%s: channel %d is the set's audio itself, so it does not tell when the signal was keyed; record both in stereo, or write the times as keyed", f.Channels[0].Origin.File, n)
	}
	return f.Channels[n-1 : n], nil
}

// recordingsOf are the recordings that an analysis takes: one a take, or the
// one file of all takes, and the reference behind them.
func recordingsOf(t job.Setup, opened map[string]capture.Recording) ([]capture.Recording, error) {
	var rs []capture.Recording
	for i, k := range t.Takes {
		if t.OneFile && i > 0 {
			break
		}
		r, has := opened[k.File]
		if !has {
			return nil, fmt.Errorf("%s: a recording is missing; add it, or leave the entry out", t.Label())
		}
		if k.From < k.To {
			part, err := Use{From: k.From, To: k.To}.cut([]capture.Recording{r})
			if err != nil {
				return nil, err
			}
			r = part[0]
		}
		rs = append(rs, r)
	}
	if reference := t.Setting(job.SettingReferenceFile); reference != "" {
		rs = append(rs, opened[reference])
	}
	return rs, nil
}

// KeyedBeyond says which of the typed times of keying no recording of a test holds;
// empty: none.
func KeyedBeyond(typed string, r analyze.Result) (why string, err error) {
	spans, err := job.ParseKeyed(typed)
	for _, row := range r.Rows {
		if why == "" {
			why = kind.KeyedBeyond(spans, row.Measured)
		}
	}
	return why, err
}
