#!/usr/bin/env python3
"""The readings of a recording with numpy and scipy, written for speed.

    speed.py measure FILE...            what the tool's measure does, in one process
    speed.py compare HISSPOINT DIR      both side by side over ten files made in DIR

The tone by normal equations (sine, cosine, constant and frequency, Gauss-Newton),
harmonics and hum each by projection, the band by one pocketfft transform of a
padded length, intervals from 40 blocks through the band. Nothing is done twice.
compare times whole processes in turn, ten rounds, and the script without its
imports and start; the best of each is compared.
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


def compare(tool, folder):
    import json
    import subprocess

    files = make(folder)
    commands = {"hisspoint": [tool, "measure", "--json", *files], "scipy": [sys.executable, __file__, "measure", *files]}
    best, inside = {}, 1e9
    for _ in range(10):
        for name, command in commands.items():
            start = time.perf_counter()
            out = subprocess.run(command, check=True, capture_output=True, text=True).stdout
            best[name] = min(best.get(name, 1e9), time.perf_counter() - start)
            if name == "scipy":
                inside = min(inside, float(out.splitlines()[-1].split()[-1]))
                theirs = [float(line.split()[3]) for line in out.splitlines()[:-1]]
            else:
                ours = [r["readings"]["sinad"]["value"] for r in json.loads(out)["recordings"]]
    apart = max(abs(a - b) for a, b in zip(ours, theirs))
    start = time.perf_counter()
    for name in files:
        x = wavfile.read(name)[1] / 32768.0
        rfft(x)
    floor = time.perf_counter() - start
    print("ten recordings of 10 s, 48 kHz, 16 bits; SINAD differs by %.3f dB at most" % apart)
    print("hisspoint measure           %6.1f ms" % (1e3 * best["hisspoint"]))
    print("scipy, whole process        %6.1f ms  %5.1f times" % (1e3 * best["scipy"], best["scipy"] / best["hisspoint"]))
    print("scipy, without its imports  %6.1f ms  %5.1f times" % (1e3 * inside, inside / best["hisspoint"]))
    print("scipy, read and one transform of each, one core %6.1f ms" % (1e3 * floor))


if __name__ == "__main__":
    if sys.argv[1] == "compare":
        compare(*sys.argv[2:])
    else:
        for path in sys.argv[2:]:
            print(*measure(path))
        print("seconds without imports:", time.perf_counter() - loaded)
