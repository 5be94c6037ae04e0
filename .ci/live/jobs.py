"""The checks of a whole job: record with its questions, and the manual's page of the live bench."""
import json, math, os, re, signal, time

from bench import *


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
    check("[ R load ]" in t.until("1 of 2"), t.text())
    t.through("Press Enter when this is done:")
    check("2 of 2" in t.text() and "hisspoint wiring bridged" in t.text(), t.text())
    t.keys("Enter")
    text = t.until("dial -97.0 dBm")
    check("10 dB pad, 0.999 µV PD, -107.0 dBm, at the set" in text, text)
    golden("record-80x24", masked(t.until("noise")))
    t.tmux("resize-window", "-t", "t", "-x", "120", "-y", "40")
    time.sleep(0.8)
    golden("record-120x40", masked(t.until("noise")))
    t.keys("Enter")
    t.until("sensitivity, -110 dBm")
    t.keys("C-c")
    t.until("Stopped; go on with: hisspoint record job")
    t.close()
    now = open(file).read()
    above, _, known = now.partition("files:\n")
    check(above == typed.replace("{level: -97 dBm}", "{level: -97 dBm, file: as-left/sensitivity_-97dBm.wav}"), "the job file is now\n" + now)
    check(known.count("{file:") == 1 and "sensitivity_-97dBm.wav, bytes: 192044" in known, "the job file is now\n" + now)
    x, _ = read(os.path.join(work, "job", "as-left", "sensitivity_-97dBm.wav"))
    check(len(x) == RATE, len(x), "frames")
    # resumed on a pipe; the answers come a line each
    r = s.tool("record", "job", "--for", "1s", "--device", "bench", "--quiet", input="\nq\n")
    check("Stopped" in r.stdout and os.path.exists(os.path.join(work, "job", "weak.wav")), r.stdout, r.stderr)
    check("sensitivity, -97" not in r.stderr, "what was recorded was asked for again:\n" + r.stderr)


def chapter(s):
    """The manual's page of the live bench, from card to report: a simulated set answers what the
    generator is told to be set to."""
    say("the manual's page of the live bench, from card to report")
    text = open(os.path.join(here, "..", "..", "reports", "topics", "pages", "live.md"), encoding="utf-8").read().replace("\\\n", "")
    lines = [l.strip() for b in re.findall(r"```sh\n(.*?)```", text, re.S) for l in b.split("\n") if l.startswith("hisspoint ")]
    check(len(lines) >= 7, lines)
    done = set()
    for line in lines:
        args = [a.strip('"') for a in re.findall(r'"[^"]*"|\S+', line)][1:]
        args = ["bench" if a in ("line in", "line out") else a for a in args]
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
            check(("?key=" in r.stderr) == ("--page" in args), r.stderr)
            played = args[0] == "card" and not {"--list", "--job"} & set(args)
            for _ in range(3):  # a busy machine loses samples of the null sink
                if not played or "no fault found" in r.stdout:
                    break
                r = s.tool(*args)
            if played:
                check("no fault found in this card" in r.stdout, r.stdout)
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
    doubts, sound = Doubts(), []

    def reply(asked):
        level = re.findall(r"^sensitivity, ([0-9.]+ uV)$", asked, re.M)
        if level and "stop):" in asked[-20:]:
            for p in sound:
                p.kill(), p.wait()
            sound[:] = [s.play(os.path.join(demo, "as-left", level[-1].replace(" ", "") + ".wav"))]
            time.sleep(1)
        return "r" if doubts.about(asked) else ""

    converse(s, [*args, "--for", "3s", "--quiet"], reply)


def played(s):
    """A test signal goes out and comes back by the null sink's monitor: its response is
    flat. Nothing sounds before the word for the dummy load."""
    say("a transmit response, played and recorded")
    file = job("tx", "      - transmit_response: {signal: stepped, against: flat}\n")
    doubts, words = Doubts(6), iter(["", "dummy"])

    def reply(asked):
        if asked.endswith("(q stop): "):  # the word for the dummy load
            return next(words)
        if doubts.about(asked):
            return "r"
        return "-20 dBFS" if "at -40.0 dBFS" in asked else ""

    said, out = converse(s, ["record", "tx", "--device", "bench", "--output", "bench"], reply)
    check(said.count("type dummy when it is so") == 2, said)
    check("the input hears this output itself" in said, said)
    check("stepped tones (22 s) found" in out, out)
    r = json.loads(s.tool("response", "--json", "--channel", "1", "tx/as-left/transmit-response%s.wav" % again("tx", "transmit-response")).stdout)
    worst = max(abs(p["db"]) for p in r["points"])
    check(len(r["points"]) == 14 and worst < 0.1, len(r["points"]), worst)
    check("transmit-response" in open(file).read(), open(file).read())
    print("   14 tones from 300 to 3400 Hz, %.4f dB from flat at most" % worst)
    print("   " + next(l for l in out.splitlines() if " found, " in l))


def limited(s):
    """Each file of signals that steps a tone in level, and the inputs that record plays, by
    the null sink into the limiter's test: without a limiter deviation follows the input."""
    say("a limiter's inputs, played and recorded")
    s.tool("signals", "made", "--level", "-12 dBFS", "--quiet")
    write(os.path.join(work, "reference.wav"), tone(3, lambda t: -20, noise=0.0005))
    # A null sink passes samples to the bit, and tops that are all alike look clipped.
    write(os.path.join(work, "hiss.wav"), tone(5, lambda t: -200, noise=0.0008, seed=3), 20)
    hiss = s.play("hiss.wav")
    settings = "rated_deviation: 20 kHz, reference_file: ../reference.wav, reference_deviation: 1.5 kHz"
    listed = {"levels-1000hz": ["%g dB" % (2 * i - 40) for i in range(21)], "attack-1000hz": ["-20 dB", "0 dB"] * 3}
    for name, inputs in listed.items():
        at = "made/%s-heard.wav" % name
        rec = s.start("record", "--device", "bench", "--for", "%gs" % (len(inputs) * (1.5 if "levels" in name else 1) + 2.5), "--out", at, "--quiet")
        time.sleep(0.8)
        s.play("made/%s.wav" % name)
        check(rec.wait(timeout=60) == 0, rec.stderr.read())
        job("of-" + name, "      - limiter: {%s, file: heard.wav, inputs: [%s]}\n" % (settings.replace("../", ""), ", ".join(inputs)))
        for file, to in ((at, "heard.wav"), ("reference.wav", "reference.wav")):
            os.link(os.path.join(work, file), os.path.join(work, "of-" + name, to))
        straight(s, "of-" + name, inputs, -12)
    job("limiter", "      - limiter: {%s, file: tx.wav, inputs: [-30 dB, -20 dB, -10 dB, 0 dB]}\n" % settings.replace("../", ""))
    os.link(os.path.join(work, "reference.wav"), os.path.join(work, "limiter", "reference.wav"))
    doubts, words = Doubts(6), iter(["dummy"])

    def reply(asked):
        if asked.endswith("(q stop): "):
            return next(words)
        if doubts.about(asked):
            return "r"
        return "-20 dBFS" if "at -40.0 dBFS" in asked else ""

    said, out = converse(s, ["record", "limiter", "--device", "bench", "--output", "bench"], reply)
    check("a tone, one input after the other (6 s) found" in out, out)
    hiss.kill()
    straight(s, "limiter", ["-30 dB", "-20 dB", "-10 dB", "0 dB"], -20)


def sounded(s):
    """Each other file of signals by a null sink of its own into the test that wants it: what
    passes all alike has a flat response, no tilt and no distortion."""
    say("the other test signals, played and recorded")
    seconds = {"tone-1000hz": 10, "stepped-third-octave": 23, "stepped-sixth-octave": 38, "sweep": 12, "multitone": 10, "speech-noise": 30}
    left = dict(seconds)
    for attempt in range(4):  # a busy machine loses samples of the null sink, which the tests tell
        sinks = {name: Sink(s, "of-%s-%d" % (name, attempt)) for name in left}
        takes = {}
        for name, sink in sinks.items():
            at = "made/%s-heard%d.wav" % (name, attempt)
            takes[name] = at, s.start("record", "--device", sink.name, "--for", "%ds" % (seconds[name] + 3), "--out", at, "--quiet")
        time.sleep(0.8)
        players = [sink.play("made/%s.wav" % name) for name, sink in sinks.items()]
        if "tone-1000hz" in sinks:  # as above: without any noise the tops of a tone are all alike
            sinks["tone-1000hz"].play("hiss.wav")
        for name, (at, rec) in takes.items():
            check(rec.wait(timeout=90) == 0, rec.stderr.read())
            doubt = read_by_its_test(s, name, at)
            print("   %s: %s" % (name, doubt or "as played"))
            if not doubt:
                del left[name]
        for p in players:
            p.wait()
        for sink in sinks.values():
            sink.unplug()  # what still plays there ends with it
        if not left:
            return
    check(False, "not read as they were played:", *left)


def read_by_its_test(s, name, file):
    """What speaks against a recording of a signal; nothing if it is read as it was played."""
    if name.startswith("tone"):
        at = "distortion-" + file.split("heard")[1][:-4]
        job(at, "      - transmit_distortion: {file: tx.wav}\n")
        os.link(os.path.join(work, file), os.path.join(work, at, "tx.wav"))
        text = s.tool("report", at, "--json", code=None).stdout
        found = re.search(r'"thd": \{\s*"value": ([0-9.e-]+)', text)
        return None if found and float(found[1]) < 0.1 and "lost" not in text else "distortion %s" % (found and found[1])
    r = json.loads(s.tool("response", "--json", "--channel", "1", file, *(["--kind", "speech"] if "noise" in name else []), code=None).stdout)
    if not r.get("points"):
        return r.get("why") or "no response"
    if any(w["code"] in ("unsteady", "dropped-samples", "zero-run") for w in r.get("warnings", [])):
        return "samples were lost"
    if "noise" in name:
        return None if r["balance"]["word"] == "even" else r["balance"]["word"]
    worst = max(abs(p["db"]) for p in r["points"])
    return None if len(r["points"]) >= 14 and worst < 0.1 else "%d points, %.2f dB from flat" % (len(r["points"]), worst)


def straight(s, name, inputs, top):
    """The largest deviation is that of the loudest input: nothing limits a null sink."""
    s.tool("report", name, code=None)
    report = json.load(open(os.path.join(work, name, "report.json")))
    text = json.dumps(report)
    found = re.search(r'"deviation": \{"value": ([0-9.]+)', text)
    check(found, name, "gives no deviation:", text[:3000])
    want = 1500 * 10 ** ((top + 20) / 20)
    check(abs(float(found[1]) - want) < 0.03 * want, name, "reads", found[1], "not", want)
    print("   %s: %.0f Hz at the loudest of %d inputs, %.0f Hz played" % (name, float(found[1]), len(inputs), want))


def again(name, file):
    """The number behind the name of a recording that was made more than once."""
    n = len([f for f in os.listdir(os.path.join(work, name, "as-left")) if f.startswith(file)])
    return "" if n == 1 else "-%d" % n


def stepped(s):
    """One long recording of several levels: the generator is turned where it is told."""
    say("one long recording, three levels")
    job("long", "      - level_curve: {file: curve.wav, levels: [1 mV, 100 uV, 10 uV]}\n")
    for i, db in enumerate((-12, -18, -24)):
        write(os.path.join(work, "step%d.wav" % i), tone(2, lambda t: db), 8)
    sound, doubts, told = [], Doubts(4), []

    def reply(asked):
        if doubts.about(asked):
            return ""  # it is looked at below
        level = re.findall(r"dial (-[0-9.]+) dBm", asked)
        if level:
            told.append(float(level[-1]))
            for p in sound:
                p.kill(), p.wait()
            sound[:] = [s.play("step%d.wav" % min(2, len(told) - 1))]
            time.sleep(0.8)
        return ""

    said, out = converse(s, ["record", "long", "--device", "bench", "--for", "2s", "--output", "none"], reply)
    sound[0].kill()
    check(told == [-47.0, -67.0, -87.0], told)
    x, _ = read(os.path.join(work, "long", "curve.wav"))
    check(len(x) > 6 * RATE, len(x) / RATE)
    ends = middling(x[RATE // 2:3 * RATE // 2]), middling(x[len(x) - 3 * RATE // 2:len(x) - RATE // 2])
    check(abs(ends[0] + 12) < 0.3 and abs(ends[1] + 24) < 0.3, ends)
    report = s.tool("report", "long", "--json", code=None).stdout
    check('"to_s"' in report and report.count("curve.wav") >= 3, report[-1500:])


def middling(x):
    """The median level of blocks of 20 ms: what a busy machine loses does not count."""
    n = RATE // 50
    powers = sorted(sum(v * v for v in x[i:i + n]) / n for i in range(0, len(x) - n, n))
    return 10 * math.log10(powers[len(powers) // 2] / 2**29)


def auto(s):
    """With --auto the next recording begins by itself, on a terminal."""
    say("recordings that begin by themselves")
    for name, db in (("soft.wav", -26), ("loud.wav", -18)):
        write(os.path.join(work, name), tone(2, lambda t: db), 20)
    file = job("auto", "      - sensitivity: {recordings: [{level: 1 uV}, {level: 2 uV}]}\n")
    sound = s.play("soft.wav")
    t = Terminal(s, "auto", 80, 24, "record", "auto", "--for", "1s", "--device", "bench", "--auto")
    t.through("Press Enter when this is done:")
    t.keys("Enter")
    t.until("sensitivity, 1 uV")
    t.until("1000.0 Hz")
    t.keys("Enter")
    second = os.path.join(work, "auto", "as-left", "sensitivity_2uV.wav")
    t.until("sensitivity, 2 uV")
    time.sleep(2)
    check(not os.path.exists(second), "the second was recorded before anything changed")
    sound.kill()
    sound.wait()
    sound = s.play("loud.wav")
    end = time.monotonic() + 25
    while not os.path.exists(second):
        if "again:" in t.text():
            t.keys("Enter")  # a busy machine loses samples of the null sink
        check(time.monotonic() < end, "nothing began by itself:\n" + t.text())
        time.sleep(0.1)
    os.kill(t.child(), signal.SIGHUP)
    t.until("Stopped; go on with: hisspoint record auto")
    t.until("icanon")
    check("-icanon" not in t.text() and "█" not in t.text(), t.text())
    t.close()
    sound.kill()
    sound.wait()
