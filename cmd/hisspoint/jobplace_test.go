package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestRangesAreWrittenOut(t *testing.T) {
	for typed, want := range map[string][]string{
		"C1-C3": {"C1", "C2", "C3"}, "C9-11": {"C9", "C10", "C11"}, "0612-0614": {"0612", "0613", "0614"}, "C76": {"C76"}, "C1-R3": {"C1-R3"}, "PCB-2": {"PCB-2"},
	} {
		got, err := ranged([]string{typed})
		require.NoError(t, err, typed)
		assert.Equal(t, want, got)
	}
	for _, typed := range []string{"C3-C1", "1-100000", "C1-C99999999999999999999"} {
		_, err := ranged([]string{typed})
		assert.Error(t, err, typed)
	}
}

func TestTodayIsADay(t *testing.T) {
	assert.Equal(t, time.Now().Format(time.DateOnly), dated("rounds.as_left.tested", "Today"))
	assert.Equal(t, "today", dated("customer", "today"))
}
