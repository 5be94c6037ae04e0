package analyze

const (
	WhyNoTone = "tone-missing"

	WhySilence = "silence"
)

const (
	WhyUnsteady  = "unsteady"
	WhyNotFinite = "not-finite"
)

const WhyNeverOpened = "it never opened"
