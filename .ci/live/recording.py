"""The checks of recording: what is heard is what was played, and what faults cost."""
import json, os, random, signal, subprocess, time, wave
from array import array

from bench import *


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
    one_line(s.tool("record", "--for", "1s", "--out", "received.wav", code=3), "already exists and was not changed")
    print("   at most %.2f s were lost" % worst)


def lost(s):
    say("device and server that go away, pages open")
    usb = Sink(s, "usb", 44100)
    one_line(s.tool("record", "--device", "usb", "--rate", "48000", "--out", "u.wav", code=3), "runs at 44100 Hz")
    p = s.start("record", "--device", "usb", "--for", "30s", "--out", "gone.wav")
    w = s.start("watch", "--device", "usb", "--page", "--json", "--for", "60s")
    seen = Viewer(address(w, w.stderr))
    grown("gone", p)
    at = time.monotonic()
    usb.unplug()
    ended(p, at, "gone", "the device is gone")
    seen.over()
    check(w.wait(timeout=5) == 3, "watch ended with", w.returncode)
    one_line(Said(w.stderr), "the device is gone")
    server = Server("dying")
    p = server.start("record", "--device", "bench", "--for", "30s", "--out", "dead.wav")
    q = server.start("watch", "--for", "60s", "--page", "--json")
    watched = Viewer(address(q, q.stderr))
    job("asking", "      - sensitivity: {recordings: [{level: 1 uV}]}\n")
    asking = server.spawn(tool, "record", "asking", "--device", "bench", "--page", stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    step = Viewer(address(asking, asking.stderr))
    heard = ""
    while not heard.endswith("Press Enter when this is done: "):
        heard += asking.stderr.read(1)
    grown("dead", p)
    at = time.monotonic()
    server.proc.kill()
    ended(p, at, "dead", "the sound server has died")
    q.wait(timeout=3)
    check(q.returncode == 3, "watch ended with", q.returncode)
    one_line(Said(q.stderr), "the sound server has died")
    asking.wait(timeout=5)  # it says so though nobody has answered
    check(asking.returncode == 3, "record ended with", asking.returncode)
    said = asking.stderr.read().strip()  # behind the end of the prompt's line
    check("the sound server has died" in said and "\n" not in said, "record says", repr(said))
    watched.over(), step.over()


class Said:
    """What is left on a pipe, the code below the page's address left out."""

    def __init__(self, pipe):
        self.stderr = "".join(l for l in pipe.read().splitlines(True) if l.strip() and not set(l) & set("█▀▄"))


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
