// Package page shows a live reading on a phone or a tablet at the bench: one page that
// the program serves itself, with what is shown sent to it as it changes. It must not
// know what is measured, nor files: none is ever served from disk.
package page

import (
	"crypto/rand"
	"crypto/subtle"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"hisspoint/reports/doc"
)

//go:embed page.html
var source string

// What the server holds at most. A viewer that does not read loses readings, and its
// connection once a reading has waited so long.
const (
	mostConnections = 64
	mostViewers     = 40
	waiting         = 16 // readings
	patience        = 5 * time.Second
	mostBody        = 1 << 10
	mostHeader      = 8 << 10
)

// Loopback is the address that nobody outside this computer reaches.
const Loopback = "127.0.0.1:0"

// Button is one that the page offers.
type Button struct {
	Do    string `json:"do"`
	Label string `json:"label"`
}

// Server shows what it is told to every viewer that has its key.
type Server struct {
	Pressed <-chan string // what viewers press
	key     string
	port    int
	outside bool
	server  *http.Server
	pressed chan string

	mutex   sync.Mutex
	viewers map[chan []byte]bool
	newest  []byte
	n       int
	step    string
	allowed map[string]bool
	gone    chan struct{}
	closed  bool
}

// Open serves at an address: host and port, or a port alone, as :8080, which others in
// the network reach.
func Open(address string) (*Server, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		var op *net.OpError
		if errors.As(err, &op) {
			err = op.Err
		}
		return nil, fmt.Errorf("--page: %s cannot be served (%w); name another port, as :8080", address, err)
	}
	var random [16]byte
	rand.Read(random[:]) // never fails
	at := l.Addr().(*net.TCPAddr)
	s := &Server{key: base64.RawURLEncoding.EncodeToString(random[:]), port: at.Port, outside: !at.IP.IsLoopback(),
		pressed: make(chan string, 8), viewers: map[chan []byte]bool{}, gone: make(chan struct{})}
	s.Pressed = s.pressed
	s.server = &http.Server{Handler: s, ReadHeaderTimeout: patience, ReadTimeout: patience, IdleTimeout: 30 * time.Second, MaxHeaderBytes: mostHeader}
	go s.server.Serve(&limited{Listener: l, slots: make(chan struct{}, mostConnections)})
	return s, nil
}

// Addresses are where the page is found, its key in them, the likeliest first.
func (s *Server) Addresses() []string {
	hosts := []string{"127.0.0.1"}
	if s.outside {
		all, _ := net.InterfaceAddrs()
		hosts = nil
		for _, a := range all {
			if ip, ok := a.(*net.IPNet); ok && !ip.IP.IsLoopback() && ip.IP.To4() != nil {
				hosts = append(hosts, ip.IP.String())
			}
		}
		hosts = append(hosts, "127.0.0.1")
	}
	for i, h := range hosts {
		hosts[i] = fmt.Sprintf("http://%s:%d/?key=%s", h, s.port, s.key)
	}
	return hosts
}

// Close ends it, and all connections.
func (s *Server) Close() error {
	s.mutex.Lock()
	if !s.closed {
		s.closed = true
		close(s.gone)
	}
	s.mutex.Unlock()
	return s.server.Close()
}

// Show sends what is to be seen to every viewer. What is pressed counts for the step
// that it was shown with alone, so that nothing is answered that was not read.
func (s *Server) Show(p doc.Panel, step string, buttons ...Button) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	s.n++
	for step != s.step && len(s.pressed) > 0 {
		<-s.pressed
	}
	s.step, s.allowed = step, map[string]bool{}
	for _, b := range buttons {
		s.allowed[b.Do] = true
	}
	data, err := json.Marshal(message{s.n, step, append([]Button{}, buttons...), plain(p)})
	if err != nil {
		return // a panel is texts and places, which are finite
	}
	s.newest = data
	for v := range s.viewers {
		select {
		case v <- data:
		default: // it does not read
		}
	}
}

func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if subtle.ConstantTimeCompare([]byte(r.URL.Query().Get("key")), []byte(s.key)) != 1 {
		w.WriteHeader(http.StatusForbidden)
		return
	}
	h := w.Header()
	h.Set("Cache-Control", "no-store")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("X-Content-Type-Options", "nosniff")
	switch r.Method + " " + r.URL.Path {
	case "GET /":
		nonce := rand.Text()
		h.Set("Content-Type", "text/html; charset=utf-8")
		// The widths of bars are set by script, as properties, which no policy forbids.
		h.Set("Content-Security-Policy", fmt.Sprintf("default-src 'none'; script-src 'nonce-%s'; style-src 'nonce-%s'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'", nonce, nonce))
		io.WriteString(w, strings.ReplaceAll(source, "NONCE", nonce))
	case "GET /events":
		s.events(w, r)
	case "POST /do":
		r.Body = http.MaxBytesReader(w, r.Body, mostBody)
		s.press(w, r.PostFormValue("do"), r.PostFormValue("step"))
	default:
		w.WriteHeader(http.StatusNotFound)
	}
}

func (s *Server) press(w http.ResponseWriter, what, step string) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if !s.allowed[what] || step != s.step {
		w.WriteHeader(http.StatusConflict)
		return
	}
	select {
	case s.pressed <- what:
		w.WriteHeader(http.StatusNoContent)
	default:
		w.WriteHeader(http.StatusServiceUnavailable)
	}
}

// events sends what is shown as it comes (server-sent events, WHATWG HTML 9.2).
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	v, ok := s.join()
	if !ok {
		w.WriteHeader(http.StatusServiceUnavailable)
		return
	}
	defer s.leave(v)
	c := http.NewResponseController(w)
	c.SetReadDeadline(time.Time{})
	w.Header().Set("Content-Type", "text/event-stream")
	send := func(data []byte) error {
		c.SetWriteDeadline(time.Now().Add(patience))
		if _, err := fmt.Fprintf(w, "data: %s\n\n", data); err != nil {
			return err
		}
		return c.Flush()
	}
	if _, err := fmt.Fprint(w, "retry: 1000\n\n"); err != nil || c.Flush() != nil {
		return
	}
	for {
		select {
		case data := <-v:
			if send(data) != nil {
				return
			}
		case <-r.Context().Done():
			return
		case <-s.gone:
			return
		}
	}
}

func (s *Server) join() (chan []byte, bool) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if len(s.viewers) >= mostViewers {
		return nil, false
	}
	v := make(chan []byte, waiting)
	if s.newest != nil {
		v <- s.newest
	}
	s.viewers[v] = true
	return v, true
}

func (s *Server) leave(v chan []byte) {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	delete(s.viewers, v)
}

// limited accepts so many connections at a time; others wait.
type limited struct {
	net.Listener
	slots chan struct{}
}

func (l *limited) Accept() (net.Conn, error) {
	l.slots <- struct{}{}
	c, err := l.Listener.Accept()
	if err != nil {
		<-l.slots
		return nil, err
	}
	return &counted{Conn: c, free: sync.OnceFunc(func() { <-l.slots })}, nil
}

type counted struct {
	net.Conn
	free func()
}

func (c *counted) Close() error {
	defer c.free()
	return c.Conn.Close()
}
