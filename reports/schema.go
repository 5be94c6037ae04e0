package reports

import _ "embed"

//go:embed schema/report.schema.json
var reportSchema []byte

// JobSchema is the JSON Schema (2020-12) of report.json, the record of a job.
func JobSchema() []byte { return append([]byte(nil), reportSchema...) }
