package page

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"hisspoint/reports/doc"
)

func open(t *testing.T) (s *Server, base, key string) {
	s, err := Open(Loopback)
	require.NoError(t, err)
	t.Cleanup(func() { s.Close() })
	require.Len(t, s.Addresses(), 1)
	u, err := url.Parse(s.Addresses()[0])
	require.NoError(t, err)
	return s, "http://" + u.Host, u.Query().Get("key")
}

func status(t *testing.T, method, address string, form url.Values) int {
	r, err := http.NewRequest(method, address, strings.NewReader(form.Encode()))
	require.NoError(t, err)
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	a, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	defer a.Body.Close()
	return a.StatusCode
}

// listen gives the numbers of so many messages that a viewer gets.
func listen(address string, count int) (numbers []int, err error) {
	a, err := http.Get(address)
	if err != nil {
		return nil, err
	}
	defer a.Body.Close()
	lines := bufio.NewScanner(a.Body)
	lines.Buffer(nil, 1<<20)
	for len(numbers) < count && lines.Scan() {
		text, is := strings.CutPrefix(lines.Text(), "data: ")
		if !is {
			continue
		}
		var m message
		if err := json.Unmarshal([]byte(text), &m); err != nil {
			return numbers, err
		}
		numbers = append(numbers, m.N)
	}
	return numbers, lines.Err()
}

// Several viewers get what is shown in its order, while one never reads.
func TestViewersGetWhatIsShownInItsOrder(t *testing.T) {
	s, base, key := open(t)
	deaf, err := net.Dial("tcp", strings.TrimPrefix(base, "http://"))
	require.NoError(t, err)
	defer deaf.Close()
	fmt.Fprintf(deaf, "GET /events?key=%s HTTP/1.1\r\nHost: x\r\n\r\n", key)
	stop := make(chan struct{})
	var group sync.WaitGroup
	group.Go(func() {
		for {
			select {
			case <-stop:
				return
			case <-time.After(2 * time.Millisecond):
				s.Show(doc.Panel{Title: "SINAD", Gauges: []doc.Gauge{{Course: doc.Course{Places: make([]float64, 240)}}}}, "a")
			}
		}
	})
	var viewers sync.WaitGroup
	for range 5 {
		viewers.Go(func() {
			numbers, err := listen(base+"/events?key="+key, 100)
			assert.NoError(t, err)
			assert.Len(t, numbers, 100)
			assert.IsIncreasing(t, numbers)
		})
	}
	viewers.Wait()
	close(stop)
	group.Wait()
}

// Without the key there is nothing, whatever is asked for; with it only what the page
// offers, and for the step alone with which it was shown.
func TestOnlyTheKeyOpensAndOnlyItsStepIsAnswered(t *testing.T) {
	s, base, key := open(t)
	s.Show(doc.Panel{}, "1", Button{Do: "enter", Label: "Enter"})
	for _, path := range []string{"/", "/?key=", "/events", "/do", "/?key=" + key[1:], "/?KEY=" + key, "/do?key=x"} {
		for _, method := range []string{"GET", "POST", "HEAD", "DELETE"} {
			assert.Equal(t, http.StatusForbidden, status(t, method, base+path, url.Values{"do": {"enter"}, "step": {"1"}}), "%s %s", method, path)
		}
	}
	press := func(do, step string) int {
		return status(t, "POST", base+"/do?key="+key, url.Values{"do": {do}, "step": {step}})
	}
	assert.Equal(t, http.StatusConflict, press("enter", "0"))
	assert.Equal(t, http.StatusConflict, press("dummy", "1"))
	assert.Equal(t, http.StatusNotFound, status(t, "GET", base+"/do?key="+key+"&do=enter&step=1", nil), "a button is no link")
	assert.Empty(t, s.Pressed)
	assert.Equal(t, http.StatusNoContent, press("enter", "1"))
	assert.Equal(t, "enter", <-s.Pressed)
	assert.Equal(t, http.StatusNoContent, press("enter", "1"))
	s.Show(doc.Panel{}, "2", Button{Do: "enter", Label: "Enter"})
	assert.Empty(t, s.Pressed, "what was pressed for one step answers no other")
	s.Show(doc.Panel{}, "3")
	assert.Equal(t, http.StatusConflict, press("enter", "3"), "where a word is typed there is no button")
	for range 8 {
		s.Show(doc.Panel{}, "4", Button{Do: "enter"})
		assert.Equal(t, http.StatusNoContent, press("enter", "4"))
	}
	assert.Equal(t, http.StatusServiceUnavailable, press("enter", "4"), "nobody takes them")
	assert.NotEqual(t, http.StatusNoContent, status(t, "POST", base+"/do?key="+key, url.Values{"do": {"enter"}, "step": {strings.Repeat("4", 1<<20)}}))
}

// A port that is in use is said in one line.
func TestAPortInUse(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	_, err = Open(l.Addr().String())
	require.Error(t, err)
	assert.Contains(t, err.Error(), "cannot be served")
	assert.NotContains(t, err.Error(), "\n")
	_, err = Open(":99999")
	assert.Error(t, err)
}

// No more viewers than are meant are let in, and one that leaves makes room.
func TestViewersAreBounded(t *testing.T) {
	s, _, _ := open(t)
	var all []chan []byte
	for range mostViewers {
		v, ok := s.join()
		require.True(t, ok)
		all = append(all, v)
	}
	_, ok := s.join()
	assert.False(t, ok)
	s.leave(all[0])
	_, ok = s.join()
	assert.True(t, ok)
}

// A code is a square of 17 + 4 V modules for a version V, with a finder of 7 modules,
// dark, light and dark, in three corners (ISO/IEC 18004).
func TestCodeIsAQRCode(t *testing.T) {
	const address = "http://192.168.100.100:65535/?key=AAAAAAAAAAAAAAAAAAAAAA"
	rows, err := Code(address)
	require.NoError(t, err)
	assert.LessOrEqual(t, len(rows), 20, "it fits a screen of 24 lines")
	size := len([]rune(rows[0])) - 2*quiet
	assert.Equal(t, 1, size%4)
	dark := func(x, y int) bool {
		r := []rune(rows[(y+quiet)/2])[x+quiet]
		return !(r == '█' || r == '▀' && (y+quiet)%2 == 0 || r == '▄' && (y+quiet)%2 == 1)
	}
	for _, corner := range [][2]int{{0, 0}, {size - 7, 0}, {0, size - 7}} {
		for i, want := range []bool{true, false, true, true, true, false, true} {
			assert.Equal(t, want, dark(corner[0]+i, corner[1]+3), "%v %d", corner, i)
			assert.Equal(t, want, dark(corner[0]+3, corner[1]+i), "%v %d", corner, i)
		}
	}
	assert.False(t, dark(-1, -1))
}
