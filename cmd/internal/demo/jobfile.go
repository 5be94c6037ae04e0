package demo

import (
	"fmt"
	"strings"

	"hisspoint/reports"
)

// JobFile is the job file of the demo, as a person would have typed it.
func JobFile(rounds []Round) []byte {
	var b strings.Builder
	f := Facts()
	fmt.Fprintf(&b, `# Invented and simulated by "hisspoint demo".
job: %q
set: {description: %q, serial: "0012345", mode: fm}
customer: "invented"
received: 2026-11-02
fault_reported: %q
work: ["input coil replaced", "receiver realigned"]
outcome: repaired
equipment:
  - {what: signal generator, serial: "SIM-1", level_uncertainty_db: %g}
  - {what: sound card, input_gain: "simulated"}
rounds:
`, f.Job, f.Set, f.Fault, half)
	dates := map[string]string{reports.AsFound: "2026-11-02", reports.AsLeft: "2026-11-04"}
	for _, r := range rounds {
		fmt.Fprintf(&b, `  %s:
    tested: %s
    conditions: {rf_mhz: 27.78125, supply_volts: 13.2, level_kind: pd, rf_pad_db: %d, load: resistor, load_ohms: 8}
    tests:
      - sensitivity:
          criterion: sinad 12 dB
          tone: 1 kHz
          deviation: 1.2 kHz
          filter: speech-band
          limit: "0.5 uV PD, invented service manual"
          recordings:
`, r.Name, dates[r.Name], padDB)
		for _, t := range r.Test.Takes {
			fmt.Fprintf(&b, "            - {level: %s, file: %s}\n", t.Typed, t.File)
		}
	}
	return []byte(b.String())
}
