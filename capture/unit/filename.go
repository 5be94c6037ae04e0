package unit

import (
	"fmt"
	"strings"
)

// A level within a file name. It may touch no letter or digit on either side,
// so "rx12dbsinad" and "m119dbm" hold none; plain volts are left out, since a
// name such as "13.8V" speaks of the supply.
var (
	nameLevel = LazyPattern(`(?i)(^|[^a-z0-9.,])([+-]?[0-9]+(?:[.,][0-9]+)?)[ _]?(dbm|dbuv|db|nv|uv|mv)(?:[ _.-]*(pd|emf))?(?:[^a-z0-9]|$)`)
	nameOff   = LazyPattern(`(?i)(?:^|[^a-z0-9])off(?:[^a-z]|$)`)
	nameKind  = LazyPattern(`(?i)(?:^|[^a-z])(pd|emf)(?:[^a-z]|$)`)
	nameDate  = LazyPattern(`[0-9]{4}-[0-9]{2}-[0-9]{2}`)
	nameNoMod = LazyPattern(`(?i)(?:^|[^a-z])(?:no[ _-]?mod|un[ _-]?mod|mod(?:ulation)?[ _-]?off)(?:ulated|ulation)?(?:[^a-z]|$)`)
	nameMicro = LazyPattern(`(?i)((?:^|[^a-z0-9.,])[0-9]+(?:[.,][0-9]+)?[ _]?)(?:micro[ _-]?volts?|micro|u)([^a-z0-9]|pd|emf|$)`)
	nameMilli = LazyPattern(`(?i)((?:^|[^a-z0-9.,])[0-9]+(?:[.,][0-9]+)?[ _]?)milli[ _-]?volts?([^a-z0-9]|pd|emf|$)`)
	nameBare  = LazyPattern(`^(-1?[0-9]{2}(?:[.,][0-9])?)\.`)
	splitZero = LazyPattern(`(?:^|[^0-9.,])0[ _-]$`)
)

// LevelFromFileName finds the RF level that a file name carries, such as
// "0.25uV.wav", "rx_-119dBm.wav", "1uVemf.wav", "0,5uV (2).wav" or
// "rx_off_2.wav"; folders in front are ignored. In volts a '-' is a separator
// ("rx-1uV.wav" is 1 µV); before dB, dBm and dBµV it is a sign. ok is false if
// the name carries none; two different levels, or a number that can be read in
// two ways ("0_25uV"), are an error. kind is what volts without PD or EMF mean.
func LevelFromFileName(name string, kind LevelKind) (l Level, ok bool, err error) {
	l, _, ok, err = inFileName(name, kind)
	return l, ok, err
}

func inFileName(name string, kind LevelKind) (l Level, text string, ok bool, err error) {
	base := name[strings.LastIndexAny(name, `/\`)+1:]
	t := spelled(nameNoMod().ReplaceAllString(nameDate().ReplaceAllString(Plain(base), "_"), "_"))
	if kind, err = kindInName(base, t, kind); err != nil {
		return Level{}, "", false, err
	}
	take := func(found Level, as string) error {
		if ok && found != l {
			return fmt.Errorf("file name %q holds two different levels: rename it, or give the levels in order", clip(base))
		}
		if !ok {
			text = as
		}
		l, ok = found, true
		return nil
	}
	for at := 0; at < len(t); {
		m := nameLevel().FindStringSubmatchIndex(t[at:])
		if m == nil {
			break
		}
		g := groups(t[at:], m)
		found, err := levelInName(base, t[:at+m[4]], g, kind)
		if err == nil {
			err = take(found, dialled(g, kind))
		}
		if err != nil {
			return Level{}, "", false, err
		}
		at += max(m[7], m[9]) // the separator behind may stand in front of the next one
	}
	if nameOff().MatchString(t) {
		if err := take(Level{Scale: Off}, "off"); err != nil {
			return Level{}, "", false, err
		}
	}
	return l, text, ok, nil
}

// spelled is a name with its units as nameLevel knows them: "1 microvolt" and "1u" are
// 1 uV, and a name that is no more than "-119" is that many dBm.
func spelled(t string) string {
	t = nameMicro().ReplaceAllString(t, "${1}uV${2}")
	t = nameMilli().ReplaceAllString(t, "${1}mV${2}")
	return nameBare().ReplaceAllString(t, "${1} dBm.")
}

// UnmodulatedFileName tells whether a file name says that the modulation was off:
// "1uV_nomod.wav", "1uV unmodulated.wav", "1uV_mod_off.wav"; folders in front are
// ignored.
func UnmodulatedFileName(name string) bool {
	return nameNoMod().MatchString(Plain(name[strings.LastIndexAny(name, `/\`)+1:]))
}

// groups returns number, unit and kind of a match of nameLevel.
func groups(t string, m []int) []string {
	g := []string{"", t[m[4]:m[5]], t[m[6]:m[7]], ""}
	if m[8] >= 0 {
		g[3] = t[m[8]:m[9]]
	}
	return g
}

// levelInName makes a level of one match; before is the name up to its number.
func levelInName(base, before string, g []string, kind LevelKind) (Level, error) {
	volts := !strings.HasPrefix(strings.ToLower(g[2]), "db")
	if volts && (g[1][0] == '-' || g[1][0] == '+') {
		before += g[1][:1]
		g[1] = g[1][1:]
	}
	if sign := before[max(0, len(before)-1):]; !volts && (sign == "-" || sign == "+") {
		g[1] = sign + g[1] // "rx-119dBm": no letter or digit reaches up to the number
	}
	if volts && splitZero().MatchString(before) {
		return Level{}, fmt.Errorf("file name %q: is \"0%c%s\" meant as 0.%s? rename it with a decimal point, like 0.25uV", clip(base), before[len(before)-1], g[1], g[1])
	}
	l, err := levelOf(g[1]+g[2]+g[3], g, kind)
	if err != nil {
		return Level{}, fmt.Errorf("file name %q: %w", clip(base), err)
	}
	return l, nil
}

// kindInName looks for PD or EMF as a word anywhere in the name.
func kindInName(base, t string, kind LevelKind) (LevelKind, error) {
	found := map[string]bool{}
	for rest := t; ; {
		m := nameKind().FindStringSubmatchIndex(rest)
		if m == nil {
			break
		}
		found[strings.ToLower(rest[m[2]:m[3]])] = true
		rest = rest[m[3]:]
	}
	if len(found) == 2 {
		return kind, fmt.Errorf("file name %q says both PD and EMF: rename it, or give the levels in order", clip(base))
	}
	for k := range found {
		kind = LevelKind(k)
	}
	return kind, nil
}
