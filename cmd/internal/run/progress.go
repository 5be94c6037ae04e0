package run

import (
	"runtime"
	"sync"

	"hisspoint/capture"
)

// Progress is told how far work has come: so many of total things, "recordings" or
// "tests", are done; a share of one counts. At the end done is total.
type Progress func(done float64, total int, things string)

// InParallel calls do for 0 to n-1 on all cores and tells the progress.
func (rn Runner) InParallel(n int, do func(i int)) {
	rn.inParallel(n, func(i int, _ func(float64)) { do(i) })
}

// inParallel hands each piece of work a function that it may tell what share of it is
// done; nil where nobody asks.
func (rn Runner) inParallel(n int, do func(i int, share func(float64))) {
	var group sync.WaitGroup
	var mutex sync.Mutex
	next := make(chan int)
	done := 0.0
	add := func(some float64) {
		mutex.Lock()
		defer mutex.Unlock()
		done += some
		if done > float64(n)-1e-6 {
			done = float64(n) // shares add up to it but for rounding
		}
		rn.Progress(done, n, "recordings")
	}
	for range min(n, runtime.GOMAXPROCS(0)) {
		group.Go(func() {
			for i := range next {
				if rn.Progress == nil {
					do(i, nil)
					continue
				}
				told := 0.0
				do(i, func(share float64) {
					if share -= told; share > 0 {
						told += share
						add(share)
					}
				})
				if told < 1 {
					add(1 - told)
				}
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	group.Wait()
}

// leastShare is what has to be new to be told: a block is a small part of a long file.
const leastShare = 0.01

// sharing are recordings that tell which share of all of them was read. They may be read
// more than once, so the last hundredth waits until they are done with.
func sharing(rs []capture.Recording, share func(float64)) []capture.Recording {
	if share == nil {
		return rs
	}
	all, read, told := int64(0), 0.0, 0.0
	for _, r := range rs {
		all += r.Count
	}
	var mutex sync.Mutex
	out := make([]capture.Recording, len(rs))
	for i, r := range rs {
		out[i] = r.Telling(func(frames int) {
			mutex.Lock()
			defer mutex.Unlock()
			read += float64(frames) / float64(all)
			if now := min(read, 1-leastShare); now >= told+leastShare {
				told = now
				share(now)
			}
		})
	}
	return out
}

// following lets the channels of opened files tell which share of the files was read.
func (rn Runner) following(files []*capture.File) {
	var firsts []capture.Recording
	if rn.Progress == nil {
		return
	}
	for _, f := range files {
		firsts = append(firsts, f.Channels[0])
	}
	told := sharing(firsts, func(share float64) { rn.Progress(share, 1, "recordings") })
	for i, f := range files {
		for c := range f.Channels {
			o := f.Channels[c].Origin
			f.Channels[c] = told[i]
			f.Channels[c].Origin = o
		}
	}
}

// each hands out, one after the other, what total things tell their progress; it is asked
// for once more at the end.
func (p Progress) each(total int, things string) (next func() Progress) {
	begun := -1
	return func() Progress {
		if p == nil {
			return nil
		}
		begun++
		p(float64(begun), total, things)
		done := float64(begun)
		return func(share float64, of int, _ string) {
			if share < float64(of) { // the next one tells that it is done
				p(done+share/float64(of), total, things)
			}
		}
	}
}
