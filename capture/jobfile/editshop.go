package jobfile

import (
	"errors"
	"io/fs"
	"os"
	"strconv"
	"strings"

	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
)

// LoadShop reads a shop file. One that is not there is an empty shop, and
// fs.ErrNotExist.
func LoadShop(file string) (job.Shop, error) {
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		return job.Shop{}, fs.ErrNotExist
	}
	data, err := read(file)
	if err != nil {
		return job.Shop{}, err
	}
	return ParseShop(slashed(file), data)
}

// WriteShop writes a new shop file, whole or not at all.
func WriteShop(file string, s job.Shop) error {
	w := &writer{}
	w.entries(entry{"heading", scalar(s.Heading)}, entry{"technician", scalar(s.Technician)})
	w.list("equipment", each(s.Equipment, equipmentText))
	if len(s.Limits) > 0 {
		w.line("limits: [" + strings.Join(each(s.Limits, scalar), ", ") + "]")
	}
	w.entries(entry{"decide", scalar(s.Decide)})
	w.entries(dialEntries(s)...)
	data := []byte(w.String())
	if _, err := ParseShop(slashed(file), data); err != nil {
		return err
	}
	return unwritten(file, write.New(file, write.Private, data))
}

// dialEntries are what the generator's dial means and how it modulates, as far as stated.
func dialEntries(s job.Shop) []entry {
	return []entry{{"level_kind", scalar(string(s.Dial.LevelKind))}, {"rf_pad_db", padText(s.Dial.PadDB, s.Dial.NoPad)}, {"rf_pad_uncertainty_db", stated(s.Dial.PadUncertaintyDB)},
		{"deviation", withUnit(s.Deviation, "Hz")}, {"mains_hz", stated(s.MainsHz)}}
}

// SetBench gives a shop's file what is stated of dial, modulation and mains.
func (l *Lines) SetBench(s job.Shop) error { return l.setEach(nil, dialEntries(s)) }

// SetEquipment gives keys of an instrument texts, or adds it where the file has none
// of that kind. Empty texts change nothing.
func (l *Lines) SetEquipment(e job.Equipment) error {
	if list := l.root.Child("equipment"); list != nil {
		for i, item := range list.Items {
			if strings.EqualFold(textOf(item.Child("what")), e.What) {
				return l.setEach([]string{"equipment", strconv.Itoa(i)}, equipmentEntries(e)[1:])
			}
		}
	}
	return l.Append([]string{"equipment"}, equipmentText(e))
}
