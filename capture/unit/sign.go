package unit

import "strings"

// Plain turns what people type for the same thing into one form: the micro
// sign and the Greek mu into u, minus sign and dash into -, the ohm sign into ohm.
func Plain(s string) string { return plainer.Replace(s) }

var plainer = strings.NewReplacer("µ", "u", "μ", "u", "\u2212", "-", "\u2013", "-", "Ω", "ohm", "\u2126", "ohm", "\ufeff", "")

// MicroSign writes the micro sign that output has, U+00B5, in a level as typed: for a
// u, however it is written, and for the Greek mu.
func MicroSign(level string) string { return microSign.Replace(level) }

// MicroSignInText does so in sentences, where uv may belong to a word.
func MicroSignInText(text string) string { return microSignInText.Replace(text) }

var (
	microSign       = strings.NewReplacer("\u03bc", "\u00b5", "uV", "\u00b5V", "uv", "\u00b5V", "UV", "\u00b5V")
	microSignInText = strings.NewReplacer("uV", "\u00b5V", "\u03bcV", "\u00b5V")
)
