//go:build !linux && !malgo

package soundcard

import "errors"

// Open says that this build has no sound, and which has.
func Open() (Card, error) {
	return nil, errors.New("this build has no sound; take the one with sound for this system (make dist says which; build tag malgo), or pipe raw samples in with --device -")
}
