package soundcard

import (
	"fmt"
	"sync"
	"time"
)

// queueSeconds is how much sound waits for whoever reads it before samples
// count as lost.
const queueSeconds = 8

// stuck is how long a device that is there may send nothing: a busy computer can
// hold a sound server up for a second or two.
const stuck = 5 * time.Second

// queue stands between a backend that calls with samples and a reader that
// waits for them, and notices when nothing comes any more.
type queue struct {
	device   Device
	format   Format
	diagnose func() error // asked when nothing came for Patience: why the device is gone, nil if it is there

	mutex   sync.Mutex
	samples []float64
	err     error
	news    chan struct{} // holds one token when something changed
}

func newQueue(d Device, f Format, diagnose func() error) *queue {
	return &queue{device: d, format: f, diagnose: diagnose, news: make(chan struct{}, 1)}
}

func (q *queue) Device() Device { return q.device }
func (q *queue) Format() Format { return q.format }

func (q *queue) tell() {
	select {
	case q.news <- struct{}{}:
	default:
	}
}

// put takes samples from the backend.
func (q *queue) put(samples []float64) {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	if q.err != nil {
		return
	}
	if len(q.samples)+len(samples) > queueSeconds*q.format.Rate*q.format.Channels {
		q.err = q.lost()
	} else {
		q.samples = append(q.samples, samples...)
	}
	q.tell()
}

func (q *queue) lost() error {
	return fmt.Errorf("%s: samples were lost because the computer could not keep up; close other programs and record again", q.device.Name)
}

// fail ends the recording; what was recorded before is still handed out.
func (q *queue) fail(err error) {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	if q.err == nil {
		q.err = err
	}
	q.tell()
}

// take hands out what there is.
func (q *queue) take(block []float64) (int, error) {
	q.mutex.Lock()
	defer q.mutex.Unlock()
	if len(q.samples) == 0 {
		return 0, q.err
	}
	most := len(block) / q.format.Channels * q.format.Channels
	n := copy(block[:most], q.samples)
	rest := copy(q.samples, q.samples[n:])
	q.samples = q.samples[:rest]
	return n, nil
}

// Read implements Input.
func (q *queue) Read(block []float64) (int, error) {
	timer := time.NewTimer(Patience)
	defer timer.Stop()
	for began := time.Now(); ; {
		if n, err := q.take(block); n > 0 || err != nil {
			return n, err
		}
		select {
		case <-q.news:
		case <-timer.C:
			err := q.diagnose()
			if err == nil && time.Since(began) > stuck {
				err = fmt.Errorf("%s: sends no samples; check that no other program holds it, and plug it in again", q.device.Name)
			}
			if err != nil {
				q.fail(err)
				continue
			}
			timer.Reset(Patience)
		}
	}
}
