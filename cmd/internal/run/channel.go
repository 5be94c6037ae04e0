package run

import (
	"fmt"
	"slices"

	"hisspoint/analyze"
	"hisspoint/analyze/point"
	"hisspoint/analyze/reading"
	"hisspoint/analyze/takes"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
)

// bySound are the kinds of test whose sound is no steady tone.
var bySound = []string{job.KindResponse, job.KindTransmitResponse, job.KindSpeechBalance}

// oneChannel settles from which channel all files of a test are read: the one that
// was stated, else the one that holds the tone in any of them. Where two hold one and
// differ, why says what each holds, and nothing may be judged.
func (rn Runner) oneChannel(files []*capture.File, how job.Reading, use Use, sound bool) (u Use, why string, err error) {
	if use.Channel != ToneChannel {
		return use, "", nil
	}
	if use.prefer = how.Channel; use.prefer > 0 {
		return use, "", nil
	}
	files = slices.DeleteFunc(slices.Clone(files), func(f *capture.File) bool { return len(f.Channels) < 2 })
	held, failures := make([][]reading.Held, len(files)), make([]error, len(files))
	rn.Progress = nil
	rn.InParallel(len(files), func(i int) {
		rs, err := use.cut(files[i].Channels)
		if err == nil {
			held[i], err = reading.Channels(rs, how)
		}
		failures[i] = err
	})
	for _, err := range failures {
		if err != nil {
			return use, "", err
		}
	}
	i, holds := reading.Pick(held, sound)
	use.prefer = i + 1
	for k, f := range files {
		if c, level, ok := reading.Beside(held, k, i); ok && !sound {
			o := &f.Channels[i].Origin
			o.Warnings = append(slices.Clip(o.Warnings), capture.Warning{Code: capture.ChannelChosen,
				Says: note.Of("channel-chosen", i+1, c+1, note.DBFS(level))})
		}
	}
	if holds != "" {
		why = "two channels differ and each could be the set's (" + holds + "); state it with --channel, in a job with channel of the round or of the sound card"
	}
	return use, why, nil
}

// unstated is a test that is refused because nobody said which channel is the set's,
// with what each channel of its files reads.
func unstated(t job.Setup, files []*capture.File, use Use, why string) (analyze.Result, error) {
	out := analyze.Refused(t, why)
	for _, f := range files {
		held, err := eachChannel(f, t.Reading, use)
		if err != nil {
			return out, err
		}
		take := job.Take{File: f.Channels[0].Origin.File}
		if i := slices.IndexFunc(t.Takes, func(k job.Take) bool { return k.File == take.File }); i >= 0 && !t.OneFile {
			take = t.Takes[i]
		}
		for _, m := range held {
			label := fmt.Sprintf("channel %d", m.Origin.Channel)
			if of := takes.TakeLabel(take, t.LevelKind); of != "" {
				label = of + ", " + label
			}
			out.Rows = append(out.Rows, analyze.Used{Take: take, Label: label, Measured: m.Measured})
		}
		out.Says = append(out.Says, note.Phrase(reading.Says(held)+"."))
	}
	if t.Criterion.Quantity == "" {
		return out, nil
	}
	out.Why, out.Says = "", nil
	for i := range out.Rows {
		out.Rows[i].Worth = []analyze.Reading{out.Rows[i].Measured.Get(analyze.SINAD)}
	}
	_, err := point.Place(out.Rows, t.Path)
	return out.WithPoint(analyze.Point{Status: analyze.ChannelUnstated, Why: why}), err
}

// eachChannel measures all channels of a file.
func eachChannel(f *capture.File, how job.Reading, use Use) ([]reading.Held, error) {
	rs, err := use.cut(f.Channels)
	if err != nil {
		return nil, err
	}
	out := make([]reading.Held, len(rs))
	for i, r := range rs {
		if out[i].Measured, err = reading.Measure(r, how); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// openAll opens the files of a test, each once; the first error of their order counts.
func (rn Runner) openAll(names []string) (map[string]*capture.File, func(), error) {
	files, closers, failures := make([]*capture.File, len(names)), make([]func() error, len(names)), make([]error, len(names))
	silent := rn
	silent.Progress = nil
	silent.InParallel(len(names), func(i int) { files[i], closers[i], failures[i] = rn.open(names[i]) })
	closeAll := func() {
		for _, c := range closers {
			if c != nil {
				c()
			}
		}
	}
	opened := map[string]*capture.File{}
	for i, name := range names {
		if failures[i] != nil {
			closeAll()
			return nil, nil, failures[i]
		}
		opened[name] = files[i]
	}
	rn.following(files)
	return opened, closeAll, nil
}

// inOrder are opened files in the order of their names.
func inOrder(names []string, opened map[string]*capture.File) []*capture.File {
	var out []*capture.File
	for _, n := range names {
		out = append(out, opened[n])
	}
	return out
}
