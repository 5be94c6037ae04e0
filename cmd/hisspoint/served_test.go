package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// Starting a process costs more than what a short command does in it, and scripts
// run hundreds of commands. So those that a script runs by exits share one process:
// `hisspoint-served` runs each in the script's folder and environment, with nothing
// on standard input. A command that reads standard input, and one that a script
// runs without exits, has a process of its own.

// servedRun is one command for a served process.
type servedRun struct {
	Dir  string
	Env  map[string]string
	Args []string
}

// servedEnd is what came of it.
type servedEnd struct {
	Code           int
	Stdout, Stderr []byte
}

// serve runs commands until nobody sends more.
func serve() {
	in, out := json.NewDecoder(os.Stdin), json.NewEncoder(os.Stdout)
	for {
		var r servedRun
		if err := in.Decode(&r); err == io.EOF {
			return
		} else if err != nil {
			panic(err)
		}
		if err := out.Encode(r.run()); err != nil {
			panic(err)
		}
	}
}

func (r servedRun) run() servedEnd {
	if err := os.Chdir(r.Dir); err != nil {
		panic(err)
	}
	for k, v := range r.Env {
		if err := os.Setenv(k, v); err != nil {
			panic(err)
		}
	}
	debug.SetGCPercent(100) // as a new process has it
	var stdout, stderr bytes.Buffer
	code := program(r.Args, strings.NewReader(""), &stdout, &stderr)
	return servedEnd{code, stdout.Bytes(), stderr.Bytes()}
}

// server is a script's served process.
type server struct {
	process *exec.Cmd
	in      *json.Encoder
	out     *json.Decoder
	stderr  strings.Builder // of a panic
	env     []string        // the names of what the script may set
}

var envLine = regexp.MustCompile(`(?m)^env (\w+)=`)

type serverKey struct{}

// withServer gives a script a place to keep its served process.
func withServer(env *testscript.Env) error {
	env.Values[serverKey{}] = &server{}
	return nil
}

func (s *server) start(ts *testscript.TestScript) {
	script, err := os.ReadFile("testdata/script/" + ts.Name() + ".txtar")
	ts.Check(err)
	s.env = []string{"HOME"}
	for _, m := range envLine.FindAllSubmatch(script, -1) {
		s.env = append(s.env, string(m[1]))
	}
	s.process = exec.Command("hisspoint-served")
	s.process.Stderr = &s.stderr
	for _, name := range []string{"PATH", "HOME", "TMPDIR", "SYSTEMROOT"} {
		s.process.Env = append(s.process.Env, name+"="+ts.Getenv(name))
	}
	requests, err := s.process.StdinPipe()
	ts.Check(err)
	answers, err := s.process.StdoutPipe()
	ts.Check(err)
	s.in, s.out = json.NewEncoder(requests), json.NewDecoder(answers)
	ts.Check(s.process.Start())
	ts.Defer(func() {
		requests.Close()
		s.process.Wait()
	})
}

// served runs hisspoint in the script's served process, and tells its exit code.
func served(ts *testscript.TestScript, args []string) int {
	s := ts.Value(serverKey{}).(*server)
	if s.process == nil {
		s.start(ts)
	}
	r := servedRun{Dir: ts.MkAbs("."), Env: map[string]string{}, Args: args}
	for _, name := range s.env {
		r.Env[name] = ts.Getenv(name)
	}
	var end servedEnd
	ts.Check(s.in.Encode(r))
	if err := s.out.Decode(&end); err != nil {
		s.process.Wait()
		ts.Fatalf("hisspoint %s ended its process: %v\n%s", strings.Join(args, " "), err, s.stderr.String())
	}
	ts.Stdout().Write(end.Stdout)
	ts.Stderr().Write(end.Stderr)
	return end.Code
}

// canBeServed tells whether a command reads no standard input.
func canBeServed(command string, args []string) bool {
	return command == "hisspoint" && !slices.Contains(args, "-")
}
