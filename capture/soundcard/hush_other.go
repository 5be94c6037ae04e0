//go:build malgo && !linux

package soundcard

func hushALSA() {}
