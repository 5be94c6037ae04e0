package live

import (
	"fmt"
	"maps"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"hisspoint/capture/doors/write"
	"hisspoint/capture/job"
	"hisspoint/capture/jobfile/cardfile"
	"hisspoint/capture/soundcard"
)

// TieCard puts what is known of an input's sound card beside the recordings that a
// round is about to get: card.json in the job's folder, or in that of the round
// where the job's belongs to something else. A file that is there is never
// overwritten. said is for the person, empty if there is nothing to say. A round
// that was begun with another input is refused: its figures would be held against
// the wrong card.
func TieCard(dir, round string, j *job.Job, d soundcard.Device, rate int) (said string, err error) {
	q, known := CardOf(d.ID)
	if q != nil {
		q.ID = d.ID
	}
	r, other := j.AsFound, j.AsLeft
	if strings.HasPrefix(round, "as_left") {
		r, other = other, r
	}
	folder := strings.ReplaceAll(round, "_", "-")
	here, err := cardfile.In(dir)
	if err != nil {
		return "", err
	}
	if there(dir, folder+"/"+cardfile.Name) {
		if here, err = cardfile.In(filepath.Join(dir, folder)); err != nil {
			return "", err
		}
	}
	begun := r != nil && AnyRecorded(dir, r)
	switch {
	case here != nil && here.ID == "": // of a loop-back's file: a person put it there
		return "", nil
	case here != nil && here.ID != d.ID && begun:
		return "", fmt.Errorf("%s: the recordings of this round were made with %s, by the %s beside them; go on with that input, or take the file away and say with hisspoint card --job what they were made with",
			d.Name, here.Label(), cardfile.Name)
	case !known && here == nil:
		return "", nil
	case !known && here.ID != d.ID:
		return "", fmt.Errorf("%s: this input is not qualified, and the %s beside the job is that of %s; qualify it with hisspoint card, or move the file into the folder of the round that it belongs to", d.Name, cardfile.Name, here.Label())
	case !known, here.SameAs(q):
		return "", nil
	case q.Card.RateHz != rate:
		return fmt.Sprintf("The sound card was qualified at %d Hz and records at %d Hz: what it adds is not known, and left out of the figures.", q.Card.RateHz, rate), nil
	case here != nil && begun:
		return fmt.Sprintf("The recordings of this round were begun with %s, which stays beside them; it was qualified again since (%s).", here.Label(), q.At), nil
	case here == nil && begun:
		return fmt.Sprintf("This round has recordings that nothing ties to a sound card, so what it adds is left out; hisspoint card --job %s ties them all to %s.", path.Clean(filepath.ToSlash(dir)), q.Name), nil
	}
	to, name := dir, cardfile.Name
	if here != nil || other != nil && AnyRecorded(dir, other) {
		for _, t := range r.Tests {
			for _, f := range t.Files() {
				if path.Dir(f) != folder {
					return fmt.Sprintf("%s is not a recording of the folder %s, so that folder's %s is not its own: what the card adds is left out.", f, folder, cardfile.Name), nil
				}
			}
		}
		to, name = filepath.Join(dir, folder), folder+"/"+cardfile.Name
	}
	if err := write.Folder(to); err != nil {
		return "", fmt.Errorf("%s: cannot be made: %w", slashed(to), err)
	}
	if err := cardfile.Write(filepath.Join(to, cardfile.Name), *q); err != nil {
		return "", err
	}
	return fmt.Sprintf("What is known of the sound card (%s) was put beside the recordings: %s.", q.Label(), name), nil
}

// CardNamed is a qualified input by its name, or a part of it.
func CardNamed(name string) (*Qualified, error) {
	s, err := LoadSettings()
	if err != nil {
		return nil, err
	}
	var found []*Qualified
	var names []string
	for _, id := range slices.Sorted(maps.Keys(s.Cards)) {
		q := s.Cards[id]
		q.ID = id
		if strings.EqualFold(q.Name, name) || id == name {
			return &q, nil
		}
		if strings.Contains(strings.ToLower(q.Name), strings.ToLower(name)) {
			found = append(found, &q)
		}
		names = append(names, q.Name)
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(names) == 0:
		return nil, fmt.Errorf("no sound card is qualified yet, and %q is not a file; qualify one with hisspoint card", name)
	case len(found) == 0:
		return nil, fmt.Errorf("no qualified input is called %q, and there is no such file; there are: %s", name, strings.Join(names, "; "))
	}
	return nil, fmt.Errorf("several qualified inputs are called like %q; write more of the name: %s", name, strings.Join(names, "; "))
}
