// Package jobfile reads and writes job, shop and limit files: YAML that people
// write by hand. Errors name the file, line and column, and say what was
// expected.
package jobfile

import "hisspoint/capture/jobfile/yamlfile"

type (
	text   = yamlfile.Text
	number = yamlfile.Number
)

// jobShape is a job file as it is written.
type jobShape struct {
	Job        text             `yaml:"job"`
	Set        setShape         `yaml:"set"`
	Customer   text             `yaml:"customer"`
	Received   text             `yaml:"received"`
	Issued     text             `yaml:"issued"`
	Contact    text             `yaml:"contact"`
	Fault      text             `yaml:"fault_reported"`
	Complaints []complaintShape `yaml:"complaints"`
	Work       []text           `yaml:"work"`
	Parts      []partShape      `yaml:"parts"`
	Outcome    text             `yaml:"outcome"`
	Reason     text             `yaml:"reason"`
	Language   text             `yaml:"language"`
	Authorised text             `yaml:"authorised"`
	Shop       text             `yaml:"shop"`
	Technician text             `yaml:"technician"`
	Equipment  []equipmentShape `yaml:"equipment"`
	Limits     []text           `yaml:"limits"`
	Decide     text             `yaml:"decide"`
	Simulated  text             `yaml:"simulated"`
	Rounds     roundsShape      `yaml:"rounds"`
	Files      []keptShape      `yaml:"files"`
}

// shopShape is a shop file as it is written.
type shopShape struct {
	Heading    text             `yaml:"heading"`
	Picture    text             `yaml:"picture"`
	Technician text             `yaml:"technician"`
	Authorised text             `yaml:"authorised"`
	Language   text             `yaml:"language"`
	Equipment  []equipmentShape `yaml:"equipment"`
	Limits     []text           `yaml:"limits"`
	Decide     text             `yaml:"decide"`

	LevelKind        text   `yaml:"level_kind"`
	RFPad            number `yaml:"rf_pad_db"`
	RFPadUncertainty number `yaml:"rf_pad_uncertainty_db"`
	Deviation        text   `yaml:"deviation"`
	MainsHz          number `yaml:"mains_hz"`
}

type setShape struct {
	Description text `yaml:"description"`
	Maker       text `yaml:"maker"`
	Model       text `yaml:"model"`
	Serial      text `yaml:"serial"`
	Mode        text `yaml:"mode"`
}

// complaintShape is a text alone, or with what shows it and what was done.
type complaintShape struct {
	Reported text   `yaml:"reported"`
	Tests    []text `yaml:"tests"`
	Work     text   `yaml:"work"`
	Pos      yamlfile.Pos
}

// complaintKeys is the longer form of a complaint.
type complaintKeys struct {
	Reported text   `yaml:"reported"`
	Tests    []text `yaml:"tests"`
	Work     text   `yaml:"work"`
}

// DecodeNode reads either form.
func (c *complaintShape) DecodeNode(n *yamlfile.Node) error {
	c.Pos = n.At
	if n.Kind != yamlfile.Mapping {
		return c.Reported.DecodeNode(n)
	}
	var k complaintKeys
	if err := n.Decode(&k); err != nil {
		return err
	}
	c.Reported, c.Tests, c.Work = k.Reported, k.Tests, k.Work
	return nil
}

type partShape struct {
	Ref     text `yaml:"ref"`
	Fitted  text `yaml:"fitted"`
	Removed text `yaml:"removed"`
}

type equipmentShape struct {
	What                 text   `yaml:"what"`
	Serial               text   `yaml:"serial"`
	Calibrated           text   `yaml:"calibrated"`
	Certificate          text   `yaml:"certificate"`
	LevelUncertainty     number `yaml:"level_uncertainty_db"`
	DeviationUncertainty number `yaml:"deviation_uncertainty_percent"`
	ReflectionFactor     number `yaml:"reflection_factor"`
	FullScaleVolts       number `yaml:"full_scale_volts"`
	VoltsUncertainty     number `yaml:"volts_uncertainty_percent"`
	ReadingUncertainty   number `yaml:"reading_uncertainty_db"`
	ResponseUncertainty  number `yaml:"response_uncertainty_db"`
	Distortion           number `yaml:"distortion_percent"`
	InputGain            text   `yaml:"input_gain"`
	Source               text   `yaml:"source"`
	Channel              number `yaml:"channel"`
	Note                 text   `yaml:"note"`
	Pos                  yamlfile.Pos
}

type roundsShape struct {
	AsFound *roundShape `yaml:"as_found"`
	AsLeft  *roundShape `yaml:"as_left"`
}

type roundShape struct {
	Tested        text               `yaml:"tested"`
	Channel       number             `yaml:"channel"`
	Conditions    conditionsShape    `yaml:"conditions"`
	Tests         []testShape        `yaml:"tests"`
	MeterReadings []meterShape       `yaml:"meter_readings"`
	Checks        []checkShape       `yaml:"checks"`
	NotMeasured   []notMeasuredShape `yaml:"not_measured"`
}

type conditionsShape struct {
	RFMHz            number `yaml:"rf_mhz"`
	Channel          text   `yaml:"channel"`
	SupplyVolts      number `yaml:"supply_volts"`
	TemperatureC     number `yaml:"temperature_c"`
	LevelKind        text   `yaml:"level_kind"`
	RFPad            number `yaml:"rf_pad_db"`
	RFPadUncertainty number `yaml:"rf_pad_uncertainty_db"`
	AudioPad         number `yaml:"audio_pad_db"`
	InputGain        text   `yaml:"input_gain"`
	Source           text   `yaml:"source"`
	Load             text   `yaml:"load"`
	LoadOhms         number `yaml:"load_ohms"`
	LoadUncertainty  number `yaml:"load_uncertainty_percent"`
	Reconnect        number `yaml:"reconnect_uncertainty_db"`
	MainsHz          number `yaml:"mains_hz"`
	Controls         text   `yaml:"controls"`
	S9               text   `yaml:"s9"`
}

type meterShape struct {
	What  text       `yaml:"what"`
	Value text       `yaml:"value"`
	Limit meterLimit `yaml:"limit"`
	Note  text       `yaml:"note"`
	Pos   yamlfile.Pos
}

// meterLimit is either a text or a nominal value with a tolerance.
type meterLimit struct {
	Text    text
	Nominal text `yaml:"nominal"`
	Within  text `yaml:"within"`
}

// meterBand is the longer form of a meter limit.
type meterBand struct {
	Nominal text `yaml:"nominal"`
	Within  text `yaml:"within"`
}

// DecodeNode reads either form.
func (l *meterLimit) DecodeNode(n *yamlfile.Node) error {
	if n.Kind != yamlfile.Mapping {
		return l.Text.DecodeNode(n)
	}
	var band meterBand
	if err := n.Decode(&band); err != nil {
		return err
	}
	if !band.Nominal.Set || !band.Within.Set {
		return n.Errorf("a limit with keys needs both: write {nominal: 50 uV PD, within: 6 dB}")
	}
	l.Nominal, l.Within = band.Nominal, band.Within
	return nil
}

type checkShape struct {
	What   text `yaml:"what"`
	Answer text `yaml:"answer"`
	Note   text `yaml:"note"`
	Pos    yamlfile.Pos
}

type notMeasuredShape struct {
	What text `yaml:"what"`
	Why  text `yaml:"why"`
	Pos  yamlfile.Pos
}

// keptShape is what a recording was when it was added.
type keptShape struct {
	File     text   `yaml:"file"`
	Bytes    number `yaml:"bytes"`
	SHA256   text   `yaml:"sha256"`
	Recorded text   `yaml:"recorded"`
	Meant    text   `yaml:"meant"`
	Pos      yamlfile.Pos
}
