package fuzzing

import (
	"testing"
	"time"
)

// failure takes down whether a check failed, in place of the test it ran in.
type failure struct {
	testing.TB
	said bool
}

func (f *failure) Helper() {}

func (f *failure) Fatalf(string, ...any) {
	f.said = true
	panic(f)
}

// expect stands in for testify, which would make every fuzz run slower: coverage is
// counted in all that a test is linked with.
func expect(t *testing.T, want, is bool) {
	t.Helper()
	if want != is {
		t.Errorf("%v, not %v", is, want)
	}
}

func fails(t *testing.T, check func(testing.TB, func()), work func()) bool {
	f := &failure{TB: t}
	func() {
		defer func() { recover() }()
		check(f, work)
	}()
	return f.said
}

// Time counts if it is exceeded three times in a row.
func TestTimeIsFelt(t *testing.T) {
	at := time.Unix(0, 0)
	share := 1 // of the time in which processors are busy
	clock = func() time.Time { return at }
	used = func() time.Duration { return time.Duration(at.UnixNano() / int64(share)) }
	defer func() { clock, used = time.Now, cpuTime }()
	calls := 0
	slow := func(often int, by time.Duration) func() {
		calls = 0
		return func() {
			if calls++; calls <= often {
				at = at.Add(by + time.Millisecond)
			}
		}
	}
	expect(t, false, fails(t, Bounded, slow(2, MostTime)))
	expect(t, true, fails(t, Bounded, slow(3, MostTime)))
	share = 100
	expect(t, false, fails(t, Bounded, slow(3, MostTime))) // held up
	expect(t, true, fails(t, Bounded, slow(3, MostWait)))  // hanging
}

var kept []byte

// A bound that cannot be broken would show nothing.
func TestMemoryIsFelt(t *testing.T) {
	hold := func() { kept = make([]byte, MostBytes+8<<20) }
	expect(t, false, fails(t, Frugal, func() {}))
	expect(t, false, fails(t, Bounded, func() { churn(20) })) // what is let go of is not in use
	expect(t, true, fails(t, Frugal, func() { churn(20) }))
	expect(t, true, fails(t, Bounded, hold))
	kept = nil
}

// churn allocates so many times 4 MiB and lets each go.
func churn(times int) {
	for range times {
		kept = make([]byte, 4<<20)
	}
}
