"""The builds for Linux that are not the default."""
import glob, json, os, subprocess

from common import *


def same_numbers(a, b, where, within=1e-9):
    """Two trees of JSON hold the same, numbers within the tolerance relative to their
    size, and absolute below 1. Hum is searched for: where nothing stands out, the place
    that may hold most hangs on the last digit of the noise, and moves by thousandths of
    its own doubt."""
    if "hum" in where or "buzz" in where:
        within = 1e-3
    check(type(a) == type(b) or isinstance(a, (int, float)) and isinstance(b, (int, float)), where, a, b)
    if isinstance(a, dict):
        check(a.keys() == b.keys(), where, a.keys(), b.keys())
        for k in a:
            same_numbers(a[k], b[k], where + "." + k)
    elif isinstance(a, list):
        check(len(a) == len(b), where, a, b)
        for i, (x, y) in enumerate(zip(a, b)):
            same_numbers(x, y, "%s[%d]" % (where, i))
    elif isinstance(a, float) or isinstance(b, float):
        check(abs(a - b) <= within * max(1, abs(a)), where, a, b)
    else:
        check(a == b, where, a, b)


def arm64(dist, demo, work):
    """Floating point fuses multiplications with additions there, so figures agree
    to many digits but not to the last."""
    say("linux/arm64")
    root = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
    files = [os.path.join(root, "testdata", "scipy", "wav", f) for f in ("deep-48k.wav", "hum-60.wav", "noisy-12dB.wav")]

    def run(*args):
        r = subprocess.run(args, capture_output=True, text=True, timeout=600)
        check(r.returncode == 0, args, r)
        return r.stdout

    here, there = [os.path.join(dist, "hisspoint-linux-amd64")], ["qemu-aarch64-static", os.path.join(dist, "hisspoint-linux-arm64")]
    check(run(*there, "--version") == run(*here, "--version"), "another version")
    a, b = (json.loads(run(*tool, "measure", "--json", *files)) for tool in (here, there))
    same_numbers(a, b, "measure")
    levels = sorted(glob.glob(os.path.join(demo, "as-left", "*uV.wav")))
    a, b = (json.loads(run(*tool, "sensitivity", "--json", *levels)) for tool in (here, there))
    same_numbers(a, b, "sensitivity")
    if not os.environ.get("HISSPOINT_LONG"):
        return
    folder = os.path.join(work, "arm64-demo")
    run(*there, "demo", "--quiet", "--dir", folder)
    a, b = (json.load(open(os.path.join(d, "report.json"))) for d in (demo, folder))
    check(a["verdict"] == b["verdict"], "the demo's verdict is", b["verdict"])


ASOUNDRC = """
pcm.bench { type pulse device "bench.monitor" server "unix:%(socket)s" hint { show on description "Bench line" } }
pcm.out { type pulse device "bench" server "unix:%(socket)s" hint { show on description "Bench out" } }
pcm.nothing { type null hint { show on description "Nothing" } }
"""


def alsa(dist, work):
    say("Linux with ALSA")
    s = Server(work, "alsa")
    with open(os.path.join(s.dir, ".asoundrc"), "w") as f:
        f.write(ASOUNDRC % {"socket": s.socket})
    tool = os.path.join(dist, "hisspoint-linux-amd64-alsa")

    def run(*args, code=0):
        r = subprocess.run([tool, *args], env=s.env, cwd=work, capture_output=True, text=True, timeout=120)
        check(code is None or r.returncode == code, args, "ended with", r.returncode, "not", code, r.stdout, r.stderr)
        return r

    listed = run("card", "--list", "--json")
    check(listed.stderr == "", "ALSA's own words:", listed.stderr)
    listed = json.loads(listed.stdout)
    line = [d for d in listed["inputs"] if d["id"] == "bench"]
    check(line and line[0]["name"] == "Bench line" and line[0]["sample_rate_hz"] == RATE and line[0]["channels"] == 2, listed)
    check(not any("ample" in d["name"] and "Plugin" in d["name"] for d in listed["inputs"]), "a converter counts as an input", listed)
    one_line(run("record", "--device", "bench line", "--rate", "44100", "--out", "never.wav", code=3).stderr, "runs at 48000 Hz, not at 44100")
    check(not os.path.exists(os.path.join(work, "never.wav")), "a refused recording left a file")

    proven(lambda: run("record", "--device", "bench line", "--for", "3s", "--out", "alsa.wav"), os.path.join(work, "alsa.wav"), played(s.sound))

    say("Linux with ALSA: a loop-back")
    s.silence()
    loop_back(lambda *args: run("card", "--device", "bench line", *args, code=None), "bench out", os.path.join(work, "alsa-loop.wav"))

    say("Linux with ALSA: the server dies while recording")
    p = s.spawn(tool, "record", "--device", "bench line", "--for", "60s", "--out", "lost.wav", stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=work)
    part = os.path.join(work, "lost.unfinished.wav")
    took, err = s.dies_under(p, part)
    one_line(err, "Bench line: ", "are kept in lost.unfinished.wav")
    check(took < 1.5, "noticed after %.2f s" % took)
    say("noticed after %.2f s" % took)
