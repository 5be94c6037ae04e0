package simulate

import (
	"sync"

	"gonum.org/v1/gonum/dsp/fourier"
)

// library is the library's transform of one length with room for its result:
// making both takes as long as using them, and truths take many recordings.
type library struct {
	fft  *fourier.FFT
	spec []complex128
}

var libraries sync.Map // int -> *sync.Pool of *library

func libraryFor(n int) *library {
	pool, ok := libraries.Load(n)
	if !ok {
		pool, _ = libraries.LoadOrStore(n, &sync.Pool{New: func() any {
			return &library{fourier.NewFFT(n), make([]complex128, n/2+1)}
		}})
	}
	return pool.(*sync.Pool).Get().(*library)
}

// of is the transform of x, good until done.
func (l *library) of(x []float64) []complex128 { return l.fft.Coefficients(l.spec, x) }

func (l *library) done() {
	if pool, ok := libraries.Load(l.fft.Len()); ok {
		pool.(*sync.Pool).Put(l)
	}
}
