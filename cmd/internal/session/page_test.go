package session

import (
	"bufio"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/capture/soundcard"
	"hisspoint/cmd/internal/live"
	"hisspoint/cmd/internal/page"
)

func jobWith(t *testing.T, tests string) (dir string) {
	dir = t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "job.yaml"), []byte("job: \"7\"\nset: {description: x, mode: fm}\nrounds:\n  as_left:\n    tests:\n"+tests), 0o644))
	return dir
}

// viewer is somebody at the page who presses Enter whenever it is offered, until done.
func viewer(t *testing.T, address string, seen func(title string, enter bool)) {
	u, err := url.Parse(address)
	require.NoError(t, err)
	a, err := http.Get("http://" + u.Host + "/events?" + u.RawQuery)
	if err != nil {
		return
	}
	defer a.Body.Close()
	lines := bufio.NewScanner(a.Body)
	lines.Buffer(nil, 1<<20)
	pressed := ""
	for lines.Scan() {
		text, is := strings.CutPrefix(lines.Text(), "data: ")
		if !is {
			continue
		}
		var m struct {
			Step    string
			Buttons []struct{ Do string }
			Panel   struct{ Title string }
		}
		assert.NoError(t, json.Unmarshal([]byte(text), &m))
		seen(m.Panel.Title, len(m.Buttons) > 0)
		if m.Step == pressed {
			continue
		}
		pressed = m.Step // also where no button is shown: what is not offered is refused
		form := url.Values{"do": {"enter"}, "step": {m.Step}}
		if r, err := http.PostForm("http://"+u.Host+"/do?"+u.RawQuery, form); err == nil {
			r.Body.Close()
			assert.Equal(t, len(m.Buttons) > 0, r.StatusCode == http.StatusNoContent || r.StatusCode == http.StatusConflict && len(m.Buttons) > 0)
		}
	}
}

// Enter comes from the page: it records a receive test by itself, but never gets past the
// word for the dummy load.
func TestEnterComesFromThePage(t *testing.T) {
	server, err := page.Open(page.Loopback)
	require.NoError(t, err)
	titles, offered := map[string]bool{}, map[string]bool{}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		viewer(t, server.Addresses()[0], func(title string, enter bool) {
			titles[title] = true
			offered[title] = offered[title] || enter
		})
	}()
	time.Sleep(50 * time.Millisecond)
	dir := jobWith(t, "      - bench_floor: {file: floor.wav}\n      - transmit_distortion: {file: tx.wav}\n")
	typing, end := io.Pipe() // nothing is typed; it ends a while after the word was asked for
	time.AfterFunc(6*time.Second, func() { end.Close() })
	for _, name := range []string{"XDG_CONFIG_HOME", "HOME", "AppData"} {
		t.Setenv(name, t.TempDir())
	}
	var stdout, stderr strings.Builder
	how := Settings{Job: dir, Round: "as_left", Seconds: 1, Level: "-40 dBFS", Source: live.Source{Open: func() (soundcard.Card, error) { return &looped{}, nil }}}
	finished, err := (&Session{Settings: how, In: typing, Out: &stdout, Err: &stderr, Page: server}).Run()
	require.NoError(t, err)
	assert.False(t, finished)
	out, said := stdout.String(), stderr.String()
	server.Close()
	<-ended
	assert.Contains(t, out, "floor.wav: ")
	assert.NotContains(t, out, "tx.wav: ")
	assert.Equal(t, 1, strings.Count(said, "type dummy when it is so"), said)
	assert.True(t, titles["bench floor"] && offered["bench floor"], titles)
	assert.True(t, titles["before the transmitter is keyed"], titles)
	assert.False(t, offered["before the transmitter is keyed"])
}
