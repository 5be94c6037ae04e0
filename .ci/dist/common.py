"""What the checks of the builds share."""
import array, math, os, random, signal, struct, subprocess, time

RATE = 48000
began = time.monotonic()
mine = []  # processes that were started here


def check(ok, *what):
    if not ok:
        raise SystemExit("FAILED: " + " ".join(str(w) for w in what))


def say(text):
    print("-- %s (%.0f s)" % (text, time.monotonic() - began), flush=True)


def stop():
    """Ends what was started here."""
    for p in reversed(mine):
        if p.poll() is None:
            p.kill()
            p.wait()


def one_line(text, *words):
    check(text.count("\n") == 1, "not one line:", repr(text))
    for w in words:
        check(w in text, repr(w), "is not in", repr(text))


class Server:
    """A sound server of its own, without hardware, in a folder of its own. What is
    played into it is noisy and goes on until the end: a null sink's clock stands
    still otherwise."""

    def __init__(self, work, name):
        self.dir = os.path.join(work, name)
        os.makedirs(self.dir, mode=0o700)
        self.socket = os.path.join(self.dir, "native")
        self.env = dict(os.environ, XDG_RUNTIME_DIR=self.dir, XDG_CONFIG_HOME=os.path.join(self.dir, "config"), HOME=self.dir,
                        PULSE_SERVER="unix:" + self.socket)
        self.env.pop("NO_COLOR", None)
        self.log = open(os.path.join(self.dir, "log"), "w")
        self.proc = self.spawn("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1", "--disallow-exit", "--use-pid-file=no", "--realtime=no", "--high-priority=no",
                               "-L", "module-native-protocol-unix socket=%s auth-anonymous=1" % self.socket,
                               "-L", "module-null-sink sink_name=bench rate=%d channels=2 format=s16le sink_properties=device.description=Bench" % RATE)
        for _ in range(400):
            if os.path.exists(self.socket):
                break
            time.sleep(0.05)
        check(os.path.exists(self.socket), "the sound server did not start:", open(self.log.name).read())
        self.sound = os.path.join(work, "sound.raw")
        if not os.path.exists(self.sound):
            write_sound(self.sound)
        self.player = self.spawn("sh", "-c", 'while cat "$0"; do :; done | exec paplay -d bench --latency-msec=500 --raw --rate=%d --channels=2 --format=s16le' % RATE, self.sound)
        time.sleep(0.5)

    def spawn(self, *args, **kw):
        kw.setdefault("stdout", self.log)
        kw.setdefault("stderr", self.log)
        p = subprocess.Popen(args, env=kw.pop("env", self.env), start_new_session=True, **kw)
        mine.append(p)
        return p

    def silence(self):
        """Plays nothing instead of the sound."""
        self.spawn("paplay", "-d", "bench", "--latency-msec=500", "--raw", "--rate=%d" % RATE, "--channels=2", "--format=s16le", "/dev/zero")
        time.sleep(0.5)
        os.killpg(self.player.pid, signal.SIGTERM)
        time.sleep(0.7)

    def dies_under(self, p, part):
        """Ends the server a second into a recording, and gives how long it took p to
        notice and what it said."""
        for _ in range(400):
            if os.path.exists(part) and os.path.getsize(part) > 4 * RATE:
                break
            time.sleep(0.05)
        before = os.path.getsize(part)
        self.proc.kill()
        at = time.monotonic()
        err = p.stderr.read()
        took = time.monotonic() - at
        check(p.wait() == 3, "ended with", p.returncode, err)
        check(os.path.getsize(part) >= before and len(recorded(part)) * 4 >= (before - 100) // 2, "what was recorded is not kept")
        return took, err


SECONDS = 20


def write_sound(file):
    """A tone in noise, whose samples tell where they stand, both channels alike."""
    r = random.Random(1)
    x = array.array("h")
    for i in range(SECONDS * RATE):
        v = int(32767 * (10 ** (-12 / 20) * math.sin(2 * math.pi * 1000 * i / RATE) + r.gauss(0, 0.03)))
        x.append(v), x.append(v)
    with open(file, "wb") as f:
        f.write(x.tobytes())


def played(file):
    with open(file, "rb") as f:
        return array.array("h", f.read())[::2]


def recorded(file):
    """The first channel of a WAVE file, as integers of 16 bits."""
    with open(file, "rb") as f:
        b = f.read()
    at = b.find(b"fmt ") + 8
    kind, channels, rate, _, _, bits = struct.unpack("<HHIIHH", b[at:at + 16])
    if kind == 0xfffe:
        kind = struct.unpack("<H", b[at + 24:at + 26])[0]
    check(rate == RATE and channels == 2, file, rate, "Hz", channels, "channels")
    at = b.find(b"data")
    data = b[at + 8:at + 8 + struct.unpack("<I", b[at + 4:at + 8])[0]]
    if kind == 3:
        return array.array("h", (round(v * 32768) for v in array.array("f", data)[::2]))
    if bits == 32:
        return array.array("h", (v >> 16 for v in array.array("i", data)[::2]))
    return array.array("h", data)[::2]


def same(got, source):
    """Whether every sample that was recorded is one that was played, and in its place."""
    twice = source + source
    probe, raw = got[:64].tobytes(), twice.tobytes()
    at = raw.find(probe)
    while at >= 0 and at % 2:
        at = raw.find(probe, at + 1)
    at //= 2
    return at >= 0 and got == (twice * (len(got) // len(source) + 1))[at:at + len(got)]


def proven(record, file, source):
    """Records until what was played comes back sample by sample: on a busy computer
    the player and the null sink themselves drop some, which is not what is proven."""
    for _ in range(5):
        if os.path.exists(file):
            os.remove(file)
        record()
        got = recorded(file)
        check(len(got) == 3 * RATE, len(got), "frames in 3 s")
        if same(got, source):
            return
        say("not what was played; once more")
    check(False, file, "is not what was played, sample by sample")


def loop_back(run, output, file, times=5, gaps=False):
    """Plays the test program of card into the null sink and looks at its level: run
    gives what card said, with whatever code it ended. Where gaps are to be expected,
    to refuse them is as good."""
    for _ in range(times):
        if os.path.exists(file):
            os.remove(file)
        r = run("--output", output, "--save", os.path.basename(file), "--json")
        if "samples were lost" not in r.stderr and "audio was lost" not in r.stderr:
            break
        say("a busy computer: once more")
    if gaps and r.returncode == 3 and ("audio was lost" in r.stderr or "samples were lost" in r.stderr):
        return
    check(r.returncode == 0, r)
    loud = max(abs(v) for v in recorded(file)) / 32768
    check(abs(20 * math.log10(loud) + 6) < 0.01, "the loudest sample of the loop-back is", loud, "not -6 dB")
