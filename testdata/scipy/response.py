#!/usr/bin/env python3
"""Reads audio responses from WAV files with numpy and scipy alone, as a check from outside.

    response.py DIR     DIR/spec.json names the files; prints {kind: {Hz: dB re 1 kHz}}

Stepped tones: each by scipy's least squares over frequency, with sine, cosine and
constant solved inside, in the stretch where it was played. Multitone: one joint
linear fit of all tones and a constant. Sweep: the transform of the recording over
that of the sweep as it was played (no formula for it), its impulse response cut
out around its peak, transformed at the frequencies asked for.
"""
import json
import os
import sys

import numpy as np
from scipy.fft import irfft, next_fast_len, rfft
from scipy.io import wavfile
from scipy.optimize import least_squares


def read(path):
    rate, x = wavfile.read(path)
    return rate, x.astype(float) / 2.0 ** (8 * x.dtype.itemsize - 1) if x.dtype.kind == "i" else x.astype(float)


def columns(n, rate, freqs):
    arg = 2 * np.pi * np.outer(np.arange(n) / rate, freqs)
    return np.hstack([np.ones((n, 1)), np.cos(arg), np.sin(arg)])


def fit(x, rate, freqs):
    design = columns(len(x), rate, freqs)
    coef = np.linalg.lstsq(design, x, rcond=None)[0]
    k = len(freqs)
    return np.hypot(coef[1:1 + k], coef[1 + k:1 + 2 * k]), x - design @ coef


def stepped(spec, folder):
    rate, x = read(os.path.join(folder, spec["file"]))
    out = {}
    for start, end, hz in spec["parts"]:
        part = x[int((start + 0.05) * rate):int((end - 0.05) * rate)]
        best = least_squares(lambda f: fit(part, rate, f)[1], [hz], x_scale=0.01)
        out.setdefault(hz, []).append(fit(part, rate, best.x)[0][0])
    return {hz: float(np.mean(a)) for hz, a in out.items()}


def multitone(spec, folder):
    rate, x = read(os.path.join(folder, spec["file"]))
    a, _ = fit(x, rate, np.array(spec["tones"]))
    return dict(zip(spec["tones"], map(float, a)))


def sweep(spec, folder, freqs):
    rate, y = read(os.path.join(folder, spec["file"]))
    _, x = read(os.path.join(folder, spec["played"]))
    n = next_fast_len(len(x) + len(y), real=True)
    X, Y = rfft(x, n), rfft(y, n)
    f = np.fft.rfftfreq(n, 1 / rate)
    keep = 1 / (1 + (80 / np.maximum(f, 1e-9)) ** 8) / (1 + (f / (0.42 * rate)) ** 32)
    h = irfft(keep * Y * np.conj(X) / (np.abs(X) ** 2 + 1e-6 * np.max(np.abs(X)) ** 2), n)
    peak = int(np.argmax(np.abs(h)))
    before, after = int(0.01 * rate), int(0.02 * rate)
    t = np.arange(-before, after)
    h = h[(peak + t) % n] * np.where(t < 0, np.cos(np.pi / 2 * t / before) ** 2, np.cos(np.pi / 2 * t / after) ** 2)
    H = np.abs(np.exp(-2j * np.pi * np.outer(freqs, t / rate)) @ h)
    return dict(zip(freqs, map(float, H)))


def relative(amplitudes):
    """dB relative to 1 kHz, which may lie between two tones."""
    hz = np.array(sorted(amplitudes))
    db = 20 * np.log10([amplitudes[f] for f in hz])
    return {repr(float(f)): float(d) for f, d in zip(hz, db - np.interp(np.log(1000), np.log(hz), db))}


if __name__ == "__main__":
    folder = sys.argv[1]
    with open(os.path.join(folder, "spec.json"), encoding="utf-8") as f:
        spec = json.load(f)
    json.dump({
        "stepped": relative(stepped(spec["stepped"], folder)),
        "multitone": relative(multitone(spec["multitone"], folder)),
        "sweep": relative(sweep(spec["sweep"], folder, spec["points"])),
    }, sys.stdout)
