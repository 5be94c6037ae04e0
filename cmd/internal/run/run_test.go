package run

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/capture/wav"
)

// tone makes a second of tone in a file.
func tone(t *testing.T, path string, hz float64, channels int) {
	const rate = 8000
	x := make([]float64, rate)
	for i := range x {
		x[i] = 0.25*math.Sin(2*math.Pi*hz*float64(i)/rate) + 0.01*math.Sin(float64(i*i))
	}
	all := make([][]float64, channels)
	for c := range all {
		all[c] = make([]float64, rate)
	}
	all[channels-1] = x
	require.NoError(t, wav.WriteFile(path, wav.Format{Rate: rate, Bits: 16}, all...))
}

func TestMeasureKeepsTheOrderOfFiles(t *testing.T) {
	dir := t.TempDir()
	var names []string
	for i := range 9 {
		name := fmt.Sprintf("%d.wav", 9-i)
		names = append(names, name)
		if i != 4 {
			tone(t, filepath.Join(dir, name), 1000, 1)
		}
	}
	told := 0.0
	rn := Runner{Dir: dir, Progress: func(done float64, total int, things string) {
		assert.Equal(t, 9, total)
		assert.Equal(t, "recordings", things)
		assert.GreaterOrEqual(t, done, told)
		told = done
	}}
	record := rn.Measure(names, job.Reading{}, Use{})
	require.Len(t, record.Recordings, 9)
	for i, r := range record.Recordings {
		assert.Equal(t, names[i], r.File)
		assert.Equal(t, i == 4, r.Error != "", r.Error)
	}
	assert.Equal(t, "no such file; check the name and the folder", record.Recordings[4].Error)
	assert.Equal(t, 9.0, told)
}

func TestChannelsAndParts(t *testing.T) {
	dir := t.TempDir()
	tone(t, filepath.Join(dir, "s.wav"), 1000, 2)
	channels := func(use Use) (out []int) {
		for _, r := range (Runner{Dir: dir}).Measure([]string{"s.wav"}, job.Reading{}, use).Recordings {
			require.Empty(t, r.Error)
			out = append(out, r.Measured.Origin.Channel)
		}
		return out
	}
	assert.Equal(t, []int{2}, channels(Use{}))
	assert.Equal(t, []int{1}, channels(Use{Channel: 1}))
	assert.Equal(t, []int{1, 2}, channels(Use{Channel: AllChannels}))

	r := (Runner{Dir: dir}).Measure([]string{"s.wav"}, job.Reading{}, Use{From: 0.25, To: 0.75}).Recordings[0]
	assert.Equal(t, 0.25, r.Measured.From)
	assert.Equal(t, 0.75, r.Measured.To)
	r = (Runner{Dir: dir}).Measure([]string{"s.wav"}, job.Reading{}, Use{From: 1}).Recordings[0]
	assert.Equal(t, "is 1.000 s long; give --from and --to within that", r.Error)
}

func TestStandardInput(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.wav")
	tone(t, path, 1000, 1)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	r := Runner{Stdin: strings.NewReader(string(text))}.Measure([]string{"-"}, job.Reading{}, Use{}).Recordings[0]
	assert.Empty(t, r.Error)
	assert.Equal(t, "-", r.Measured.Origin.File)
	r = Runner{}.Measure([]string{"-"}, job.Reading{}, Use{}).Recordings[0]
	assert.Equal(t, "there is no standard input; pipe a recording in", r.Error)
}

// Of several unreadable recordings the first on the command line is named,
// however they were dealt out.
func TestSensitivityNamesTheFirstUnreadable(t *testing.T) {
	dir := t.TempDir()
	var takes []job.Take
	for i := range 8 {
		takes = append(takes, job.Take{Level: unit.DBm(float64(-100 - i)), File: fmt.Sprintf("%d.wav", i)})
	}
	tone(t, filepath.Join(dir, "0.wav"), 1000, 1)
	for range 5 {
		_, err := Runner{Dir: dir}.Kind(job.Setup{Kind: job.KindSensitivity, Stanza: job.Stanza{Criterion: job.Criterion{Quantity: job.QuantitySINAD, Value: 12, Unit: "dB"}, Takes: takes}}, Use{})
		assert.ErrorContains(t, err, "1.wav: no such file")
	}
}
