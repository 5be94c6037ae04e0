package reports

import "hisspoint/analyze"

// Response is the record of an audio response.
type Response struct {
	Version  string
	Result   analyze.ResponseResult
	MaskRule bool // the mask was asked for: it decides
	Change   *ResponseChange
}

// ResponseChange is what became of a response.
type ResponseChange struct {
	Before     analyze.ResponseResult
	Difference analyze.ResponseDifference
}
