// Package fuzzing holds what the fuzz targets of all rooms assert of time and
// memory, and those of files and their sound. Only tests import it.
package fuzzing

import (
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"testing"
	"time"
)

// What an input under MostInput bytes may cost, whatever it claims.
const (
	MostInput = 1 << 20
	MostTime  = time.Second
	MostWait  = 30 * time.Second
	MostBytes = 64 << 20
)

// clock and used are replaced in their own test.
var clock, used = time.Now, cpuTime

// Bounded runs work and fails if it takes longer than MostTime or more memory
// than MostBytes. Work that allocates no more than that in all cannot have used
// more. Of other work, which streams, the most that was in use at a time is taken
// in a second run. A machine that is busy can hold anything up, so time counts
// where processors were busy for as long, or beyond MostWait, and if it is exceeded
// three times in a row.
func Bounded(t testing.TB, work func()) {
	t.Helper()
	if allocated := timed(t, work); allocated <= MostBytes {
		return
	}
	if n := mostInUse(work); n > MostBytes {
		t.Fatalf("%d bytes were in use", n)
	}
}

// Frugal is Bounded for work that is to allocate no more than MostBytes in all.
func Frugal(t testing.TB, work func()) {
	t.Helper()
	if n := timed(t, work); n > MostBytes {
		t.Fatalf("allocated %d bytes", n)
	}
}

// timed runs work up to three times until it is quick enough, and returns what
// it allocated.
func timed(t testing.TB, work func()) uint64 {
	t.Helper()
	for try := 1; ; try++ {
		before, began, idle := read("/gc/heap/allocs:bytes"), clock(), used()
		work()
		took := clock().Sub(began)
		if took <= MostTime || took <= MostWait && used()-idle <= MostTime {
			return read("/gc/heap/allocs:bytes") - before
		}
		if try == 3 {
			t.Fatalf("took %v", took)
		}
	}
}

func read(name string) uint64 {
	s := []metrics.Sample{{Name: name}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}

// mostInUse looks every millisecond how large the heap is, with what waits to be
// collected, and returns by how much it grew. The engine that makes the inputs
// has a large heap of its own; collecting early keeps that from counting.
func mostInUse(work func()) uint64 {
	const objects = "/memory/classes/heap/objects:bytes"
	defer debug.SetGCPercent(debug.SetGCPercent(10))
	runtime.GC()
	before := read(objects)
	most := before
	done, looked := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(looked)
		tick := time.NewTicker(time.Millisecond)
		defer tick.Stop()
		for more := true; more; {
			select {
			case <-done:
				more = false
			case <-tick.C:
			}
			most = max(most, read(objects))
		}
	}()
	work()
	close(done)
	<-looked
	return most - before
}
