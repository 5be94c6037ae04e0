package jobfile

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

func number64Of(v float64) *float64 { return &v }

func TestLoadKeepsWhatWasTyped(t *testing.T) {
	j, err := Load(folder + "/good")
	require.NoError(t, err)
	assert.Equal(t, "0417", j.ID)
	assert.Equal(t, job.Set{Description: "hand-held FM transceiver", Serial: "0012345", Mode: job.FM}, j.Set)
	assert.Equal(t, "2026-11-02", j.Received)
	assert.Equal(t, []string{"realigned receiver", "cleaned the squelch control"}, j.Work)
	assert.Equal(t, []job.Part{{Ref: "C31", Fitted: "47 µF 25 V, new", Removed: "47 µF 16 V, open circuit"}}, j.Parts)
	assert.Equal(t, job.Equipment{What: "signal generator", Serial: "0099", Calibrated: "2026-03-01",
		LevelUncertaintyDB: number64Of(1), DeviationPercent: number64Of(5), ReflectionFactor: number64Of(0.1)}, j.Equipment[0])
	assert.Equal(t, "Invented Radio Workshop\n1 Nowhere Lane", j.Shop.Heading)

	assert.NotNil(t, j.AsFound)
	r := j.Newest()
	assert.Same(t, j.AsLeft, r)
	assert.Equal(t, "020", r.Conditions.Channel)
	assert.Equal(t, []job.Check{{What: "all channels", Yes: true}, {What: "air test", Note: "later"}}, r.Checks)
	assert.Equal(t, []job.MeterReading{{What: "S-meter reads S9 at", Value: "60 uV PD", Nominal: "50 uV PD", Within: "6 dB"},
		{What: "deviation", Value: "1.9 kHz", Limit: "at most 2 kHz", Note: "by eye"},
		{What: "carrier power", Limit: "at least 4 W"}}, r.MeterReadings)
	assert.Equal(t, "2026-11-05", j.Issued)
	assert.Equal(t, "62 %", r.Conditions.InputGain)
	assert.Equal(t, []job.NotMeasured{{What: "squelch", Why: "no squelch control fitted"}}, r.NotMeasured)

	takes := r.Tests[0].Stanza.Takes
	require.Len(t, takes, 4)
	assert.Equal(t, "0,25 uV", takes[1].Typed)
	assert.Equal(t, "sub/rx-0.25uV.wav", takes[1].File)
	assert.InDelta(t, -119.03, takes[1].Level.DB, 0.005) // table of levels at 50 ohm
	assert.InDelta(t, -119.03, takes[2].Level.DB, 0.005) // 0.5 µV EMF is 0.25 µV PD
	assert.Equal(t, 6.5, takes[1].To)
	assert.Equal(t, unit.Off, takes[3].Level.Scale)
}

func TestSensitivityOfARound(t *testing.T) {
	j, err := Load(folder + "/good/job.yaml")
	require.NoError(t, err)
	assert.Equal(t, []string{"signal generator", "sound card", "attenuator"}, []string{j.AllEquipment()[0].What, j.AllEquipment()[1].What, j.AllEquipment()[2].What},
		"the job's generator stands in for the shop's")
	profiles, err := j.ResolveProfiles(lookup)
	require.NoError(t, err)
	require.Len(t, profiles, 2, "the job's own take the place of the shop's")
	assert.Equal(t, "my-limits", profiles[1].Name)
	everyday := *j
	everyday.Limits = nil
	shops, err := everyday.ResolveProfiles(lookup)
	require.NoError(t, err)
	require.Len(t, shops, 1, "a job without limits has the shop's")
	assert.Equal(t, "fm-typical", shops[0].Name)

	test := j.AsLeft.Tests[0]
	s := j.Setup(j.AsLeft, test)
	assert.Equal(t, job.ByValue, s.Decide, "the job's rule overrides the shop's")
	assert.Equal(t, 10.0, s.Path.PadDB)
	assert.Equal(t, 1.0, *s.Path.LevelUncertainty)
	assert.InDelta(t, 9, s.Reading.FullScaleVolts, 1e-9, "20 dB of audio pad make 0.9 V at the card 9 V at the set")
	own := s.Pick(job.QuantitySensitivity, profiles)
	require.Len(t, own, 1)
	assert.Equal(t, "0.5 µV PD", own[0].Typed)
	assert.Equal(t, "invented manual", own[0].Source)

	alone := *test.Stanza
	alone.Limits = nil
	alone.Filter.Name = job.Psophometric
	test.Stanza = &alone
	s = j.Setup(j.AsLeft, test)
	published := s.Pick(job.QuantitySensitivity, profiles)
	require.Len(t, published, 1)
	assert.Equal(t, "0,4 µV PD", published[0].Typed, "the first profile's is for another criterion")
	assert.Empty(t, s.Pick(job.QuantitySensitivity, nil))

	_, err = j.ResolveProfiles(func(string) (job.Profile, error) { return job.Profile{}, errors.New("not known") })
	assert.EqualError(t, err, "not known")
}

// lookup stands in for the built-in profiles, with invented limits.
func lookup(name string) (job.Profile, error) {
	l := job.Limit{Quantity: job.QuantitySensitivity, Bound: job.AtMost, Unit: "dBm", Typed: "other"}
	l.Conditions.Criterion = job.Criterion{Quantity: job.QuantityQuieting, Value: 20, Unit: "dB"}
	return job.Profile{Name: name, Limits: []job.Limit{l}}, nil
}

func TestSpellingsOfAJob(t *testing.T) {
	for name, c := range map[string]struct{ file, id string }{
		"octal":          {"job: 0417\n", "0417"},
		"long digits":    {"job: 00000000000000000001\n", "00000000000000000001"},
		"fraction":       {"job: 1.50\n", "1.50"},
		"hexadecimal":    {"job: 0x1F\n", "0x1F"},
		"date":           {"job: 2026-11-02\n", "2026-11-02"},
		"exponent":       {"job: 1e3\n", "1e3"},
		"truth":          {"job: yes\n", "yes"},
		"byte-order":     {"\ufeffjob: 7\n", "7"},
		"windows":        {"job: 7\r\ncustomer: a\r\n", "7"},
		"old macintosh":  {"job: 7\rcustomer: a\r", "7"},
		"document start": {"---\njob: 7\n", "7"},
		"underscore":     {"job: 1_000\n", "1_000"},
		"quoted":         {"job: '04''17'\n", "04'17"},
		"comment":        {"# first\njob: 7 # number\n", "7"},
	} {
		j, err := Parse("job.yaml", []byte(c.file))
		require.NoError(t, err, name)
		assert.Equal(t, c.id, j.ID, name)
	}
}

func TestLoadStaysInTheFolder(t *testing.T) {
	dir := t.TempDir()
	inside := filepath.Join(dir, "job")
	require.NoError(t, os.MkdirAll(filepath.Join(inside, "sub"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "secret.wav"), nil, 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(inside, "sub", "here.wav"), nil, 0o644))
	if err := os.Symlink("../secret.wav", filepath.Join(inside, "out.wav")); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	require.NoError(t, os.Symlink("sub/here.wav", filepath.Join(inside, "in.wav")))
	require.NoError(t, os.Symlink("..", filepath.Join(inside, "up")))
	for file, bad := range map[string]bool{"in.wav": false, "sub/here.wav": false, "not-yet.wav": false, "out.wav": true, "up/secret.wav": true} {
		data := "job: 1\nrounds: {as_left: {tests: [{sensitivity: {recordings: [{level: 1 uV, file: " + file + "}]}}]}}\n"
		require.NoError(t, os.WriteFile(filepath.Join(inside, Name), []byte(data), 0o644))
		_, err := Load(inside)
		if bad {
			assert.ErrorContains(t, err, "leads out of the job's folder", file)
		} else {
			assert.NoError(t, err, file)
		}
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "mine.yaml"), []byte("profile: x\n"), 0o644))
	require.NoError(t, os.Symlink("../mine.yaml", filepath.Join(inside, "mine.yaml")))
	require.NoError(t, os.WriteFile(filepath.Join(inside, Name), []byte("job: 1\nlimits: [mine.yaml]\n"), 0o644))
	_, err := Load(inside)
	assert.ErrorContains(t, err, "leads out of its folder")
}

func TestLoadSaysWhatIsMissing(t *testing.T) {
	dir := t.TempDir()
	name := filepath.ToSlash(dir)
	_, err := Load(dir)
	assert.EqualError(t, err, name+": no job.yaml in this folder: make one with hisspoint job new")
	_, err = Load(filepath.Join(dir, "x.yaml"))
	assert.EqualError(t, err, name+"/x.yaml: is not there: check the name")
	require.NoError(t, os.WriteFile(filepath.Join(dir, Name), []byte("job: 1\nshop: ../nowhere/shop.yaml\n"), 0o644))
	_, err = Load(dir)
	assert.EqualError(t, err, name+"/job.yaml, line 2, column 7: shop: "+filepath.ToSlash(filepath.Dir(dir))+"/nowhere/shop.yaml: is not there: check the name")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "shop.yaml"), []byte("heading: a\nlimit: [b]\n"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, Name), []byte("job: 1\nshop: shop.yaml\n"), 0o644))
	_, err = Load(dir)
	assert.EqualError(t, err, name+`/shop.yaml, line 2, column 1: key "limit" is not known here: did you mean "limits"?`)
	big := make([]byte, 1<<20+1)
	for i := range big {
		big[i] = '#'
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, Name), big, 0o644))
	_, err = Load(dir)
	assert.EqualError(t, err, name+"/job.yaml: is larger than 1 MiB, too large for a file of this kind")
}
