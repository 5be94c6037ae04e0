#!/usr/bin/env python3
"""The readings of a recording with numpy and scipy, written for speed.

    speed.py measure FILE...            what the tool's measure does, in one process
    speed.py compare HISSPOINT DIR      both side by side, and whole jobs, with what is made in DIR

The tone by normal equations (sine, cosine, constant and frequency, Gauss-Newton),
harmonics and hum each by projection, the band by one pocketfft transform of a
padded length, intervals from 40 blocks through the band. Nothing is done twice.
compare takes whole processes in turn and prints ratios of processor time: ten files
against the script, with and without its imports, and against the floor of reading and
one transform (pocketfft, and FFTW where its library is installed); 1,000 files; an hour
of stereo; a full report against measuring the same files; a minute watched live.
"""
import sys
import time

begun = time.perf_counter()
import numpy as np
from scipy.fft import irfft, next_fast_len, rfft
from scipy.io import wavfile

loaded = time.perf_counter()


def fit(x, rate, f, free=True):
    """Four-parameter least squares by normal equations; three without free."""
    n = len(x)
    t = np.arange(n) / rate
    amp = (0.0, 0.0)
    for _ in range(4 if free else 1):
        w = 2 * np.pi * f * t
        c, s = np.cos(w), np.sin(w)
        cols = [c, s, np.ones(n)]
        if free and amp != (0.0, 0.0):
            cols.append(2 * np.pi * t * (-amp[0] * s + amp[1] * c))
        d = np.column_stack(cols)
        p = np.linalg.solve(d.T @ d, d.T @ x)
        amp = (p[0], p[1])
        if len(p) == 4:
            f += p[3]
            if abs(p[3]) < 1e-9 * f:
                break
    return f, p[0], p[1], p[2], d[:, :3] @ p[:3]


def family(x, t, f, orders, rate):
    """Mean squares of a line and its multiples, one turning vector multiplied up."""
    turn = np.exp(-2j * np.pi * f * t)
    x, out = x.astype(complex), []
    for h in range(1, orders + 1):
        if h * f < 0.45 * rate:
            x *= turn
            out.append(2 * abs(x.sum() / len(x)) ** 2)
    return out


def measure(path):
    rate, raw = wavfile.read(path)
    x = raw / 32768.0
    n = len(x)
    m = next_fast_len(n, real=True)
    spectrum = np.abs(rfft(x, m))
    k0, k1 = int(900 * m / rate), int(1100 * m / rate)
    f, a, b, offset, tone = fit(x, rate, (k0 + np.argmax(spectrum[k0:k1])) * rate / m)
    left = x - tone
    signal = (a * a + b * b) / 2
    t = np.arange(n) / rate
    # Harmonics and hum by projection on what is left: lines are far apart.
    harmonics = family(left, t, f, 10, rate)
    hum = family(left, t, 50.0, 12, rate)
    thd = 100 * np.sqrt(sum(harmonics[1:]) / signal)
    r = rfft(left, m)
    freq = np.arange(len(r)) * rate / m
    r[(freq < 300) | (freq > 3400)] = 0
    band = irfft(r, m)[:n]
    nd = np.sum(band * band) / n
    sinad = 10 * np.log10((signal + nd) / nd)
    blocks = np.array([np.mean(p * p) for p in np.array_split(band, 40)])
    leave = 10 * np.log10(1 + signal / ((blocks.sum() - blocks) / 39))
    half = 2.0227 * np.sqrt(39 / 40 * np.sum((leave - leave.mean()) ** 2))
    level = 10 * np.log10(2 * np.mean((x - offset) ** 2))
    return path, f, level, sinad, half, thd, offset, np.max(np.abs(x)), 10 * np.log10(2 * sum(hum))


def make(folder):
    rng = np.random.default_rng(4)
    names = []
    for i in range(10):
        t = np.arange(480000) / 48000
        x = 0.3 * np.sin(2 * np.pi * 1000.3 * t) + 0.006 * np.sin(2 * np.pi * 2000.6 * t + 1) + 0.01 * np.sin(2 * np.pi * 100.02 * t)
        x += 10 ** (-1 - i / 5) * rng.standard_normal(480000)
        names.append("%s/%d.wav" % (folder, i))
        wavfile.write(names[-1], 48000, np.round(np.clip(x, -1, 1) * 32767).astype(np.int16))
    return names


# A process begins with the memory of the one that starts it, so a small one does.
launcher = """
import os, sys, time
start = time.perf_counter()
pid = os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ)
_, _, u = os.wait4(pid, 0)
print(u.ru_utime + u.ru_stime, time.perf_counter() - start, u.ru_maxrss / 1024, file=sys.stderr)
"""


def spent(*command, rounds=1, stdin=None):
    """Least processor time, time on the clock and peak memory of a process, with its output."""
    import subprocess

    best = (1e9, 1e9, 1e9)
    for _ in range(rounds):
        p = subprocess.run([sys.executable, "-S", "-E", "-c", launcher, *command], capture_output=True, text=True, stdin=open(stdin, "rb") if stdin else subprocess.DEVNULL)
        best = tuple(map(min, best, map(float, p.stderr.splitlines()[-1].split())))
    return (*best, p.stdout)


def floor(files, transform):
    """Processor time of reading files and one transform of each."""
    start = time.process_time()
    for name in files:
        transform(wavfile.read(name)[1] / 32768.0)
    return time.process_time() - start


def fftw():
    """FFTW's real transform, with a plan that is made before; None where it is not installed."""
    import ctypes
    import ctypes.util

    name = ctypes.util.find_library("fftw3")
    if not name:
        return None
    lib, plans = ctypes.CDLL(name), {}
    lib.fftw_plan_dft_r2c_1d.restype = ctypes.c_void_p
    lib.fftw_plan_dft_r2c_1d.argtypes = [ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_uint]
    lib.fftw_execute_dft_r2c.argtypes = [ctypes.c_void_p] * 3

    def transform(x):
        n = len(x)
        if n not in plans:
            a, b = np.empty(n), np.empty(n // 2 + 1, complex)
            plans[n] = lib.fftw_plan_dft_r2c_1d(n, a.ctypes.data, b.ctypes.data, 64), a, b  # FFTW_ESTIMATE
        plan, a, b = plans[n]
        a[:] = x
        lib.fftw_execute_dft_r2c(plan, a.ctypes.data, b.ctypes.data)
        return b

    assert np.allclose(transform(np.arange(30.0)), rfft(np.arange(30.0)))
    return transform


def ten(tool, folder):
    import json

    files = make(folder)
    command, script = (tool, "measure", "--json", *files), (sys.executable, __file__, "measure", *files)
    ours, theirs, inside = spent(*command), spent(*script), 1e9
    for _ in range(9):
        ours, theirs = min(ours, spent(*command)), min(theirs, spent(*script))
        inside = min(inside, float(theirs[3].splitlines()[-1].split()[-1]))
    sinads = [r["readings"]["sinad"]["value"] for r in json.loads(ours[3])["recordings"]]
    apart = max(abs(a - float(l.split()[3])) for a, l in zip(sinads, theirs[3].splitlines()))
    print("ten recordings of 10 s, 48 kHz, 16 bits; SINAD %.3f dB apart at most" % apart)
    print("  hisspoint measure             %7.0f ms of processor time, %3.0f MB; %.0f ms on the clock" % (1e3 * ours[0], ours[2], 1e3 * ours[1]))
    print("  numpy/scipy, whole process    %7.1f times that" % (theirs[0] / ours[0]))
    print("  numpy/scipy, without imports  %7.1f times" % (inside / ours[0]))
    for name, transform in (("pocketfft", rfft), ("FFTW", fftw())):
        if transform:
            floor(files[:1], transform)
            least = min(floor(files, transform) for _ in range(5))
            print("  reading and one transform by %-9s %5.0f ms; hisspoint takes %.1f times that" % (name, 1e3 * least, ours[0] / least))
        else:
            print("  FFTW is not installed here")
    return ours


def compare(tool, folder):
    import glob
    import wave

    few = ten(tool, folder)
    names = []
    for i in range(1000):
        names.append("%s/short%03d.wav" % (folder, i))
        x = 0.2 * np.sin(2 * np.pi * 1000 * np.arange(48000) / 48000) + 0.01 * np.random.default_rng(i).standard_normal(48000)
        wavfile.write(names[-1], 48000, np.round(x * 32767).astype(np.int16))
    many, some = spent(tool, "measure", "--json", *names), spent(tool, "measure", "--json", *names[:100])
    print("1,000 recordings of 1 s           %5.1f s of processor time, %3.0f MB (%.1f times ten of 10 s); 100 of them %.1f times as much each" % (many[0], many[2], many[2] / few[2], 10 * some[0] / many[0]))
    tens = ["%s/%d.wav" % (folder, i) for i in range(10)] * 5
    one, both = (spent(*pinned, tool, "measure", "--json", *tens, rounds=3)[1] for pinned in (("/usr/bin/taskset", "-c", "0"), ()))
    print("50 recordings of 10 s, both cores %5.2f times as fast as one" % (one / both))
    hour = "%s/hour.wav" % folder
    second = np.repeat(np.round(9000 * np.sin(2 * np.pi * 1000 * np.arange(48000) / 48000) + 60 * np.random.default_rng(9).standard_normal(48000)).astype(np.int16), 2).reshape(-1, 2)
    second[:, 1] //= 3000
    lengths = {}
    for seconds in (900, 3600, 14400):
        with wave.open(hour, "wb") as w:
            w.setnchannels(2), w.setsampwidth(2), w.setframerate(48000)
            for _ in range(seconds):
                w.writeframes(second.tobytes())
        lengths[seconds] = spent(tool, "measure", "--json", "--channel", "1", hour)
        print("%5.2f h of stereo                  %5.1f s of processor time, %3.0f MB; %.0f times real time" % (seconds / 3600, lengths[seconds][0], lengths[seconds][2], seconds / lengths[seconds][1]))
    print("  an hour against a quarter of one %4.2f times as much a second" % (lengths[3600][0] / lengths[900][0] / 4))
    job = folder + "/job"
    spent(tool, "demo", "--plan", "full", "--quiet", "--dir", job)
    used = [f for r in ("as-found", "as-left") for f in sorted(glob.glob("%s/%s/*.wav" % (job, r)))]
    report, measured = spent(tool, "report", "--draft", "--quiet", job, rounds=3), spent(tool, "measure", "--quiet", *used, rounds=3)
    print("full report, %d recordings        %5.1f s of processor time, %3.0f MB: %.2f times measuring the same files" % (len(used), report[0], report[2], report[0] / measured[0]))
    raw = folder + "/raw"
    np.tile(second[:, 0], 60).tofile(raw)
    live, short = (spent(tool, "watch", "--json", "--device", "-", "--rate", "48000", "--for", t, stdin=raw) for t in ("50s", "10s"))
    print("watched live                      %5.1f %% of a core for ten readings a second" % (100 * (live[0] - short[0]) / 40))


if __name__ == "__main__":
    if sys.argv[1] == "compare":
        compare(*sys.argv[2:])
    else:
        for path in sys.argv[2:]:
            print(*measure(path))
        print("seconds without imports:", time.perf_counter() - loaded)
