package job

import "slices"

// Keys of a stanza that more than one kind of test takes.
const (
	KeyName        = "name"
	KeyCriterion   = "criterion"
	KeyTone        = "tone"
	KeyDeviation   = "deviation"
	KeyDepth       = "depth"
	KeyFilter      = "filter"
	KeyLevel       = "level"
	KeyFile        = "file"
	KeyFrom        = "from"
	KeyTo          = "to"
	KeyVolts       = "measured_volts"
	KeyRecordings  = "recordings"
	KeyPart        = "part"
	KeyParts       = "parts"
	KeyLimit       = "limit"
	KeyLimits      = "limits"
	KeyUncertainty = "uncertainty"
	KeyNote        = "note"
)

// AxisKey is the key that names the list of places when they all lie in one
// file: "levels", "tones", "parts", or empty for a kind without such a list.
func (k Kind) AxisKey() string {
	switch {
	case k.Axis != "":
		return k.Axis + "s"
	case k.States:
		return KeyParts
	}
	return ""
}

// TakesLevel tells whether the whole test has a level of the generator. Where
// the levels are those of its recordings it has none, unless they are those of
// a second signal.
func (k Kind) TakesLevel() bool {
	if k.Transmit || k.Holds == HoldsSilence {
		return false
	}
	return k.Axis != AxisLevel || slices.Contains(k.Settings, SettingInterferer)
}

// Keys lists the keys that a stanza of the kind may have, in the order in
// which they are written.
func (k Kind) Keys() []string {
	keys := []string{KeyName}
	if k.Point {
		keys = append(keys, KeyCriterion)
	}
	if k.Holds != HoldsSilence {
		keys = append(keys, KeyTone, KeyDeviation, KeyDepth)
	}
	keys = append(keys, KeyFilter)
	if k.TakesLevel() {
		keys = append(keys, KeyLevel)
	}
	keys = append(keys, k.Settings...)
	if list := k.AxisKey(); list != "" {
		keys = append(keys, list)
	}
	keys = append(keys, KeyFile)
	if k.Single {
		keys = append(keys, KeyFrom, KeyTo, KeyVolts)
	}
	if k.AxisKey() != "" {
		keys = append(keys, KeyRecordings)
	}
	if len(k.Limits) > 0 {
		keys = append(keys, KeyLimit)
	}
	if len(k.Limits) > 0 && !k.Point {
		keys = append(keys, KeyLimits)
	}
	return append(keys, KeyUncertainty, KeyNote)
}

// TakeKeys lists the keys that one of its recordings may have.
func (k Kind) TakeKeys() []string {
	var keys []string
	if k.Axis != "" {
		keys = append(keys, k.Axis)
	}
	if k.States || k.Point {
		keys = append(keys, KeyPart)
	}
	return append(keys, KeyFile, KeyFrom, KeyTo, KeyVolts)
}

// Place is where a take lies among those of its test, as it is typed: its
// level, its place on another axis, or its part.
func (k Kind) Place(t Take) string {
	switch {
	case k.Axis == AxisLevel:
		return t.TypedLevel()
	case k.Axis != "":
		return t.AtTyped
	case k.States:
		return t.Part()
	}
	return ""
}

// TypedLevel is a take's level as a person wrote it, or would have.
func (t Take) TypedLevel() string {
	if t.Typed == "" {
		return t.Level.String()
	}
	return t.Typed
}
