// Package run runs measurements: it opens recordings, calls the analysis of each
// kind of test and collects the record. It knows no mathematics and no layout, and
// not what was planned or what is missing.
package run

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"hisspoint/analyze/reading"
	"hisspoint/analyze/soundness"
	"hisspoint/capture"
	"hisspoint/capture/job"
	"hisspoint/capture/note"
	"hisspoint/reports"
)

// Runner is what commands run measurements with.
type Runner struct {
	Version  string
	Dir      string         // folder that names of files start from; records show the names
	Stdin    io.Reader      // read where a file is named "-"
	Progress Progress       // nil: nobody asks
	Card     *job.Qualified // the sound card that all recordings were made with; nil: card.json beside them tells
	NoCard   bool           // no card.json is looked for
}

// Channels that are not one by number.
const (
	ToneChannel = 0 // the channel that carries the tone
	AllChannels = -1
)

// Use says which part of each file is used.
type Use struct {
	Channel  int     // from 1, or ToneChannel or AllChannels
	From, To float64 // seconds; To 0 is the end
	Whole    bool    // warnings look at the whole file, not at From to To only

	prefer int // from 1: with ToneChannel, the channel of all files that have several
}

// Measure reads files one by one, on all cores; the record keeps their order.
// A file that cannot be read becomes an entry with its error.
func (rn Runner) Measure(files []string, how job.Reading, use Use) reports.Measure {
	out := reports.Measure{Version: rn.Version, Filter: how.Filter}
	entries := make([][]reports.Recording, len(files))
	rn.inParallel(len(files), func(i int, share func(float64)) { entries[i] = rn.measureFile(files[i], how, use, share) })
	for _, e := range entries {
		out.Recordings = append(out.Recordings, e...)
	}
	return out
}

// MeasureFile reads one file: an entry a channel that is used, or one with the error.
func (rn Runner) MeasureFile(name string, how job.Reading, use Use) []reports.Recording {
	return rn.measureFile(name, how, use, nil)
}

func (rn Runner) measureFile(name string, how job.Reading, use Use, share func(float64)) []reports.Recording {
	failed := func(err error) []reports.Recording {
		return []reports.Recording{{File: display(name), Error: withoutName(err, display(filepath.Join(rn.Dir, name)), display(name))}}
	}
	f, closeFile, err := rn.open(name)
	if err != nil {
		return failed(err)
	}
	defer closeFile()
	if how, err = rn.tied(how, name); err != nil {
		return failed(err)
	}
	use, why, err := rn.oneChannel([]*capture.File{f}, how, use, false)
	if err != nil {
		return failed(err)
	}
	if why != "" {
		use.Channel = AllChannels
	}
	rs, err := use.of(f)
	if err != nil {
		return failed(err)
	}
	if err := use.around(rs, how); err != nil {
		return failed(err)
	}
	rs = sharing(rs, share)
	var out []reports.Recording
	for _, r := range rs {
		m, err := reading.Measure(r, inVolts(how, r.Rate))
		if err != nil {
			return failed(err)
		}
		m.Warnings = append(slices.Clip(m.Warnings), cardWarnings(how.Card, m)...)
		if why != "" {
			m.Warnings = append(m.Warnings, capture.Warning{Code: capture.ChannelUnstated, Says: note.Phrase(why)})
		}
		out = append(out, reports.Recording{File: r.Origin.File, Measured: m})
	}
	return out
}

// withoutName is an error without the name of the file before it, which an
// entry states already.
func withoutName(err error, names ...string) string {
	text := err.Error()
	for _, n := range names {
		if rest, ok := strings.CutPrefix(text, n+": "); ok {
			return rest
		}
	}
	return text
}

// Readable tells why a file cannot be opened as a recording; nil if it can.
// Standard input is not looked at.
func (rn Runner) Readable(name string) error {
	if name == "-" {
		return nil
	}
	_, closeFile, err := rn.open(name)
	if err != nil {
		return err
	}
	return closeFile()
}

// display is a file's name as records show it.
func display(name string) string { return filepath.ToSlash(name) }

// open opens a file or, for "-", standard input.
func (rn Runner) open(name string) (*capture.File, func() error, error) {
	if name != "-" {
		f, err := capture.Open(filepath.Join(rn.Dir, name))
		if err != nil {
			return nil, nil, err
		}
		for i := range f.Channels {
			f.Channels[i].Origin.File = display(name)
		}
		warnOfChannels(f)
		return f, f.Close, nil
	}
	if rn.Stdin == nil {
		return nil, nil, errors.New("-: there is no standard input; pipe a recording in")
	}
	f, err := capture.OpenStdin(rn.Stdin, "")
	if err != nil {
		return nil, nil, err
	}
	warnOfChannels(f)
	return f, f.Close, nil
}

// warnOfChannels puts what the channels show together with each of them.
func warnOfChannels(f *capture.File) {
	ws := soundness.CompareChannels(f.Channels)
	for i := range f.Channels {
		o := &f.Channels[i].Origin
		o.Warnings = append(slices.Clip(o.Warnings), ws...)
	}
}

// of picks the recordings that are used of a file.
func (u Use) of(f *capture.File) ([]capture.Recording, error) {
	rs, err := u.cut(f.Channels)
	n := u.Channel
	switch {
	case err != nil || n == AllChannels || len(rs) == 1 && n == ToneChannel:
		return rs, err
	case n == ToneChannel:
		n = max(1, u.prefer)
	}
	if n > len(rs) {
		return nil, fmt.Errorf("%s: has no channel %d, only %d; give --channel 1 to %d, or all", rs[0].Origin.File, n, len(rs), len(rs))
	}
	return rs[n-1 : n], nil
}

// around puts what the whole file shows with each part that was cut out of it.
func (u Use) around(rs []capture.Recording, how job.Reading) error {
	if !u.Whole {
		return nil
	}
	for i, r := range rs {
		ws, err := reading.Around(r, how)
		if err != nil {
			return err
		}
		o := &rs[i].Origin
		o.Warnings = append(slices.Clip(o.Warnings), ws...)
	}
	return nil
}

// cut takes the part from From to To of each channel.
func (u Use) cut(channels []capture.Recording) ([]capture.Recording, error) {
	if u.From == 0 && u.To == 0 {
		return channels, nil
	}
	out := make([]capture.Recording, len(channels))
	for i, r := range channels {
		first, end := int64(u.From*float64(r.Rate)+0.5), r.Count
		if u.To > 0 {
			end = int64(u.To*float64(r.Rate) + 0.5)
		}
		if first >= r.Count || end > r.Count {
			return nil, fmt.Errorf("%s: is %.3f s long; give --from and --to within that", r.Origin.File, r.Seconds())
		}
		var err error
		if out[i], err = r.Cut(first, end-first); err != nil {
			return nil, err
		}
	}
	return out, nil
}
