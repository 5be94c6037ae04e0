package topics

import (
	"fmt"
	"strings"

	"hisspoint/analyze/limit"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
	"hisspoint/reports/doc/bench"
)

// kinds are the tests of the receiver, or those of the transmitter.
func kinds(transmit bool) string {
	var out [][]string
	for _, k := range job.Kinds() {
		if k.Transmit == transmit {
			name := k.Name
			if len(k.Modes) > 0 {
				name += " (" + strings.ToUpper(strings.Join(k.Modes, ", ")) + ")"
			}
			out = append(out, []string{name, k.Record, k.Gives})
		}
	}
	return rows([]string{"test", "what to record", "what it gives"}, out)
}

// filterMeans say what the filters are.
var filterMeans = map[string]string{
	job.SpeechBand: "300 to 3400 Hz, flat; nothing outside", job.Psophometric: "the telephone ear of ITU-T O.41",
	job.CMessage: "the telephone ear of IEEE 743", job.AWeighting: "the ear at low loudness, IEC 61672-1",
	job.Wide: "20 Hz to 20 kHz, or to 0.45 of the sample rate if that is less",
}

func filters() string {
	var out [][]string
	for _, n := range job.FilterNames {
		out = append(out, []string{n, filterMeans[n]})
	}
	return rows([]string{"filter", "lets through"}, append(out, []string{"300-3000", "a band of your own, from and to in Hz"}))
}

func profiles() string {
	var out [][]string
	for _, p := range limit.Profiles() {
		out = append(out, []string{p.Name, unit.MicroSignInText(p.Title)})
	}
	return rows([]string{"profile", "for"}, out)
}

// levels are some dial settings in each of their forms.
func levels() (string, error) {
	var out [][]string
	for _, typed := range []string{"0.1 uV", "0.2 uV", "0.25 uV", "0.3 uV", "0.5 uV", "1 uV", "2 uV", "5 uV", "10 uV", "50 uV", "100 uV", "1 mV"} {
		l, err := unit.ParseLevel(typed, unit.PD)
		if err != nil {
			return "", err
		}
		out = append(out, []string{unit.MicroSignInText(typed), fmt.Sprintf("%.4g", unit.MicrovoltEMF(l.DB)), fmt.Sprintf("%.1f", l.DB), fmt.Sprintf("%.1f", unit.DBMicrovoltPD(l.DB))})
	}
	return rows([]string{"PD", "EMF, µV", "dBm", "dBµV PD"}, out), nil
}

func sheets() string {
	var out [][]string
	for _, w := range bench.Wirings {
		out = append(out, []string{w.Case, w.Title})
	}
	return rows([]string{"sheet", "shows"}, out)
}

// cautions are those of all sheets, each once.
func cautions() string {
	var b strings.Builder
	seen := map[string]bool{}
	for _, w := range bench.Wirings {
		for _, c := range w.Cautions {
			if !seen[c] {
				b.WriteString("- " + c + "\n")
			}
			seen[c] = true
		}
	}
	return b.String()
}
