"""The Windows program, under wine."""
import glob, json, os, shutil, subprocess, time

from common import *

MINGW = "x86_64-w64-mingw32-gcc"
here = os.path.dirname(os.path.abspath(__file__))
env = None  # of wine, once there is one


def stop():
    """Ends the wine server that was started here, and what runs in it."""
    if env:
        subprocess.run(["wineserver", "-k"], env=env, stderr=subprocess.DEVNULL)


def compiled(work, name, *flags):
    out = os.path.join(work, name)
    r = subprocess.run([MINGW, "-O2", "-o", out, *flags], cwd=here, capture_output=True, text=True)
    check(r.returncode == 0, r.stderr)
    return out


def prepare(server, work):
    """A Windows of its own, 64 bits only, that goes with the work folder."""
    global env
    say("wine")
    prefix = os.path.join(work, "wine")
    env = dict(server.env, WINEPREFIX=prefix, WINEARCH="win64", WINEDEBUG="-all", WINEDLLOVERRIDES="mscoree,mshtml,winemenubuilder.exe=", TERM="screen-256color")
    env.pop("DISPLAY", None)
    r = subprocess.run(["wine", "wineboot", "-i"], env=env, capture_output=True, timeout=150)
    check(r.returncode == 0, r)
    subprocess.run(["wineserver", "-p300"], env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    system = os.path.join(prefix, "drive_c", "windows", "system32")
    check(os.path.isdir(system), "no", system)
    seeds = os.path.join(system, "bcryptprimitives.dll")
    if not os.path.exists(seeds):
        shutil.copy(compiled(work, "rng.dll", "-shared", "rng.c", "-ladvapi32"), seeds)
    # The first program starts services, which keep its outputs open: it must not be
    # one whose outputs are read to their end. It stays, and so do they.
    log = open(os.path.join(work, "wine.log"), "w+b")
    mine.append(subprocess.Popen(["wine", compiled(work, "hold.exe", "hold.c"), "C:\\windows\\win.ini"], env=env, stdin=subprocess.PIPE, stdout=log, stderr=log))
    for _ in range(1200):
        log.seek(0)
        if b"held" in log.read():
            return
        time.sleep(0.1)
    check(False, "wine does not start")


class Program:
    def __init__(self, exe, work):
        self.exe, self.work = exe, work

    def run(self, *args, code=0, **kw):
        r = subprocess.run(["wine", self.exe, *args], env=env, cwd=self.work, capture_output=True, timeout=120, **kw)
        r.stdout, r.stderr = r.stdout.decode().replace("\r\n", "\n"), r.stderr.decode().replace("\r\n", "\n")
        check(code is None or r.returncode == code, args, "ended with", r.returncode, "not", code, "\n", r.stdout[-2000:], r.stderr[-2000:])
        return r


def files(p, demo, work, native):
    say("Windows: files, paths and exit codes")
    p.run("demo", "--quiet", "--dir", "C:\\Prüfung\\demo")
    made = os.path.join(env["WINEPREFIX"], "drive_c", "Prüfung", "demo")
    a, b = (json.load(open(os.path.join(d, "report.json"))) for d in (demo, made))
    check(a["verdict"] == b["verdict"], b["verdict"])
    shutil.copytree(made, os.path.join(work, "Öffner 8 Ω"))
    left = p.run("measure", "--json", "Öffner 8 Ω\\as-left\\*uV.wav").stdout
    want = subprocess.run([native, "measure", "--json", *sorted(glob.glob("Öffner 8 Ω/as-left/*uV.wav", root_dir=work))], cwd=work, capture_output=True, text=True).stdout
    check(json.loads(left)["recordings"] == json.loads(want)["recordings"], "another result than on Linux, or other names")
    check(p.run("measure", "--quiet", "C:\\Prüfung\\demo\\as-left\\2uV.wav").stdout.startswith("C:/Prüfung/demo/as-left/2uV.wav: SINAD "), "a drive's letter")
    check(p.run("measure", "--quiet", "Öffner 8 Ω\\as-left\\2uV.wav").stdout.startswith("Öffner 8 Ω/as-left/2uV.wav: SINAD "), "Ω in a name")
    one_line(p.run("measure", "Öffner 8 Ω\\nothing*.wav", code=3).stderr, "Öffner 8 Ω/nothing*.wav: no file fits")
    pair = ["--rf-pad-db", "10", "--level-uncertainty-db", "1", "--limit", "0.5 uV PD"]
    check("0.88 µV PD (-108.1 dBm)" in p.run("sensitivity", "--quiet", *pair, "Öffner 8 Ω\\as-found\\*uV.wav", code=1).stdout, "µ, as found")
    check(" ±0.01 " in p.run("sensitivity", *pair, "Öffner 8 Ω\\as-left\\*uV.wav").stdout, "±, as left")
    p.run("sensitivity", "--quiet", "Öffner 8 Ω\\as-left\\2uV.wav", "Öffner 8 Ω\\as-left\\4uV.wav", code=2)


def jobs(p, work):
    say("Windows: a job file with CR LF, and a report that somebody has open")
    file = os.path.join(work, "Öffner 8 Ω", "job.yaml")
    with open(file, "rb") as f:
        text = f.read().replace(b"\n", b"\r\n")
    with open(file, "wb") as f:
        f.write(text)
    p.run("report", "--quiet", "Öffner 8 Ω")
    p.run("job", "set", "technician", "Jörg µ", "--job", "Öffner 8 Ω")
    with open(file, "rb") as f:
        text = f.read()
    check("Jörg µ".encode() in text and text.count(b"\n") == text.count(b"\r\n"), "the line ends changed")
    before = sorted(os.listdir(os.path.dirname(file)))
    hold = subprocess.Popen(["wine", os.path.join(work, "hold.exe"), "report.html"], env=env, cwd=os.path.dirname(file), stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    mine.append(hold)
    check(hold.stdout.readline().strip() == b"held", "the report could not be held open")
    one_line(p.run("report", "--quiet", "--revision", "who did the work", "Öffner 8 Ω", code=3).stderr, "Öffner 8 Ω: nothing was written: report.html: ")
    hold.communicate(b"\n")
    check(sorted(os.listdir(os.path.dirname(file))) == before, "something was left behind:", os.listdir(os.path.dirname(file)))
    p.run("report", "--quiet", "--revision", "who did the work", "Öffner 8 Ω")


def sound(p, s, work):
    say("Windows: sound")
    listed = json.loads(p.run("card", "--list", "--json").stdout)
    line = [d for d in listed["inputs"] if d["name"] == "Monitor of Bench"]
    check(line and line[0]["sample_rate_hz"] == RATE and line[0]["id"].startswith("{0.0.1."), listed)
    one_line(p.run("record", "--device", "monitor of", "--rate", "44100", "--out", "never.wav", code=3).stderr, "runs at 48000 Hz, not at 44100")
    one_line(p.run("record", "--device", "radio", "--out", "never.wav", code=3).stderr, 'no sound input is called "radio"')
    check(not os.path.exists(os.path.join(work, "never.wav")), "a refused recording left a file")
    proven(lambda: p.run("record", "--device", "monitor of", "--for", "3s", "--out", "windows.wav"), os.path.join(work, "windows.wav"), played(s.sound))
    kept = glob.glob(os.path.join(env["WINEPREFIX"], "drive_c", "users", "*", "AppData", "Roaming", "hisspoint", "*"))
    check(len(kept) == 1 and line[0]["id"] in open(kept[0]).read(), "the choice is not kept in AppData:", kept)

    say("Windows: a loop-back")
    s.silence()
    # Wine's output has gaps of 15 to 90 ms here: then card must see them and refuse.
    loop_back(lambda *args: p.run("card", "--device", "monitor of", *args, code=None), "bench", os.path.join(work, "windows-loop.wav"), times=1, gaps=True)


def lost(p, s, work):
    say("Windows: the sound server dies while recording")
    rec = s.spawn("wine", p.exe, "record", "--for", "60s", "--out", "gone.wav", env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=work)
    part = os.path.join(work, "gone.unfinished.wav")
    took, err = s.dies_under(rec, part)
    one_line(err, "Monitor of Bench: ", "are kept in gone.unfinished.wav")
    check(took < 1.5, "noticed after %.2f s" % took)
    say("noticed after %.2f s" % took)


def silent(dist, work):
    say("Windows without sound, with its tests")
    one_line(Program(os.path.join(dist, "hisspoint-nosound.exe"), work).run("card", "--list", code=3).stderr, "this build has no sound", "make dist")
    Program(os.path.join(dist, "soundcard.test.exe"), work).run()
    # wine before 9 cannot remove folders as Go's tests do behind themselves.
    said = Program(os.path.join(dist, "live.test.exe"), work).run(code=None).stdout
    wrong = [l for l in said.splitlines() if l.startswith("    ") and "TempDir RemoveAll cleanup" not in l]
    check(not wrong and ("PASS" in said or "FAIL" in said), "\n".join(wrong), said)


def window(p, work):
    """A console of its own, as a double-click gives it: what was said stays."""
    say("Windows: a window of its own")
    socket = os.path.join(work, "tmux")

    def tmux(*args):
        r = subprocess.run(["tmux", "-f", "/dev/null", "-S", socket, *args], env=env, capture_output=True, text=True, timeout=30)
        check(r.returncode == 0, args, r.stderr)
        return r.stdout

    tmux("new-session", "-d", "-x", "100", "-y", "40", "cd '%s'; wine '%s'; echo ended with $?; exec sleep 60" % (work, p.exe))

    def shows(text):
        for _ in range(300):
            screen = tmux("capture-pane", "-p")
            if text in screen:
                return screen
            time.sleep(0.1)
        check(False, text, "does not show:\n", screen)

    try:
        screen = shows("Enter closes this window.")
        check("measure *.wav" in screen and "ended with" not in screen, screen)
        tmux("send-keys", "Enter")
        shows("ended with 0")
    finally:
        tmux("kill-server")


def checks(dist, demo, work):
    s = Server(work, "windows")
    prepare(s, work)
    p = Program(os.path.join(dist, "hisspoint-windows-amd64.exe"), work)
    check(p.run("--version").stdout == subprocess.run([os.path.join(dist, "hisspoint-linux-amd64"), "--version"], capture_output=True, text=True).stdout, "another version")
    window(p, work)
    files(p, demo, work, os.path.join(dist, "hisspoint-linux-amd64"))
    jobs(p, work)
    sound(p, s, work)
    lost(p, s, work)
    silent(dist, work)
