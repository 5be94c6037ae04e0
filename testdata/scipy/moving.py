#!/usr/bin/env python3
"""Tones that move, slip, come and go, made with numpy and scipy alone, with their truth.

    moving.py FOLDER SEED EACH

writes EACH recordings of every kind as 16-bit WAV files and truth.json beside them:
    kind      what the tone does
    sinad     10 lg((S+N)/N) of tone and noise as they were added, 300 to 3400 Hz, dB; where the
              tone flutters, what the best steady tone leaves of it (least squares) is noise
    hz_per_s  mean slope of the frequency
    slips     [[s, samples lost (doubled: negative)], ...]
The noise is white between 300 and 3400 Hz. Seeded, so always the same but for rounding.
"""
import json
import os
import sys

import numpy as np
import scipy.io.wavfile as wavfile
import scipy.signal as sg
from scipy.optimize import minimize_scalar

AMPLITUDE = 0.25


def band(rng, n, rate, low=300, high=3400):
    """White noise of mean square 1 between two frequencies, by one transform."""
    z = np.fft.rfft(rng.standard_normal(n))
    f = np.fft.rfftfreq(n, 1 / rate)
    z[(f < low) | (f > high)] = 0
    x = np.fft.irfft(z, n)
    return x / np.sqrt(np.mean(x * x))


def slow(rng, n, rate, low, high):
    """Slow noise of mean square 1, made at 200 a second and drawn out."""
    m = int(np.ceil(n / rate * 200)) + 2
    return np.interp(np.arange(n) / rate, np.arange(m) / 200, band(rng, m, 200, low, high))


def turned(cycles):
    return np.sin(2 * np.pi * cycles)


def steady(rng, t, f):
    return turned(f * t), 0.0, []


def straight(rng, t, f):
    by = rng.choice([-1, 1]) * rng.choice([0.03, 0.15, 0.3, 1, 3])
    return turned(f * t + by * t * t / 2), by, []


def curved(rng, t, f):
    bend = rng.choice([-1, 1]) * rng.uniform(0.05, 0.4)
    return turned(f * t + bend * t**3 / 6), bend * t[-1] / 2, []


def warming(rng, t, f):
    """Towards its frequency with a time constant of 4 s. The slope is that of least squares."""
    by, tau = rng.choice([-1, 1]) * rng.uniform(2, 12), 4.0
    g = by * np.exp(-t / tau)
    return turned(f * t - by * tau * np.exp(-t / tau)), np.polyfit(t, g, 1)[0], []


def slipping(rng, t, f):
    rate = round(1 / (t[1] - t[0]))
    count = int(rng.choice([1, 4]))
    at = np.linspace(0.6, t[-1] - 0.6, 2 * count + 1)[1::2] + rng.uniform(-0.1, 0.1, count)
    by = [int(v) for v in rng.choice([-1, 1], count)]
    late = np.zeros(len(t))
    for a, k in zip(at, by):
        late[int(round(a * rate)) :] += k / rate
    u = t + late
    return turned(f * u + 0.3 * u * u / 2), 0.3, [[float(a), k] for a, k in zip(at, by)]


def keyed(rng, t, f):
    """Dots and dashes of 60 ms, with the edges of a transmitter."""
    gate = np.zeros(len(t))
    at = 0.0
    while at < t[-1]:
        on = 0.06 * rng.choice([1, 3])
        gate[(t >= at) & (t < at + on)] = 1
        at += on + 0.06 * rng.choice([1, 1, 3])
    w = sg.windows.hann(max(3, int(0.006 / (t[1] - t[0]))))
    return turned(f * t) * sg.fftconvolve(gate, w / w.sum(), "same"), 0.0, []


def fading(rng, t, f):
    """Rayleigh fading of half a hertz."""
    n, rate = len(t), round(1 / (t[1] - t[0]))
    i, q = slow(rng, n, rate, 0.05, 0.7), slow(rng, n, rate, 0.05, 0.7)
    return np.sqrt(0.5) * (i * np.sin(2 * np.pi * f * t) + q * np.cos(2 * np.pi * f * t)), 0.0, []


def swaying(rng, t, f):
    """Flutter: the phase swings by 1.3 to 3 rad (r.m.s.) a few times a second."""
    return turned(f * t + rng.uniform(0.2, 0.5) * slow(rng, len(t), round(1 / (t[1] - t[0])), 3, 12)), 0.0, []


def fluttering(rng, t, f):
    """The phase swings by 0.03 to 0.2 rad, 3 to 12 times a second: noise, not drift."""
    swing = rng.uniform(0.03, 0.2) * slow(rng, len(t), round(1 / (t[1] - t[0])), 3, 12)
    return turned(f * t + swing / 2 / np.pi), 0.0, []


def phase_keyed(rng, t, f):
    baud = rng.choice([5.0, 10.0, 31.25])
    bits = rng.integers(0, 2, int(t[-1] * baud) + 2)
    return turned(f * t + bits[(t * baud).astype(int)] / 2), 0.0, []


def shift_keyed(rng, t, f):
    baud = rng.choice([45.45, 300.0])
    bits = rng.integers(0, 2, int(t[-1] * baud) + 2)
    return turned(np.cumsum(f + 85 * (2 * bits[(t * baud).astype(int)] - 1)) * (t[1] - t[0])), 0.0, []


KINDS = {
    "steady": steady, "straight": straight, "curved": curved, "warming": warming, "slipping": slipping,
    "fluttering": fluttering, "keyed": keyed, "fading": fading, "swaying": swaying, "phase-keyed": phase_keyed, "shift-keyed": shift_keyed,
}
FOLLOWED = ("steady", "straight", "curved", "warming", "slipping")


def left(x, t, f):
    """Mean square that the best steady tone near f leaves of x, within the band."""
    def without(hz):
        a = np.stack([np.cos(2 * np.pi * hz * t), np.sin(2 * np.pi * hz * t)], 1)
        return x - a @ np.linalg.lstsq(a, x, rcond=None)[0]

    best = minimize_scalar(lambda hz: np.sum(without(hz) ** 2), bounds=(f - 0.05, f + 0.05), method="bounded")
    return np.mean(without(best.x) ** 2)


def main():
    folder, seed, each = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    os.makedirs(folder, exist_ok=True)
    rng = np.random.default_rng(seed)
    rows = []
    for k in range(each):
        for kind, make in KINDS.items():
            rate = int(rng.choice([8000, 16000, 48000]))
            if kind == "slipping":
                rate = int(rng.choice([16000, 44100, 48000]))
            seconds = float(rng.choice([5, 5, 15] if kind in FOLLOWED else [5, 8]))
            t = np.arange(int(rate * seconds)) / rate
            f = rng.uniform(985, 1015)
            x, slope, slips = make(rng, t, f)
            x = AMPLITUDE * x
            wanted = rng.uniform(3 if kind != "slipping" else 10, 45) if kind in FOLLOWED else rng.uniform(20, 40)
            noise = band(rng, len(t), rate) * AMPLITUDE / np.sqrt(2) / np.sqrt(10 ** (wanted / 10) - 1)
            s, n = np.mean(x * x), np.mean(noise * noise)
            if kind == "fluttering":
                rest = left(x, t, f)
                s, n = s - rest, n + rest
            y = np.round((x + noise) * 32768 + rng.random(len(t)) - rng.random(len(t)))
            file = "%s-%d.wav" % (kind, k)
            wavfile.write(os.path.join(folder, file), rate, y.astype("<i2"))
            rows.append({"file": file, "kind": kind, "sinad": 10 * np.log10((s + n) / n), "hz_per_s": float(slope), "slips": slips})
    with open(os.path.join(folder, "truth.json"), "w") as out:
        json.dump(rows, out, indent=1)


main()
