package analyze

import (
	"fmt"

	"hisspoint/capture"
)

// Why is why there is no value: a capture.Code where programs go by the cause, else a
// phrase for people. Empty: there is a value.
type Why string

// Causes that are asked for.
const (
	WhyNoTone     = Why(capture.ToneMissing)
	WhySilence    = Why(capture.Silence)
	WhyUnsteady   = Why(capture.Unsteady)
	WhyNotFinite  = Why(capture.NotFinite)
	WhyNoLine     = Why(capture.NoLine)
	WhyNotRead    = Why("not measured") // nobody asked for it
	WhyNeverOpens = Why("it never opened")
)

// Code is the cause for programs; ok is false for a phrase.
func (w Why) Code() (c capture.Code, ok bool) {
	switch w {
	case WhyNoTone, WhySilence, WhyUnsteady, WhyNotFinite, WhyNoLine:
		return capture.Code(w), true
	}
	return "", false
}

// Because is a phrase with figures in it.
func Because(format string, args ...any) Why { return Why(fmt.Sprintf(format, args...)) }
