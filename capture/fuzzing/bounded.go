// Package fuzzing holds what the fuzz targets of all rooms assert of time and
// memory. Only tests import it.
package fuzzing

import (
	"runtime/metrics"
	"sync"
	"testing"
	"time"
)

// What an input under MostInput bytes may cost, whatever it claims.
const (
	MostInput = 1 << 20
	MostTime  = time.Second
	MostBytes = 64 << 20
)

// usage is what the process has allocated in all, and what its heap has taken
// from the system. The second never sinks, so it is the most that was in use.
type usage struct{ allocated, heap uint64 }

func now() usage {
	s := []metrics.Sample{
		{Name: "/gc/heap/allocs:bytes"},
		{Name: "/memory/classes/heap/objects:bytes"},
		{Name: "/memory/classes/heap/unused:bytes"},
		{Name: "/memory/classes/heap/free:bytes"},
		{Name: "/memory/classes/heap/released:bytes"},
	}
	metrics.Read(s)
	u := usage{allocated: s[0].Value.Uint64()}
	for _, m := range s[1:] {
		u.heap += m.Value.Uint64()
	}
	return u
}

var start = sync.OnceValue(now)

// clock is time.Now but in its own test.
var clock = time.Now

// Bounded runs work and fails if it takes longer than MostTime, or if the heap
// of the process has grown by more than MostBytes since the first call: what
// the garbage collector keeps up with is not memory in use. A machine that is
// busy can hold anything up once, so time counts if it is exceeded thrice.
func Bounded(t testing.TB, work func()) {
	t.Helper()
	bounded(t, ^uint64(0), work)
}

// Frugal is Bounded for work that is to allocate no more than MostBytes in all.
func Frugal(t testing.TB, work func()) {
	t.Helper()
	bounded(t, MostBytes, work)
}

func bounded(t testing.TB, most uint64, work func()) {
	t.Helper()
	first := start()
	for try := 1; ; try++ {
		before, began := now(), clock()
		work()
		took, after := clock().Sub(began), now()
		if n := after.allocated - before.allocated; n > most {
			t.Fatalf("allocated %d bytes", n)
		}
		if after.heap > first.heap+MostBytes {
			t.Fatalf("the heap grew by %d bytes", after.heap-first.heap)
		}
		if took <= MostTime {
			return
		}
		if try == 3 {
			t.Fatalf("took %v", took)
		}
	}
}
