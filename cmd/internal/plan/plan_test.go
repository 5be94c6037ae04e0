package plan

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
	"hisspoint/capture/jobfile"
	"hisspoint/capture/unit"
)

func kindsOf(r job.Round) []string {
	var out []string
	for _, t := range r.Tests {
		out = append(out, t.Kind)
	}
	return out
}

func TestPlansHoldWhatFitsTheMode(t *testing.T) {
	for _, mode := range job.Modes {
		full, err := bare(Full, mode)
		require.NoError(t, err)
		short, err := bare(Short, mode)
		require.NoError(t, err)
		have := map[string]bool{}
		transmit := false
		for _, test := range full.Tests {
			have[test.Kind] = true
			k, _ := job.KindOf(test.Kind)
			assert.True(t, test.Planned(), test.Kind)
			assert.Empty(t, test.Files(), test.Kind)
			assert.False(t, transmit && !k.Transmit, "receive comes before transmit")
			transmit = k.Transmit
		}
		for _, k := range job.Kinds() {
			assert.Equal(t, k.Fits(mode), have[k.Name], "%s in %s", k.Name, mode)
		}
		for _, k := range kindsOf(short) {
			assert.True(t, have[k])
		}
		assert.NotEmpty(t, short.MeterReadings)
		s := short.Tests[FindTest(&short, job.KindSensitivity)].Stanza
		want := map[string]struct {
			criterion string
			takes     int
		}{job.FM: {"12 dB SINAD", 0}, job.AM: {"10 dB (S+N)/N", 10}, job.SSB: {"10 dB (S+N)/N", 5}}[mode]
		assert.Equal(t, want.criterion, s.Criterion.Label(), "as hisspoint sensitivity takes it by itself")
		assert.Len(t, s.Takes, want.takes, "FM: the bench shows where the point lies; AM: two at each level; SSB: the tone against the rest of one recording")
		for _, r := range []job.Round{short, full} {
			data, err := jobfile.Marshal(&job.Job{ID: "1", Set: job.Set{Mode: mode}, AsFound: &r})
			require.NoError(t, err)
			assert.NotContains(t, string(data), ".wav")
		}
	}
	unknown, err := bare(Short, "")
	require.NoError(t, err)
	assert.Contains(t, kindsOf(unknown), job.KindQuieting, "taken for FM")
}

func roundOf(t *testing.T, tests ...string) *job.Round {
	r := &job.Round{}
	for _, text := range tests {
		test, err := jobfile.ParseTest(text, unit.PD)
		require.NoError(t, err, text)
		r.Tests = append(r.Tests, test)
	}
	return r
}

func TestRecordingsFindTheirPlaces(t *testing.T) {
	r := roundOf(t, "bench_floor: {}", "sensitivity: {recordings: [{level: 1 uV}, {level: 0.5 uV}, {level: 0.25 uV}]}", "quieting: {parts: [off, 0.5 uV carrier, off]}",
		"hum_and_noise: {parts: [modulated, carrier]}", "squelch: {level: 1 uV}", "squelch_levels: {name: threshold, levels: [1 uV, 2 uV]}", "squelch_levels: {name: tight, levels: [1 uV, 2 uV]}",
		"response: {tones: [400 Hz, 1 kHz]}", "centring: {recordings: [{offset: -2 kHz}, {offset: 0 Hz}]}", "transmit_response: {}", "deviation: {reference_deviation: 2 kHz}", "limiter: {inputs: [1 mV, 10 mV]}",
		"audio_power: {}", "degradation: {recordings: [{level: 1 mV}]}")
	for _, c := range []struct{ files, want string }{
		{"floor.wav", "0 whole"},
		{"rx-0.5uV.wav", "1 entry 1: 0.5 uV"},
		{"0,3uV.wav 2uV.wav 5uV.wav 6uV.wav", "1 entry 2: 0.3 uV, 1 entry 0: 2 uV, 1 entry 1: 5 uV, 1 entry 3: 6 uV"},
		{"off.wav", "1 entry 3: off"},
		{"found/quieting(2).wav", "2 whole"},
		{"hum.wav", "3 whole"},
		{"hum_mod.wav hum_nomod.wav", "3 entry 0: modulated, 3 entry 1: carrier"},
		{"hum_carrier_1mV.wav", "3 entry 1: 1 mV carrier"},
		{"squelch.wav", "4 whole"},
		{"squelch-threshold.wav", "5 whole"},
		{"squelch_tight.wav", "6 whole"},
		{"tones.wav", "7 whole"},
		{"response_1kHz.wav response_3.2kHz.wav", "7 entry 1: 1 kHz, 7 entry 2: 3.2 kHz"},
		{"centring-2kHz.wav", "8 entry 0: -2 kHz"},
		{"offset+1.5kHz.wav", "8 entry 2: +1.5 kHz"},
		{"tx-tones.wav", "9 whole"},
		{"tx_deviation.wav tx_deviation_monitor.wav", "10 reference_file, 10 whole"},
		{"tx-limiter.wav", "11 whole"},
		{"tx-limiter-10mV.wav tx-limiter-30mV.wav", "11 entry 1: 10 mV, 11 entry 2: 30 mV"},
		{"volume.wav", "12 whole"},
		{"vol3.wav vol-max.wav", "12 entry 0: 3, 12 entry 1: max"},
		{"blocking-3mV.wav", "13 entry 0: 3 mV"},
	} {
		placed, err := Place(r, strings.Fields(c.files), Asked{})
		require.NoError(t, err, c.files)
		assert.Equal(t, c.want, said(r, placed), c.files)
	}
}

// said tells placements in short.
func said(r *job.Round, placed []Placed) string {
	var out []string
	for _, p := range placed {
		k, _ := job.KindOf(r.Tests[p.Test].Kind)
		text := string(rune('0' + p.Test%10))
		if p.Test > 9 {
			text = "1" + text
		}
		switch {
		case p.Key != "":
			text += " " + p.Key
		case p.Whole:
			text += " whole"
		default:
			text += " entry " + string(rune('0'+p.Entry)) + ": " + k.Place(p.Take)
		}
		out = append(out, text)
	}
	return strings.Join(out, ", ")
}

func TestPlacesThatWereAskedFor(t *testing.T) {
	r := roundOf(t, "sensitivity: {recordings: [{level: 1 uV}]}", "hum_and_noise: {recordings: [{part: modulated}, {part: carrier}]}", "audio_power: {volumes: [min, max]}",
		"sensitivity: {name: pairs, criterion: sn_n 10 dB, recordings: [{level: 1 uV, part: modulated}, {level: 1 uV, part: carrier}]}")
	for _, c := range []struct {
		files, test, places, want string
	}{
		{"a.wav b.wav", "", "2 uV,0.5 uV", "0 entry 0: 2 uV, 0 entry 1: 0.5 uV"},
		{"a.wav b.wav", "hum_and_noise", "", "1 entry 0: modulated, 1 entry 1: carrier"},
		{"a.wav b.wav", "hum-and-noise", "carrier,modulated", "1 entry 1: carrier, 1 entry 0: modulated"},
		{"a.wav b.wav", "audio_power", "", "2 entry 0: min, 2 entry 1: max"},
		{"a.wav", "audio_power", "", "2 whole"},
		{"1uV.wav 1uV_nomod.wav", "sensitivity:pairs", "", "3 entry 0: 1 uV, 3 entry 1: 1 uV"},
	} {
		var places []string
		if c.places != "" {
			places = strings.Split(c.places, ",")
		}
		placed, err := Place(r, strings.Fields(c.files), Asked{Test: c.test, Places: places})
		require.NoError(t, err, c)
		assert.Equal(t, c.want, said(r, placed))
	}
}

func TestPlacesThatCannotBeFound(t *testing.T) {
	r := roundOf(t, "bench_floor: {file: old.wav}", "sensitivity: {recordings: [{level: 1 uV}, {level: 2 uV}]}", "hum_and_noise: {file: hum0.wav, parts: [modulated, carrier]}", "hum_and_noise: {name: speaker}", "distortion: {}")
	for _, c := range []struct{ files, test, places, want string }{
		{"take(1).wav", "", "", "its name does not tell where it belongs"},
		{"floor.wav", "", "", "bench floor has old.wav already"},
		{"hum.wav", "", "", "its name fits several tests"},
		{"a.wav", "hiss", "", "the round has no test of hiss"},
		{"a.wav b.wav", "distortion", "", "distortion has one file, and 2 are named"},
		{"a.wav", "distortion", "1 uV", "one file and no places"},
		{"a.wav b.wav", "hum_and_noise", "", "already"},
		{"1uV.wav b.wav", "sensitivity", "", "only some of the files carry their level"},
		{"a.wav b.wav c.wav", "sensitivity", "", "nothing tells its level"},
		{"a.wav b.wav", "sensitivity", "1 uV", "1 places for 2 files"},
		{"a.wav", "sensitivity", "loud", "loud"},
		{"hum_speaker.wav 1uV.wav", "", "carrier,1 uV", "several tests"},
	} {
		var places []string
		if c.places != "" {
			places = strings.Split(c.places, ",")
		}
		_, err := Place(r, strings.Fields(c.files), Asked{Test: c.test, Places: places})
		assert.ErrorContains(t, err, c.want, c.files)
	}
}
