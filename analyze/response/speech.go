package response

import (
	"math"
	"sync"

	"hisspoint/analyze"
	"hisspoint/analyze/internal/audio"
	"hisspoint/capture"
	"hisspoint/capture/note"
	"hisspoint/capture/signal"
)

// Bands of speech that are read, and limits of what can be told.
const (
	speechFirst, speechLast = -6, 6 // third octaves, 250 Hz to 4 kHz
	speechVaries            = 5     // dB by which talk rises and falls at least
	speechVoiced            = 0.15  // share of the talk that is voiced at least
	speechTones             = 0.3   // share of the time that may hold steady tones
	speechShort             = 10    // s of talk under which it is said to be short
	speechClear             = 6     // dB by which a band has to stand above the noise
	speechLeast             = 1     // s of talk
	byrne                   = "Byrne et al. 1994"
	ansi                    = "ANSI S3.5-1997, normal effort"
)

// speech reads the long-term spectrum of a voice, or of noise shaped as
// speech, against the published long-term spectrum.
//
// Third-octave levels over the active parts, less those of Byrne et al. 1994
// (talkers of both sexes, many languages), are the response; their scatter over 16
// parts of the recording (jackknife) and the spread between talkers give the
// interval.
func (r *listener) speech(rs []capture.Recording) error {
	var edges []float64
	for n := speechFirst; n <= speechLast; n++ {
		low, _, high := signal.ThirdOctave(n)
		edges = append(edges, low)
		if n == speechLast {
			edges = append(edges, high)
		}
	}
	rate, tones := 0, 0.0
	var s *audio.Speech
	for _, rec := range rs {
		if rate != 0 && rec.Rate != rate {
			r.Why = "the recordings of one talker have different sample rates: read them one by one"
			return nil
		}
		if s == nil {
			rate = rec.Rate
			s = audio.NewSpeech(float64(rate), edges)
		}
		s.Break()
		f := audio.NewFinder(float64(rate))
		for b, err := range rec.Blocks() {
			if err != nil {
				return err
			}
			s.Add(b)
			f.Add(b)
		}
		for _, p := range f.Plateaus() {
			tones += float64(p.To-p.From) / float64(rate)
		}
	}
	spoken, ok := s.Spoken()
	if !ok || spoken.Active < speechLeast {
		r.Why = "it holds less than a second of talk: record 30 s of a voice without long pauses"
		return nil
	}
	if tones > speechTones*spoken.Active {
		r.Why = "it holds steady tones rather than talk"
		return nil
	}
	if why, err := notTalk(rs, spoken); why != "" || err != nil {
		r.Why = why
		return err
	}
	r.Kind = analyze.ResponseSpeech
	r.Speech = &analyze.SpeechFacts{ActiveS: spoken.Active, Voiced: spoken.Voiced, Noise: spoken.Varies < speechVaries, Spectrum: byrne, OtherSpectrum: ansi}
	r.speechWarnings(spoken)
	l, weak := r.speechLevels(spoken, float64(rate), reference(r.Speech.Noise))
	r.leftOut(weak)
	r.shape(l)
	if r.OK() && !r.Speech.Noise {
		other, _ := r.speechLevels(spoken, float64(rate), bandTable(signal.ANSIS35))
		if w := audio.Tilt(other.Hz, tiltLow, tiltHigh); w != nil {
			r.Speech.OtherTilt = w.Of(other.DB)
		}
	}
	return nil
}

// notTalk says why sound is neither talk, which rises and falls and has the pitch of a
// voice, nor the noise of the test signals: other noise, music and data have a spectrum of
// their own, and a tilt against that of speech would say nothing of the set.
func notTalk(rs []capture.Recording, s audio.Spoken) (why string, err error) {
	if s.Varies >= speechVaries {
		if s.Voiced < speechVoiced {
			why = "it hardly holds the pitch of a voice, so it is noise or data, not talk: record 30 s of a voice"
		}
		return why, nil
	}
	for _, rec := range rs {
		if ours, err := isTestNoise(rec); ours || err != nil {
			return "", err
		}
	}
	return "it does not rise and fall as talk does, so it is noise or data: record 30 s of a voice, or the speech-noise that hisspoint signals writes", nil
}

// Pieces of a recording that are looked for in the noise of the test signals.
const (
	noisePieces   = 3
	noiseSeconds  = 1.5
	noiseRate     = 8000
	noiseLikeness = 0.25 // least correlation, of the magnitude: other noise comes to 0.15
)

// testNoise is that noise, with its beginning once more behind it: it repeats without a seam.
var testNoise = sync.OnceValue(func() []float64 {
	played := signal.SpeechNoise(noiseRate, -20, signal.NoiseSeconds).Samples
	return append(played, played[:int(noiseSeconds*noiseRate)]...)
})

// isTestNoise tells whether a recording is the noise that package signal makes, which is
// the same every time and at every rate.
func isTestNoise(rec capture.Recording) (bool, error) {
	n := min(rec.Count, int64(noiseSeconds*float64(rec.Rate)))
	for i := range noisePieces {
		part, err := rec.Cut((rec.Count-n)*int64(i+1)/(noisePieces+1), n)
		if err != nil {
			return false, err
		}
		x, err := SamplesOf(part)
		if err != nil {
			return false, err
		}
		if _, like := audio.Fitting(testNoise(), audio.Thinned(x, float64(rec.Rate), noiseRate)); like > noiseLikeness {
			return true, nil
		}
	}
	return false, nil
}

func (r *listener) speechWarnings(s audio.Spoken) {
	if !r.Speech.Noise && s.Active < speechShort {
		r.warn(capture.ShortTalk, note.Of("short-talk", note.Seconds(s.Active)))
	}
	if s.Overlaid && !r.Speech.Noise {
		r.warn(capture.NoisyTalk, note.Of("noisy-talk"))
	}
}

// reference is the band level of speech by number: of the published table, or of
// the noise that is shaped after it.
func reference(noise bool) map[int]float64 {
	if !noise {
		return bandTable(signal.Byrne1994)
	}
	out := map[int]float64{}
	for n := speechFirst; n <= speechLast; n++ {
		low, _, high := signal.ThirdOctave(n)
		const steps = 32
		sum := 0.0
		for i := range steps {
			hz := low * math.Pow(high/low, (float64(i)+0.5)/steps)
			sum += hz * math.Pow(10, signal.SpeechDensityDB(hz)/10)
		}
		out[n] = 10 * math.Log10(sum*math.Log(high/low)/steps)
	}
	return out
}

func bandTable(bands []signal.Band) map[int]float64 {
	out := map[int]float64{}
	for _, b := range bands {
		out[b.N] = b.DB
	}
	return out
}

// speechLevels are the band levels less the spectrum of speech, the monitor's
// curve and the ideal. Bands that do not stand above the noise are left out.
func (r *listener) speechLevels(s audio.Spoken, rate float64, against map[int]float64) (levels, []float64) {
	l := levels{Talkers: !r.Speech.Noise, Without: make([][]float64, len(s.Without))}
	var weak []float64
	for i, v := range s.DB {
		n := speechFirst + i
		_, middle, high := signal.ThirdOctave(n)
		m, _, ok := r.How.Monitor.At(middle)
		if !ok || high > 0.45*rate {
			continue
		}
		if s.Over[i] < speechClear {
			weak = append(weak, middle)
			continue
		}
		off := against[n] + m + analyze.Ideal(r.How.Against, middle)
		l.Hz, l.DB = append(l.Hz, middle), append(l.DB, v-off)
		for b := range s.Without {
			l.Without[b] = append(l.Without[b], s.Without[b][i]-off)
		}
	}
	return l, weak
}
