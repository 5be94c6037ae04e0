package unit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLevelFromFileName(t *testing.T) {
	pd := func(uv float64) Level { return DBm(DBmFromMicrovoltPD(uv)) }
	emf := func(uv float64) Level { return DBm(DBmFromMicrovoltEMF(uv)) }
	for name, want := range map[string]Level{
		"0.25uV.wav":              pd(0.25),
		"0,5uV (2).wav":           pd(0.5),
		"rx_-119dBm.wav":          DBm(-119),
		"rx-119dBm.wav":           DBm(-119),
		"-119,5 dBm.WAV":          DBm(-119.5),
		"1uVemf.wav":              emf(1),
		"1uV_EMF.wav":             emf(1),
		"EMF 1 µV.wav":            emf(1),
		"1uV_rx_emf_2.wav":        emf(1),
		"rx-1uV.wav":              pd(1),
		"rx -1uV.wav":             pd(1),
		"1uV_nomod.wav":           pd(1),
		"1uV_mod_off.wav":         pd(1),
		"unmodulated 1uV.wav":     pd(1),
		"take 10 0.25 uV.wav":     pd(0.25),
		"2-1uV.wav":               pd(1),
		"2026-11-02 1uV.flac":     pd(1),
		"1uV":                     pd(1),
		"250nV.wav":               pd(0.25),
		"1mV_1000uV.wav":          pd(1000),
		"6dBuV.wav":               DBm(DBmFromDBMicrovoltPD(6)),
		"rx_6 dBµV EMF.wav":       DBm(DBmFromDBMicrovoltEMF(6)),
		"-3dB.wav":                {Relative, -3},
		"rx_-3dB.wav":             {Relative, -3},
		"0dB.wav":                 {Relative, 0},
		"off.wav":                 {Scale: Off},
		"rx_off_2.wav":            {Scale: Off},
		"OFF2.wav":                {Scale: Off},
		"rx 1 microvolt.wav":      pd(1),
		"0,25uv 2nd.wav":          pd(0.25),
		"1u.wav":                  pd(1),
		"0.5u_2.wav":              pd(0.5),
		"1 millivolt hum.wav":     pd(1000),
		"-119.wav":                DBm(-119),
		"-98.5.wav":               DBm(-98.5),
		"5uV/13.8V_1uV.wav":       pd(1),
		`C:\bench\5uV\rx_2uV.wav`: pd(2),
	} {
		l, ok, err := LevelFromFileName(name, PD)
		require.NoError(t, err, name)
		assert.True(t, ok, name)
		assert.Equal(t, want.Scale, l.Scale, name)
		assert.InDelta(t, want.DB, l.DB, 1e-9, name)
	}
	l, ok, err := LevelFromFileName("1uV.wav", EMF)
	require.NoError(t, err)
	assert.True(t, ok)
	assert.Equal(t, emf(1), l)
}

func TestFileNamesWithoutLevel(t *testing.T) {
	for _, name := range []string{
		"", "rx.wav", "m119dBm.wav", "rx1uV.wav", "12dBSINAD.wav", "0p25uV.wav", "1uVnomod.wav", "13.8V.wav", "offset.wav",
		"cutoff.wav", "-3.wav", "1unit.wav", "2um.wav", "119.wav", "take-119.wav", "2026-11-02.wav", "1kHz.wav", "1uV/rx.wav", "rx.5uV.wav", "2026-11-02.1uV.wav",
	} {
		l, ok, err := LevelFromFileName(name, PD)
		require.NoError(t, err, name)
		assert.False(t, ok, "%s gave %v", name, l)
	}
}

func TestFileNamesRefused(t *testing.T) {
	const two = `holds two different levels: rename it, or give the levels in order`
	for name, want := range map[string]string{
		"1uV_2uV.wav":          `file name "1uV_2uV.wav" ` + two,
		"1uV 2uV.wav":          `file name "1uV 2uV.wav" ` + two,
		"off_1uV.wav":          `file name "off_1uV.wav" ` + two,
		"-119dBm_pad-10dB.wav": `file name "-119dBm_pad-10dB.wav" ` + two,
		"0_25uV.wav":           `file name "0_25uV.wav": is "0_25" meant as 0.25? rename it with a decimal point, like 0.25uV`,
		"rx-0-25uV.wav":        `file name "rx-0-25uV.wav": is "0-25" meant as 0.25? rename it with a decimal point, like 0.25uV`,
		"1uV_pd_emf.wav":       `file name "1uV_pd_emf.wav" says both PD and EMF: rename it, or give the levels in order`,
		"119dBm.wav":           `file name "119dBm.wav": level "119dBm" is 119 dBm, outside -200 to +60 dBm: check the number and its unit`,
		"0uV.wav":              `file name "0uV.wav": level "0uV": volts must be above zero: write off for no signal, or a level in dBm`,
		"1,000uV.wav":          `file name "1,000uV.wav": level "1,000uV": 1,000 can mean 1000 or 1.000: write one of these`,
	} {
		_, ok, err := LevelFromFileName(name, PD)
		assert.EqualError(t, err, want, name)
		assert.False(t, ok)
	}
}

func TestUnmodulatedFileName(t *testing.T) {
	for name, want := range map[string]bool{
		"1uV_nomod.wav": true, "1uV no-mod.wav": true, "1uV_NoMod_2.wav": true, "unmodulated_1uV.wav": true, "1uV_unmod.wav": true, "1uV_mod_off.wav": true,
		"1uV_modoff.wav": true, "0,5uV (2)_nomod.wav": true, "nomod.wav": true, "1uV modulation off.wav": true,
		"1uV.wav": false, "1uV_mod.wav": false, "off.wav": false, "nomod/1uV.wav": false, "1uV_nomodel.wav": false, "modoffset_1uV.wav": false, "1uV_mono.wav": false,
	} {
		assert.Equal(t, want, UnmodulatedFileName(name), name)
	}
}
