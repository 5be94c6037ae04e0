#!/usr/bin/env python3
"""Follows the live bench on a real sound server without hardware: a null sink
whose monitor is recorded.

    check.py HISSPOINT DEMO WORK [--update]

HISSPOINT is the program, DEMO a folder that its demo has written, WORK an empty
folder. --update writes the golden screens anew: look at them before committing.
"""
import json, math, os, random, re, shutil, signal, struct, subprocess, sys, time, wave
from array import array

tool, demo, work = (os.path.abspath(p) for p in sys.argv[1:4])
update = "--update" in sys.argv
here = os.path.dirname(os.path.abspath(__file__))
RATE = 48000
mine = []  # processes that were started here


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
        check(r.returncode == code, args, "ended with", r.returncode, "not", code, "\n", r.stdout[-2000:], r.stderr[-2000:])
        return r

    def start(self, *args):
        return self.spawn(tool, *args, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def write(file, samples):
    """A stereo file of 16 bits."""
    with wave.open(file, "wb") as w:
        w.setnchannels(2), w.setsampwidth(2), w.setframerate(RATE)
        x = array("h", (int(max(-1, min(1, v)) * 32767) for v in samples for _ in (0, 1)))
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


def devices(s):
    say("devices, one missing, another rate")
    list_ = json.loads(s.tool("card", "--list", "--json").stdout)
    check(list_["inputs"][0]["id"] == "bench.monitor" and list_["inputs"][0]["sample_rate_hz"] == RATE, list_)
    one_line(s.tool("record", "--device", "radio", "--out", "never.wav", code=3), 'no sound input is called "radio"')
    one_line(s.tool("record", "--device", "bench", "--rate", "44100", "--out", "never.wav", code=3), "runs at 48000 Hz, not at 44100")
    check(not os.path.exists(os.path.join(work, "never.wav")), "a refused recording left a file")
    nobody = dict(s.env, XDG_RUNTIME_DIR=os.path.join(work, "nobody"))
    r = subprocess.run([tool, "watch", "--for", "1s"], env=nobody, capture_output=True, text=True)
    check(r.returncode == 3, r)
    one_line(r, "no sound server runs here")


def recorded(s):
    """Simulated receiver audio comes back bit for bit, with its SINAD."""
    say("a simulated receiver, recorded")
    source, rate = read(os.path.join(demo, "as-left", "1uV.wav"))
    check(rate == RATE, "the demo's rate is", rate)
    played = os.path.join(work, "played.wav")
    with wave.open(played, "wb") as w:
        w.setnchannels(2), w.setsampwidth(2), w.setframerate(RATE)
        w.writeframes(bytes(4 * RATE // 2))  # what is lost at the beginning is silence
        w.writeframes(array("h", (v for x in source for v in (x, x))).tobytes())
        w.writeframes(bytes(4 * RATE // 2))
    rec = s.start("record", "--device", "bench", "--for", "7s", "--out", "received.wav")
    time.sleep(0.5)
    s.play("played.wav").wait()
    out, err = rec.communicate(timeout=30)
    check(rec.returncode == 0, out, err)
    got, rate = read(os.path.join(work, "received.wav"))
    check(rate == RATE and len(got) == 7 * RATE, rate, len(got))
    probe = source[RATE:RATE + 64]  # from 1 s on
    raw, start = got.tobytes(), None
    at = raw.find(probe.tobytes())
    while at >= 0 and at % 2:
        at = raw.find(probe.tobytes(), at + 1)
    check(at >= 0, "what was played is not in the recording")
    start = at // 2 - RATE
    check(got[start:start + len(source)] == source, "the recording is not what was played, bit for bit")
    def measured(file, begin):
        r = json.loads(s.tool("measure", "--json", "--channel", "1", "--from", "%.6f" % begin, "--to", "%.6f" % (begin + 4.9), file).stdout)
        return r["recordings"][0]["readings"]
    a, b = measured(os.path.join(demo, "as-left", "1uV.wav"), 0.05), measured("received.wav", start / RATE + 0.05)
    for name, within in (("sinad", 0.1), ("tone_level", 0.01), ("tone_frequency", 0.001)):
        check(abs(a[name]["value"] - b[name]["value"]) <= within, name, a[name], b[name])
    print("   SINAD played %.3f dB, recorded %.3f dB" % (a["sinad"]["value"], b["sinad"]["value"]))


def peaked(s):
    """The best of a coil that is turned through its peak."""
    say("peaking, watched on a pipe")
    write(os.path.join(work, "peak.wav"), tone(6, lambda t: -20 - min(8, 4 * abs(t - 3))))
    w = s.start("watch", "--json", "--aim", "audio", "--for", "7s", "--device", "bench")
    time.sleep(0.3)
    s.play("peak.wav")
    out, err = w.communicate(timeout=30)
    check(w.returncode == 0, err)
    lines = [json.loads(l) for l in out.splitlines()]
    check(len(lines) >= 55, "only", len(lines), "readings in 7 s")
    level = [(l["readings"]["tone_level"]["value"] or -999, l["t_s"] - 0.25) for l in lines]
    top, when = max(level)
    best = [l["aim"] for l in lines if l["aim"]["best_t_s"] is not None][-1]
    check(abs(best["best_t_s"] - when) < 0.3, "best at", best["best_t_s"], "peak at", when)
    check(-21.5 < best["best"]["value"] < -20, best)
    check(any(l["aim"]["state"] == "past" and l["t_s"] > when for l in lines), "nothing said that the best was past")
    print("   peak at %.2f s, best found at %.2f s" % (when, best["best_t_s"]))
    text = s.tool("watch", "--for", "1s").stdout.splitlines()
    check(3 <= len(text) <= 11 and all("SINAD" in l for l in text), text)


def cost(s):
    say("what watch costs")
    write(os.path.join(work, "steady.wav"), tone(60))
    p = s.play("steady.wav")
    time.sleep(0.7)
    before = os.times()
    s.tool("watch", "--json", "--for", "6s", "--device", "bench")
    after = os.times()
    used = (after.children_user + after.children_system - before.children_user - before.children_system) / 6
    print("   watch takes %.1f %% of one core" % (100 * used))
    check(used < 0.25, "watch takes", used, "of a core")  # 0.1 is asked for on an idle machine
    return p


def full(s):
    say("a full disk")
    small = os.path.join(work, "small")
    os.makedirs(small)
    if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", small], capture_output=True).returncode != 0:
        check(os.environ.get("HISSPOINT_CI") != "1" or os.geteuid() != 0, "no small disk could be mounted")
        print("   left out: only root can mount a small disk")
        return
    try:
        r = s.tool("record", "--for", "6s", "--out", os.path.join(small, "rx.wav"), code=3)
        one_line(r, "no space left on device", "are kept in", "rx.unfinished.wav")
        x, _ = read(os.path.join(small, "rx.unfinished.wav"))
        check(len(x) > RATE, "only", len(x), "frames were kept")
    finally:
        subprocess.run(["umount", small], check=True)


def killed(s):
    """kill -9 at random moments loses a second at most and nothing that was there."""
    say("killed at 100 random moments")
    rnd, worst, keep = random.Random(7), 0.0, open(os.path.join(work, "received.wav"), "rb").read()
    for batch in range(20):
        runs = []
        for k in range(5):  # more at a time, and it is the sound server that is late
            p = s.start("record", "--for", "30s", "--out", "k/%d-%d.wav" % (batch, k))
            runs.append([p, os.path.join(work, "k", "%d-%d.unfinished.wav" % (batch, k)), None, rnd.uniform(0.1, 1.3)])
        left = list(runs)
        deadline = time.monotonic() + 20
        while left:
            for r in list(left):
                if r[2] is None and os.path.exists(r[1]) and os.path.getsize(r[1]) > 1000:
                    r[2] = time.monotonic()
                elif r[2] is not None and time.monotonic() - r[2] >= r[3]:
                    r[0].send_signal(signal.SIGKILL)
                    r[3] = time.monotonic() - r[2]
                    left.remove(r)
                    continue
                check(r[0].poll() is None, "a recording ended by itself:", r[0].stderr.read() if r[0].poll() else "")
            check(time.monotonic() < deadline, "a recording did not begin")
            time.sleep(0.005)
        for p, file, _, lasted in runs:
            p.communicate()
            x, _ = read(file)  # a header that lies would be an error or another length
            check(os.path.getsize(file) - 44 >= 4 * len(x), file, "states more than it holds")
            worst = max(worst, lasted - len(x) / RATE)
    check(worst <= 1, "lost", worst, "s")
    check(open(os.path.join(work, "received.wav"), "rb").read() == keep, "an earlier recording was changed")
    one_line(s.tool("record", "--for", "1s", "--out", "received.wav", code=3), "is there already and stays as it is")
    print("   at most %.2f s were lost" % worst)


def lost(s):
    say("device and server that go away")
    r = subprocess.run(["pactl", "load-module", "module-null-sink", "sink_name=usb", "rate=44100", "sink_properties=device.description=USB"], env=s.env, capture_output=True, text=True)
    check(r.returncode == 0, r)
    feed = s.spawn("paplay", "-d", "usb", "--latency-msec=200", "--raw", "--rate=44100", "--channels=2", "--format=s16le", "/dev/zero")
    time.sleep(0.5)
    one_line(s.tool("record", "--device", "usb", "--rate", "48000", "--out", "u.wav", code=3), "runs at 44100 Hz")
    p = s.start("record", "--device", "usb", "--for", "30s", "--out", "gone.wav")
    grown("gone", p)
    at = time.monotonic()
    subprocess.run(["pactl", "unload-module", r.stdout.strip()], env=s.env, check=True)
    ended(p, at, "gone", "the device is gone")
    feed.kill()
    server = Server("dying")
    p = server.start("record", "--device", "bench", "--for", "30s", "--out", "dead.wav")
    q = server.start("watch", "--for", "30s")
    grown("dead", p)
    at = time.monotonic()
    server.proc.kill()
    ended(p, at, "dead", "the sound server has died")
    q.wait(timeout=3)
    check(q.returncode == 3, "watch ended with", q.returncode)
    one_line(q, "the sound server has died")


def grown(name, p):
    """Waits until a recording has over a second."""
    file, end = os.path.join(work, name + ".unfinished.wav"), time.monotonic() + 15
    while not os.path.exists(file) or os.path.getsize(file) < 5 * RATE:
        check(p.poll() is None and time.monotonic() < end, "the recording", name, "does not grow")
        time.sleep(0.02)


def ended(p, at, name, words):
    p.wait(timeout=5)
    took = time.monotonic() - at
    check(p.returncode == 3, "ended with", p.returncode)
    err = one_line(p, words, "are kept in")
    x, rate = read(os.path.join(work, name + ".unfinished.wav"))
    check(len(x) / rate > 0.9, "only", len(x) / rate, "s kept")
    check(took < 1.3, "noticed only after", took, "s")
    print("   %.2f s until it was said: %s" % (took, err.strip()))


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

    def close(self):
        self.tmux("kill-server")


def masked(text):
    """Small figures change from run to run; what is large does not."""
    out = []
    for l in text.split("\n"):
        if "█" not in l or "·" in l:
            l = re.sub(r"-?\d+(\.\d+)?", lambda m: "N" * len(m.group(0)), l)
            l = re.sub(r"[▏▎▍▌▋▊▉█·]{8,}", "BAR", l)
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


def screens(s):
    say("screens")
    common = ("watch", "--aim", "audio", "--device", "bench")
    for width, height in ((80, 24), (120, 40)):
        t = Terminal(s, "w%d" % width, width, height, *common)
        t.until("at the best")
        golden("watch-%dx%d" % (width, height), masked(t.text()))
        if width == 120:
            t.tmux("resize-window", "-t", "t", "-x", "80", "-y", "24")
            time.sleep(0.8)
            check(masked(t.text()) == open(os.path.join(here, "watch-80x24.txt")).read(), "a smaller window shows\n" + t.text())
            check("\x1b[" in t.text("-e"), "there is no colour")
        t.keys("m")
        t.until("note to this reading:")
        t.keys("-l", "T5 peaked")
        t.keys("Enter")
        t.until("marked in marks.txt")
        t.keys("h")
        t.until("HELD")
        t.keys("h", "+")
        t.until("time constant 1 s")
        t.keys("b")
        t.until("a new best begins")
        t.keys("C-c" if width == 80 else "q")
        clean(t, "before\nended 0\nicanon\n")
        t.close()
    check(open(os.path.join(work, "marks.txt")).read().count("note: T5 peaked") == 2, "the notes are not there")
    t = Terminal(s, "nocolor", 80, 24, *common, NO_COLOR="1")
    t.until("at the best")
    check("\x1b[" not in t.text("-e"), "NO_COLOR shows colour:", repr(t.text("-e")))
    pid = next(int(l.split()[0]) for l in t.tmux("list-panes", "-a", "-F", "#{pane_pid}").splitlines())
    child = int(subprocess.run(["ps", "-o", "pid=", "--ppid", str(pid)], capture_output=True, text=True).stdout.split()[0])
    os.kill(child, signal.SIGTERM)
    clean(t, "before\nended 0\nicanon\n")
    t.close()


def clean(t, want):
    t.until("icanon")
    check(t.text() == want, "the terminal is left as\n" + t.text())


def walked(s):
    say("a job, recorded by keys")
    s.tool("job", "new", "job", "--number", "0417", "--set", "invented FM transceiver", "--mode", "fm")
    typed = """# by hand
job: "0417"
set: {description: invented FM transceiver, mode: fm}
rounds:
  as_left:
    conditions: {rf_pad_db: 10}   # measured
    tests:
      - sensitivity:
          recordings:
            - {level: -97 dBm}    # strong
            - {level: -110 dBm, file: weak.wav}
"""
    file = os.path.join(work, "job", "job.yaml")
    open(file, "w").write(typed)
    t = Terminal(s, "job", 80, 24, "record", "job", "--for", "1s", "--device", "bench")
    t.until("Enter when it is so:")
    check("[ R load ]" in t.text(), t.text())
    t.keys("Enter")
    text = t.until("dial -97.0 dBm")
    check("10 dB pad, 0.999 µV PD, -107.0 dBm, at the set" in text, text)
    golden("record-80x24", masked(t.until("noise")))
    t.keys("Enter")
    t.until("sensitivity, -110 dBm")
    t.keys("C-c")
    t.until("Stopped; go on with: hisspoint record job")
    t.close()
    now = open(file).read()
    check(now == typed.replace("{level: -97 dBm}", "{level: -97 dBm, file: as-left/sensitivity_-97dBm.wav}"), "the job file is now\n" + now)
    x, _ = read(os.path.join(work, "job", "as-left", "sensitivity_-97dBm.wav"))
    check(len(x) == RATE, len(x), "frames")
    # resumed on a pipe; the answers come a line each
    r = s.tool("record", "job", "--for", "1s", "--device", "bench", "--quiet", input="\nq\n")
    check("Stopped" in r.stdout and os.path.exists(os.path.join(work, "job", "weak.wav")), r.stdout, r.stderr)
    check("sensitivity, -97" not in r.stderr, "what was recorded was asked for again:\n" + r.stderr)


def chapter(s):
    """README's bench chapter, from card to report: a simulated set answers what the
    generator is told to be set to."""
    say("README's bench chapter, from card to report")
    readme = open(os.path.join(here, "..", "..", "README.md"), encoding="utf-8").read()
    text = readme[readme.index("## Live on the bench"):]
    text = text[:text.find("\n## ", 4)]
    lines = [l[2:].split("  #")[0].strip() for b in re.findall(r"```sh\n(.*?)```", text, re.S) for l in b.split("\n") if l.startswith("$ hisspoint ")]
    check(len(lines) >= 7, lines)
    done = set()
    for line in lines:
        args = [a.strip('"') for a in re.findall(r'"[^"]*"|\S+', line)][1:]
        args = ["bench" if a == "line in" else a for a in args]
        done.add(args[0])
        if args[0] == "record" and "--out" not in args:
            answered(s, args)
        elif args[0] == "report":
            r = s.tool(*args, code=0)
            report = json.load(open(os.path.join(work, args[1], "report.json")))
            text = json.dumps(report)
            check('"status": "found"' in text, "no point was found:", r.stdout)
            print("   " + next(l for l in r.stdout.splitlines() if "12 dB SINAD at" in l).strip())
        else:
            r = s.tool(*args, *(["--for", "2s"] if args[0] == "watch" else []))
            if args[0] == "card" and "--list" not in args:
                check("nothing speaks against measuring with it" in r.stdout, r.stdout)
            if args[:2] == ["job", "new"]:
                plan(os.path.join(work, args[2], "job.yaml"))
    check(done >= {"card", "job", "record", "watch", "report", "wiring"}, "the chapter shows only", done)


def plan(file):
    """The sensitivity test alone, at levels of which the demo has recordings."""
    levels = "".join("            - {level: %s uV}\n" % l for l in ("2", "1.4", "1", "0.8", "0.7", "0.56"))
    open(file, "w").write('job: "0417"\nset: {description: invented transceiver, mode: fm}\nrounds:\n  as_found:\n'
                          "    conditions: {rf_pad_db: 10}\n    tests:\n      - sensitivity:\n          recordings:\n" + levels)


def answered(s, args):
    """Answers record: sets the generator to the level that is asked for, then Enter."""
    p = subprocess.Popen([tool, *args, "--for", "3s", "--quiet"], env=s.env, cwd=work, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    mine.append(p)
    heard, sound, doubts = b"", None, 0
    while True:
        c = p.stderr.read(1)
        if not c:
            break
        heard += c
        if not re.search(rb"(stop\):|so:|again:) $", heard):
            continue
        asked = heard.decode()
        level = re.findall(r"^sensitivity, ([0-9.]+ uV)$", asked, re.M)
        if level and "stop):" in asked[-20:]:
            if sound:
                sound.kill()
                sound.wait()
            sound = s.play(os.path.join(demo, "as-left", level[-1].replace(" ", "") + ".wav"))
            time.sleep(1)
        doubted = "again:" in asked[-12:]  # a busy machine loses samples of the null sink
        doubts += doubted
        check(doubts < 12, "recordings are doubted again and again:", asked[-800:])
        p.stdin.write(b"r\n" if doubted else b"\n")
        p.stdin.flush()
        heard = b""
    check(p.wait() == 0, "record ended with", p.returncode, heard, p.stdout.read())


began = time.monotonic()
try:
    bench = Server("bench")
    devices(bench)
    recorded(bench)
    peaked(bench)
    full(bench)
    killed(bench)
    lost(bench)
    playing = cost(bench)
    screens(bench)
    walked(bench)
    playing.kill()
    time.sleep(1)  # what the server still holds of it
    chapter(bench)
    say("all of the live bench")
finally:
    for p in reversed(mine):
        if p.poll() is None:
            p.kill()
            p.wait()
