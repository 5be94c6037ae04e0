package limit

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/job"
)

func TestMeterReadings(t *testing.T) {
	for _, c := range []struct {
		value, limit, nominal, within, s9, want string
	}{
		{"1.2 A", "at most 1,5 A", "", "", "", Pass},
		{"1600 mA", "at most 1.5 A, service manual", "", "", "", Fail},
		{"1.5 A", "at most 1.5 A", "", "", "", Pass}, // on the limit is inside
		{"3.9 W", "at least 4 W", "", "", "", Fail},
		{"4 W", "min 4 W", "", "", "", Pass},
		// 20 log10(60/50) = 1.58 dB and 20 log10(101/50) = 6.11 dB
		{"60 uV PD", "", "50 uV PD", "6 dB", "", Pass},
		{"101 µV PD", "", "50 uV PD", "6 dB", "", Fail},
		{"101 µV PD", "", "S9", "6 dB", "", Fail},
		{"101 µV PD", "", "S9", "6 dB", "100 uV PD", Pass},
		// EMF is twice PD: 100 µV EMF is 50 µV PD.
		{"100 uV EMF", "", "S9", "0.1 dB", "", Pass},
		{"27.7814 MHz", "", "27.78125 MHz", "600 Hz", "", Pass},
		{"27.7820 MHz", "", "27.78125 MHz", "600 Hz", "", Fail},
		{"13.0 V", "", "13.2 V", "2 %", "", Pass},
		{"12.9 V", "", "13.2 V", "2 %", "", Fail},
		{"2 W", "", "4 W", "3.1 dB", "", Pass}, // 10 log10 2 = 3.01 dB
		{"2 W", "", "4 W", "2.9 dB", "", Fail},
		{"1.2 A", "1.5 A", "", "", "", NotJudged},
		{"1.2 V", "at most 1.5 A", "", "", "", NotJudged},
		{"fine", "at most 1.5 A", "", "", "", NotJudged},
		{"1 A", "at most plenty", "", "", "", NotJudged},
		{"1 A", "", "1 A", "2 V", "", NotJudged},
	} {
		hf := 27.78125
		v := JudgeMeter(job.MeterReading{What: "x", Value: c.value, Limit: c.limit, Nominal: c.nominal, Within: c.within}, job.RoundConditions{S9: c.s9, RFMHz: &hf})
		require.NotNil(t, v, c)
		assert.Equal(t, c.want, v.Outcome, "%v: %s", c, v.Why)
		assert.Equal(t, job.ByValue, v.Rule)
		assert.Equal(t, c.want == NotJudged, v.Why != "", c)
	}
	assert.Nil(t, JudgeMeter(job.MeterReading{What: "x", Value: "1 A"}, job.RoundConditions{}))
}

// IARU Region 1 recommendation R.1: S9 is -73 dBm below 30 MHz and -93 dBm above.
func TestS9GoesByTheBand(t *testing.T) {
	for _, c := range []struct {
		mhz    float64
		s9     string
		value  string
		want   string
		limits string
	}{
		{27.78125, "", "-73 dBm", Pass, "S9 (50 uV PD) within 0.1 dB"},
		{27.78125, "", "-93 dBm", Fail, "S9 (50 uV PD) within 0.1 dB"},
		{145.5, "", "-93 dBm", Pass, "S9 (5 uV PD) within 0.1 dB"},
		{433, "", "-73 dBm", Fail, "S9 (5 uV PD) within 0.1 dB"},
		{145.5, "-73 dBm", "-73 dBm", Pass, "S9 (-73 dBm) within 0.1 dB"},
		{0, "-73 dBm", "-73 dBm", Pass, "S9 (-73 dBm) within 0.1 dB"},
		{0, "", "-73 dBm", NotJudged, "S9 within 0.1 dB"},
	} {
		conditions := job.RoundConditions{S9: c.s9}
		if c.mhz > 0 {
			conditions.RFMHz = &c.mhz
		}
		v := JudgeMeter(job.MeterReading{What: "S-meter", Value: c.value, Nominal: "S9", Within: "0.1 dB"}, conditions)
		assert.Equal(t, c.want, v.Outcome, "%+v: %s", c, v.Why)
		assert.Equal(t, c.limits, v.Limit.Typed)
	}
}

func TestJoin(t *testing.T) {
	for _, c := range []struct {
		want  string
		facts []Fact
	}{
		{"", nil},
		{"", []Fact{{What: "a"}}},
		{Pass, []Fact{{What: "a"}, {What: "b", Outcome: Pass}}},
		{Undecided, []Fact{{Outcome: Pass}, {Outcome: Undecided}}},
		{Undecided, []Fact{{Outcome: Pass}, {Outcome: NotJudged}}},
		{Undecided, []Fact{{Outcome: Pass}, {Missing: true}}},
		{Fail, []Fact{{Outcome: Pass}, {Outcome: Undecided}, {Missing: true}, {Outcome: Fail}}},
	} {
		got := Join(c.facts)
		assert.Equal(t, c.want, got.Outcome, c)
		assert.Equal(t, c.want == Fail || c.want == Undecided, len(got.Reasons) > 0, c)
	}
	assert.Equal(t, []string{"air test fails: noisy"}, Join([]Fact{{What: "air test", Outcome: Fail, Why: "noisy"}, {Missing: true}}).Reasons)
}
