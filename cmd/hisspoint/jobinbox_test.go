package main

import (
	"bufio"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"hisspoint/cmd/internal/plan"
)

func TestListOfGuessesIsCorrected(t *testing.T) {
	guesses := func() []plan.Guess {
		return []plan.Guess{{File: "a.wav", Test: "hum_and_noise", Label: "hum and noise", Why: "its 2 parts were found"}, {File: "b.wav", Why: "nothing tells"}, {File: "c.wav", Test: "sensitivity", Label: "sensitivity", Needs: "level", Why: "a steady tone"}}
	}
	said := func(gs []plan.Guess) string {
		var out []string
		for _, g := range gs {
			out = append(out, g.File+" "+g.Test+" "+g.Place)
		}
		return strings.Join(out, "; ")
	}
	for typed, want := range map[string]string{
		"\n":                             "a.wav hum_and_noise ; b.wav  ; c.wav sensitivity ",
		"2 squelch timing\n3 0.5 uV\n\n": "a.wav hum_and_noise ; b.wav squelch ; c.wav sensitivity 0.5 uV",
		"2 Sensitivity 0,5 uV\n1 -\n\n":  "a.wav  ; b.wav sensitivity 0,5 uV; c.wav sensitivity ",
		"9 squelch\nfour\n2 humm\n2 hum-and-noise\n\n": "a.wav hum_and_noise ; b.wav hum_and_noise ; c.wav sensitivity ",
		"q\n":           "a.wav  ; b.wav  ; c.wav  ",
		"2 squelch\n":   "a.wav  ; b.wav  ; c.wav  ", // the input ends: nothing is added unasked
		"2 hiss\nq\n":   "a.wav  ; b.wav  ; c.wav  ",
		"2\n2 hiss\n\n": "a.wav hum_and_noise ; b.wav hiss ; c.wav sensitivity ",
	} {
		var out strings.Builder
		assert.Equal(t, want, said(corrected(guesses(), bufio.NewReader(strings.NewReader(typed)), &out)), "%q", typed)
		assert.Contains(t, out.String(), "c.wav: sensitivity, level? (a steady tone)")
	}
	assert.Equal(t, `hisspoint job add "a (2).wav" --test hiss --round as_left`, plan.Guess{File: "a (2).wav", Test: "hiss"}.Command("as_left"))
	assert.Equal(t, `hisspoint job add ./-3.wav --test TEST --round as_left`, plan.Guess{File: "-3.wav"}.Command("as_left"))
}
