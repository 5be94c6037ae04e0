package jobfile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

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
	data := []byte(w.String())
	if _, err := ParseShop(slashed(file), data); err != nil {
		return err
	}
	return replace(file, data)
}

// SetEquipment gives keys of an instrument texts, or adds it where the file has none
// of that kind. Empty texts change nothing.
func (l *Lines) SetEquipment(e job.Equipment) error {
	find := func() (node, bool) {
		list, ok := l.child(l.top(), "equipment")
		if !ok || list.scalar {
			return node{}, false
		}
		for _, item := range l.items(list) {
			if what, ok := l.child(item, "what"); ok && strings.EqualFold(l.text(what), e.What) {
				return item, true
			}
		}
		return node{}, false
	}
	if _, ok := find(); !ok {
		return l.Append([]string{"equipment"}, equipmentText(e))
	}
	for _, one := range equipmentEntries(e)[1:] {
		if one.value == "" {
			continue
		}
		item, ok := find()
		if !ok {
			return fmt.Errorf("%s: the %s cannot be found any more", l.file, e.What)
		}
		if err := l.set(item, one.key, one.value); err != nil {
			return err
		}
	}
	return nil
}
