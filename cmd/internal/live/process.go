package live

import (
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

// liveSlack is the slack of memory for what runs for hours: collecting seldom
// costs some 20 MB and saves a third of the time.
const liveSlack = 400

// CollectSeldom sets that slack, unless the environment sets one.
func CollectSeldom() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(liveSlack)
	}
}

// Stopped is closed when the person or the system asks the program to end.
func Stopped() (stop <-chan struct{}, done func()) {
	signals, ch := make(chan os.Signal, 1), make(chan struct{})
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT)
	end := make(chan struct{})
	go func() {
		select {
		case <-signals:
			close(ch)
		case <-end:
		}
	}()
	return ch, func() { signal.Stop(signals); close(end) }
}
