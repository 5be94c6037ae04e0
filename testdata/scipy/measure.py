#!/usr/bin/env python3
"""Measures WAV files with numpy and scipy alone, as a check from outside.

    measure.py [--tone HZ] FILE...      one JSON object, by file name
    measure.py --expected DIR           the recordings of make.py in DIR

All in the time domain by least squares where the tool works on bins: the tone
by scipy's Levenberg-Marquardt over frequency, with sine, cosine and constant
solved inside (IEEE 1057); harmonics and the lines of hum by one joint linear
fit; the band by a transform of what is left, whole and without a window.

    sinad_db   10 lg((S+ND)/ND), 300 to 3400 Hz, ND all but the fitted tone
    thd_percent  harmonics 2 to 10 below 0.45 of the rate, root-sum-square over the tone,
               less what the noise around adds to a fitted line on average
    level_dbfs, tone_dbfs  RMS without offset; 0 dBFS is a sine that touches full scale
"""
import json
import os
import sys

import numpy as np
from scipy.fft import rfft
from scipy.io import wavfile
from scipy.optimize import least_squares

LOW, HIGH = 300.0, 3400.0


def read(path):
    rate, x = wavfile.read(path)
    if x.dtype == np.uint8:
        return rate, (x.astype(float) - 128) / 128
    if x.dtype.kind == "i":
        return rate, x.astype(float) / 2.0 ** (8 * x.dtype.itemsize - 1)
    return rate, x.astype(float)


def columns(t, freqs):
    arg = 2 * np.pi * np.outer(t, freqs)
    return np.hstack([np.ones((len(t), 1)), np.cos(arg), np.sin(arg)])


def solve(design, x):
    return np.linalg.lstsq(design, x, rcond=None)[0]


def amplitudes(coef, k):
    return np.hypot(coef[1:1 + k], coef[1 + k:1 + 2 * k])


def start(x, rate, low, high):
    """The peak of a windowed spectrum, to begin with."""
    n = len(x)
    w = np.abs(rfft((x - x.mean()) * np.hanning(n)))
    f = np.arange(len(w)) * rate / n
    w[(f < low) | (f > high)] = 0
    return f[np.argmax(w)]


def line(x, t, rate, low, high, others=()):
    """Frequency of the line between low and high that least squares finds, others beside it."""
    f0 = start(x, rate, low, high)
    span = rate / len(x)

    def left(p):
        design = columns(t, np.append(others, f0 + p[0] * span))
        return x - design @ solve(design, x)

    fit = least_squares(left, [0.0], method="lm", xtol=1e-15, ftol=1e-15, gtol=1e-15, diff_step=1e-4)
    return f0 + fit.x[0] * span


def around(left, rate, hz):
    """Noise density near hz, mean square a hertz, within 60 Hz."""
    n = len(left)
    p = 2 * np.abs(rfft(left)) ** 2 / n / rate
    f = np.arange(len(p)) * rate / n
    return np.mean(p[(np.abs(f - hz) < 60) & (np.abs(f - hz) > 3 * rate / n)])


def measure(path, expected=1000.0):
    rate, x = read(path)
    n = len(x)
    t = (np.arange(n) - (n - 1) / 2) / rate
    near = (expected * 0.9, expected * 1.1)
    tone = line(x, t, rate, *near)
    # Strong lines that are no part of the tone, hum among them, one after the other.
    lines, left = [], x - columns(t, [tone]) @ solve(columns(t, [tone]), x)
    for _ in range(8):
        f = start(left, rate, 30, 610)
        power = np.sum(amplitudes(solve(columns(t, [f]), left), 1) ** 2) / 2
        if power < 100 * around(left, rate, f) * rate / n:
            break
        lines.append(line(left, t, rate, f - 3, f + 3))
        design = columns(t, np.append(lines, tone))
        left = x - design @ solve(design, x)
    orders = [h for h in range(2, 11) if h * tone < 0.45 * rate]
    for _ in range(2):  # once more the tone, with all others beside it
        others = np.append(lines, [h * tone for h in orders])
        tone = line(x, t, rate, *near, others=others)
        lines = [line(x - columns(t, [tone]) @ solve(columns(t, [tone]), x), t, rate, f - 2, f + 2,
                      others=[g for g in lines if g != f]) for f in lines]
    freqs = np.array([tone] + [h * tone for h in orders] + lines)
    design = columns(t, freqs)
    coef = solve(design, x)
    a = amplitudes(coef, len(freqs))
    rest = x - design @ coef
    # N+D: all but the tone. Lines below the band are taken away, so that their skirts
    # do not reach into it; harmonics and hum within it are put back as powers.
    spectrum = 2 * np.abs(rfft(rest)) ** 2 / n**2
    f = np.arange(len(spectrum)) * rate / n
    noise = np.sum(spectrum[(f >= LOW) & (f <= HIGH)])
    inside = [k for k, g in enumerate(freqs) if k > 0 and LOW <= g <= HIGH]
    nd = noise + sum(a[k] ** 2 / 2 for k in inside)
    signal = a[0] ** 2 / 2
    harmonics = {}
    for k, h in enumerate(orders):
        p = a[1 + k] ** 2 / 2 - around(rest, rate, h * tone) * rate / n
        harmonics[h] = p / signal
    ac = x - coef[0]
    return {
        "rate": int(rate), "samples": n, "asked_hz": expected,
        "frequency_hz": tone,
        "tone_dbfs": 20 * np.log10(a[0]),
        "level_dbfs": 10 * np.log10(2 * np.mean(ac * ac)),
        "offset": coef[0],
        "sinad_db": 10 * np.log10((signal + nd) / nd),
        "thd_percent": 100 * np.sqrt(max(0.0, sum(harmonics.values()))),
        "harmonics_percent": {str(h): 100 * np.sqrt(max(0.0, v)) for h, v in harmonics.items()},
        "noise_dbfs": 10 * np.log10(2 * noise),
    }


def expected(folder):
    from make import FILES
    out = {}
    for row in FILES:
        asked = 1000.0 if abs(row[4] - 1000) < 100 else float(round(row[4] / 10) * 10)
        out[row[0] + ".wav"] = measure(os.path.join(folder, row[0] + ".wav"), asked)
    return out


def main():
    args = sys.argv[1:]
    if args[0] == "--expected":
        result = expected(args[1])
    else:
        tone = 1000.0
        if args[0] == "--tone":
            tone, args = float(args[1]), args[2:]
        result = {os.path.basename(p): measure(p, tone) for p in args}
    json.dump(result, sys.stdout, indent=1)
    print()


if __name__ == "__main__":
    main()
