"""A sound server, a terminal and small helpers for the checks of the live bench."""
import math, os, random, re, subprocess, sys, time, urllib.request, wave
from array import array

tool, demo, work = (os.path.abspath(p) for p in sys.argv[1:4])
update = "--update" in sys.argv
here = os.path.dirname(os.path.abspath(__file__))
RATE = 48000
mine = []  # processes that were started here
began = time.monotonic()


def check(ok, *what):
    if not ok:
        raise SystemExit("FAILED: " + " ".join(str(w) for w in what))


def say(text):
    print("-- %s (%.0f s)" % (text, time.monotonic() - began), flush=True)


class Server:
    """A sound server of its own in a folder of its own."""

    def __init__(self, name):
        self.dir = os.path.join(work, name)
        os.makedirs(self.dir, mode=0o700)
        self.env = dict(os.environ, XDG_RUNTIME_DIR=self.dir, XDG_CONFIG_HOME=os.path.join(self.dir, "config"), HOME=self.dir, TERM="screen-256color")
        self.env.pop("NO_COLOR", None)
        self.env.pop("PULSE_SERVER", None)
        socket = os.path.join(self.dir, "pulse", "native")
        self.log = open(os.path.join(self.dir, "log"), "w")
        self.proc = self.spawn("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--disallow-exit", "--use-pid-file=no", "--realtime=no", "--high-priority=no",
                               "-L", "module-native-protocol-unix socket=%s auth-anonymous=1" % socket,
                               "-L", "module-null-sink sink_name=bench rate=%d channels=2 format=s16le sink_properties=device.description=Bench" % RATE)
        for _ in range(200):
            if os.path.exists(socket):
                break
            time.sleep(0.05)
        check(os.path.exists(socket), "the sound server did not start:", open(self.log.name).read())
        # Without sound that goes on, the null sink's clock stands still.
        self.zero = self.spawn("paplay", "-d", "bench", "--latency-msec=200", "--raw", "--rate=%d" % RATE, "--channels=2", "--format=s16le", "/dev/zero")
        time.sleep(0.3)

    def spawn(self, *args, **kw):
        kw.setdefault("stdout", self.log)
        kw.setdefault("stderr", self.log)
        p = subprocess.Popen(args, env=self.env, cwd=work, **kw)
        mine.append(p)
        return p

    def play(self, file):  # with as much ahead as a busy machine needs
        return self.spawn("paplay", "-d", "bench", "--latency-msec=500", file)

    def tool(self, *args, code=0, **kw):
        r = subprocess.run([tool, *args], env=self.env, cwd=work, capture_output=True, text=True, timeout=60, **kw)
        check(code is None or r.returncode == code, args, "ended with", r.returncode, "not", code, "\n", r.stdout[-2000:], r.stderr[-2000:])
        return r

    def start(self, *args):
        return self.spawn(tool, *args, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


class Sink:
    """Another null sink of a server, which can be taken away; it lives by itself."""

    def __init__(self, s, name, rate=RATE):
        self.s, self.name = s, name
        r = subprocess.run(["pactl", "load-module", "module-null-sink", "sink_name=" + name, "rate=%d" % rate, "channels=2", "sink_properties=device.description=" + name],
                           env=s.env, capture_output=True, text=True)
        check(r.returncode == 0, r)
        self.module = r.stdout.strip()
        self.zero = s.spawn("paplay", "-d", name, "--latency-msec=200", "--raw", "--rate=%d" % rate, "--channels=2", "--format=s16le", "/dev/zero")
        time.sleep(0.5)

    def play(self, file):
        return self.s.spawn("paplay", "-d", self.name, "--latency-msec=500", file)

    def unplug(self):
        subprocess.run(["pactl", "unload-module", self.module], env=self.s.env, check=True)
        self.zero.kill()


class Viewer:
    """Looks at the live page at an address: reads its events until they end."""

    def __init__(self, address):
        page, key = address.split("/?key=")
        self.stream = urllib.request.urlopen("%s/events?key=%s" % (page, key), timeout=10)
        check(self.next().startswith("data:"), "the page sends no readings")

    def next(self):
        for line in iter(self.stream.readline, b""):
            if line.startswith(b"data:"):
                return line.decode()
        return ""

    def over(self, seconds=5):
        end = time.monotonic() + seconds
        try:
            while self.next():
                check(time.monotonic() < end, "the page goes on though its program has ended")
        except OSError:
            pass


def address(p, pipe):
    """What a program prints as the address of its page."""
    text = ""
    while not text.endswith("\n") or "key=" not in text:
        c = pipe.read(1)
        check(c, "no address came:", text)
        text += c
    return re.search(r"http:\S+", text)[0]


def write(file, samples, times=1):
    """A stereo file of 16 bits, the samples so many times."""
    with wave.open(file, "wb") as w:
        w.setnchannels(2), w.setsampwidth(2), w.setframerate(RATE)
        x = array("h", (int(max(-1, min(1, v)) * 32767) for v in samples for _ in (0, 1)))
        for _ in range(times):
            w.writeframes(x.tobytes())


def read(file):
    """The first channel of a file of 16 bits."""
    with wave.open(file, "rb") as w:
        n, c = w.getnframes(), w.getnchannels()
        x = array("h", w.readframes(n))
        return x[::c], w.getframerate()


def tone(seconds, db=lambda t: -12.0, hz=1000, noise=0.004, seed=1):
    r = random.Random(seed)
    for i in range(int(seconds * RATE)):
        t = i / RATE
        yield 10 ** (db(t) / 20) * math.sin(2 * math.pi * hz * t) + r.gauss(0, noise)


def one_line(r, *words):
    err = r.stderr if isinstance(r.stderr, str) else r.stderr.read()
    check(err.count("\n") == 1, "not one line:", repr(err))
    for w in words:
        check(w in err, repr(w), "is not in", repr(err))
    return err


class Terminal:
    """A terminal of tmux in which a command runs."""

    def __init__(self, s, name, width, height, *args, **env):
        self.s, self.socket = s, os.path.join(s.dir, name + ".tmux")
        words = " ".join("'%s'" % a for a in (tool,) + args)
        setting = "".join("%s=%s " % kv for kv in env.items())
        self.tmux("-f", "/dev/null", "new-session", "-d", "-s", "t", "-x", str(width), "-y", str(height), "echo before; %s%s; echo ended $?; stty -a | grep -o -- '-\\?icanon'; sleep 100" % (setting, words))

    def tmux(self, *args):
        return subprocess.run(["tmux", "-S", self.socket, *args], env=self.s.env, cwd=work, capture_output=True, text=True, check=True).stdout

    def text(self, *more):
        return "\n".join(l.rstrip() for l in self.tmux("capture-pane", "-p", "-t", "t", *more).split("\n")).rstrip("\n") + "\n"

    def keys(self, *keys):
        self.tmux("send-keys", "-t", "t", *keys)

    def until(self, words, seconds=10):
        end = time.monotonic() + seconds
        while words not in self.text():
            check(time.monotonic() < end, repr(words), "did not appear:\n" + self.text())
            time.sleep(0.05)
        return self.text()

    def through(self, words):
        """Reads pages to the end, where the words stand."""
        self.until("Enter")
        while words not in self.text():
            check("Enter: the next page" in self.text(), repr(words), "did not appear:\n" + self.text())
            self.keys("Enter")
            time.sleep(0.3)
        return self.text()

    def child(self):
        """The process that runs in it."""
        pid = self.tmux("list-panes", "-a", "-F", "#{pane_pid}").split()[0]
        return int(subprocess.run(["ps", "-o", "pid=", "--ppid", pid], capture_output=True, text=True).stdout.split()[0])

    def close(self):
        self.tmux("kill-server")


def masked(text):
    """Small figures change from run to run; what is large does not."""
    out, strip = [], 0
    for l in text.split("\n"):
        if strip > 0:  # the last 60 s
            strip, l = strip - 1, "STRIP"
        if re.search(r"best .* at .* s", l):
            strip = 3
        if "█" not in l or "·" in l:
            l = re.sub(r"-?\d+(\.\d+)?", lambda m: "N" * len(m.group(0)), l)
            l = re.sub(r"[▏▎▍▌▋▊▉█·┃]{8,}", "BAR", l)
            l = re.sub(r"N+ ", "N ", l)
            l = re.sub(r" +", " ", l)
        out.append(l.rstrip())
    return "\n".join(out)


def golden(name, text):
    file = os.path.join(here, name + ".txt")
    if update:
        open(file, "w").write(text)
    want = open(file).read()
    check(want == text, name, "shows\n" + text + "\nand ought to show\n" + want)


def clean(t, want):
    t.until("icanon")
    check(t.text() == want, "the terminal is left as\n" + t.text())


def converse(s, args, reply):
    """Runs record on pipes: reply is told each question and gives its answer, None to end."""
    p = subprocess.Popen([tool, *args], env=s.env, cwd=work, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    mine.append(p)
    heard, asked = b"", []
    while True:
        c = p.stderr.read(1)
        if not c:
            break
        heard += c
        if not re.search(rb"(stop\)|done|again|set|on): $", heard):
            continue
        asked.append(heard.decode())
        heard = b""
        answer = reply(asked[-1])
        if answer is None:
            p.stdin.close()
            continue
        p.stdin.write(answer.encode() + b"\n")
        p.stdin.flush()
    out = p.stdout.read().decode()
    check(p.wait() == 0, "record ended with", p.returncode, heard.decode(), out)
    return "".join(asked) + heard.decode(), out


class Doubts:
    """Answers what record finds against a recording: a busy machine loses samples of
    the null sink, so it is recorded again, some times."""

    def __init__(self, most=12):
        self.left = most

    def about(self, asked):
        if not asked.endswith("again: "):
            return False
        self.left -= 1
        check(self.left > 0, "recordings are doubted again and again:", asked[-800:])
        return True


def job(name, tests, mode="fm"):
    """A job file by hand."""
    os.makedirs(os.path.join(work, name))
    file = os.path.join(work, name, "job.yaml")
    open(file, "w").write('job: "7"\nset: {description: invented transceiver, mode: %s}\nrounds:\n  as_left:\n    tests:\n%s' % (mode, tests))
    return file
