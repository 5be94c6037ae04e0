package run

import (
	"hisspoint/analyze/reading"
	"hisspoint/capture/job"
	"hisspoint/capture/unit"
)

// telling is the recording of a test that tells for all of them which channel
// carries the set's audio, because others have no tone to tell it by: a modulated
// one, else the open hiss. It is empty where each tells for itself.
func telling(takes []job.Take) string {
	modulated, hiss, plain := "", "", false
	for _, k := range takes {
		off := k.State == job.StateOff || k.State == "" && k.Typed != "" && k.Level.Scale == unit.Off
		switch {
		case k.State == job.StateModulated && modulated == "":
			modulated = k.File
		case off && hiss == "":
			hiss = k.File
		}
		plain = plain || off || k.State == job.StateCarrier
	}
	switch {
	case !plain:
		return ""
	case modulated != "":
		return modulated
	}
	return hiss
}

// sharing makes all stereo recordings of a test use one channel: the one that the
// recording telling would pick. A recording without a tone, picking for itself, could
// take the other channel, and the test would compare two sources. It changes nothing
// where telling is empty or mono, or where the person named a channel.
func (rn Runner) sharing(telling string, how job.Reading, use Use) (Use, error) {
	if telling == "" || use.Channel != ToneChannel {
		return use, nil
	}
	f, closeFile, err := rn.open(telling)
	if err != nil {
		return use, err
	}
	defer closeFile()
	if len(f.Channels) < 2 {
		return use, nil
	}
	i, err := reading.PickChannel(f.Channels, how)
	use.prefer = i + 1
	return use, err
}
