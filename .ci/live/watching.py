"""The checks of watch."""
import json, os, signal, subprocess, time

from bench import *


def peaked(s):
    """The best of a coil that is turned through its peak."""
    say("peaking, watched on a pipe")
    write(os.path.join(work, "peak.wav"), tone(6, lambda t: -20 - min(8, 4 * abs(t - 3))))
    w = s.start("watch", "--json", "--aim", "audio", "--for", "7s", "--device", "bench")
    time.sleep(0.3)
    s.play("peak.wav")
    out, err = w.communicate(timeout=30)
    check(w.returncode == 0, err)
    head, *lines = [json.loads(l) for l in out.splitlines()]
    check(head["command"] == "watch" and head["sample_rate_hz"] == 48000 and "Bench" in head["device"], head)
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


def steady(s):
    """Readings of a steady tone agree with measure on a recording of the same sound."""
    say("a steady tone, watched and recorded")
    write(os.path.join(work, "level.wav"), tone(3, noise=0.01), 3)
    player = s.play("level.wav")
    time.sleep(0.7)
    rec = s.start("record", "--device", "bench", "--for", "5s", "--out", "steadily.wav", "--quiet")
    out = s.tool("watch", "--json", "--for", "5s", "--device", "bench").stdout
    check(rec.wait(timeout=30) == 0, rec.stderr.read())
    player.wait()
    truth = json.loads(s.tool("measure", "--json", "--channel", "1", "steadily.wav").stdout)["recordings"][0]["readings"]
    for name in ("sinad", "tone_level", "noise_level"):
        got = [json.loads(l)["readings"][name] for l in out.splitlines()[1:]]
        held = [r for r in got if r.get("low") is not None and r["low"] <= truth[name]["value"] <= r["high"]]
        said = [r for r in got if r.get("low") is not None]
        if name != "noise_level":  # below a second it states no interval
            check(len(said) > 30, "only", len(said), "intervals of", name)
            check(len(held) >= 0.85 * len(said), name, "holds", len(held), "of", len(said), truth[name])
        values = [r["value"] for r in got if r["value"] is not None]
        check(len(values) > 30, "only", len(values), "readings of", name)
        mean = sum(values) / len(values)
        check(abs(mean - truth[name]["value"]) < 0.3, name, mean, truth[name])
        print("   %s: %.2f dB measured, %.2f dB watched, %d of %d intervals hold it" % (name, truth[name]["value"], mean, len(held), len(said)))


def heard(s):
    """Steps of level are shown within 0.3 s of sound: from the last reading at the old
    level to the first at the new one, a tenth before the step at most included."""
    say("steps, at the shortest time constant")
    write(os.path.join(work, "jumps.wav"), tone(2, lambda t: -18 if t >= 1 else -12), 5)
    player = s.play("jumps.wav")
    time.sleep(0.7)
    out = s.tool("watch", "--json", "--aim", "audio", "--time-constant", "0.1s", "--for", "8s", "--device", "bench").stdout
    player.wait()
    old, since, took = None, None, []
    for line in out.splitlines()[1:]:
        r = json.loads(line)
        v = r["readings"]["tone_level"]["value"]
        level = next((l for l in (-12, -18) if v is not None and abs(v - l) < 1), None)
        if level is not None:
            if old is not None and level != old:
                took.append(r["t_s"] - since)
            old, since = level, r["t_s"]
    took.sort()
    check(len(took) >= 5, "only", len(took), "steps were shown")
    print("   shown after %s s" % ", ".join("%.2f" % t for t in took))
    check(took[len(took) // 2] <= 0.3, "shown only after", took)  # the median: a null sink that is late plays silence


def cost(s):
    say("what watch costs")
    p = s.play("hour.wav")
    time.sleep(0.7)
    used = []
    for seconds in ("2s", "12s"):
        before = os.times()
        s.tool("watch", "--json", "--for", seconds, "--device", "bench")
        after = os.times()
        used.append(after.children_user + after.children_system - before.children_user - before.children_system)
    share = (used[1] - used[0]) / 10
    print("   watch takes %.1f %% of one core, and %.2f s to begin" % (100 * share, max(0, used[0] - 2 * share)))
    check(share < 0.2, "watch takes", share, "of a core")  # 0.1 is asked for on an idle machine; caches are shared with who else runs
    return p


def screens(s):
    say("screens")
    common = ("watch", "--aim", "audio", "--device", "bench")
    for width, height in ((80, 24), (120, 40)):
        t = Terminal(s, "w%d" % width, width, height, *common)
        t.until("best -12.0 dBFS")
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
        time.sleep(1.5)
        check("a new best begins" not in t.text(), "what a key has done stays on the screen")
        t.keys("C-c" if width == 80 else "q")
        clean(t, "before\nended 0\nicanon\n")
        t.close()
    check(open(os.path.join(work, "marks.txt")).read().count("note: T5 peaked") == 2, "the notes are not there")
    t = Terminal(s, "nocolor", 80, 24, *common, NO_COLOR="1")
    t.until("best -12.0 dBFS")
    check("\x1b[" not in t.text("-e"), "NO_COLOR shows colour:", repr(t.text("-e")))
    os.kill(t.child(), signal.SIGTERM)
    clean(t, "before\nended 0\nicanon\n")
    t.close()
    for how in (signal.SIGHUP, signal.SIGQUIT):
        t = Terminal(s, "killed%d" % how, 80, 24, *common)
        t.until("best -12.0 dBFS")
        os.kill(t.child(), how)
        clean(t, "before\nended 0\nicanon\n")
        t.close()
