#!/usr/bin/env python3
"""Mains families measured with numpy and scipy alone, as a check from outside.

    mains.py > mains.json

Each signal is a family of known lines in white noise, of 16 bits at 1500 Hz. The
fundamental is where a joint least-squares fit of all twelve orders and an offset leaves
least (for white noise the likeliest); P_k is the mean square fitted at order k, and F
what noise of the variance that is left gives a fitted line: 2 var / n. The level is
sum (P_k - F) - F/2, the last for the fitted frequency. Seeded, so always the same but
for rounding.
"""
import base64
import json
import sys

import numpy as np
from scipy.optimize import minimize_scalar

RATE, ORDERS = 1500, 12

# name, seconds, f0 Hz, noise density dBFS/Hz, {order: dBFS}
FAMILIES = [
    ("pick-up, 50 Hz", 2.0, 50.03, -84, {1: -50, 3: -62, 5: -66}),
    ("rectifier, 60 Hz", 3.0, 59.96, -88, {1: -68, 2: -52, 4: -60, 6: -66, 8: -70}),
    ("inverter, 50.9 Hz", 2.0, 50.9, -86, {1: -55, 2: -58, 3: -60, 7: -64}),
    ("generator, 57.3 Hz", 4.0, 57.3, -82, {1: -60, 2: -62, 5: -58}),
    ("eight lines", 5.0, 49.98, -84, {k: -60 - k for k in range(1, 9)}),
]


def design(f0, n):
    t = (np.arange(n) - (n - 1) / 2) / RATE
    columns = [np.ones(n)]
    for k in range(1, ORDERS + 1):
        columns += [np.cos(2 * np.pi * k * f0 * t), np.sin(2 * np.pi * k * f0 * t)]
    return np.stack(columns, 1)


def fit(f0, x):
    a = design(f0, len(x))
    c = np.linalg.lstsq(a, x, rcond=None)[0]
    r = x - a @ c
    return c, r @ r


def main():
    rng = np.random.default_rng(7001)
    out = []
    for name, seconds, f0, density, lines in FAMILIES:
        n = int(seconds * RATE)
        t = np.arange(n) / RATE
        x = rng.standard_normal(n) * np.sqrt(10 ** (density / 10) / 2 * RATE / 2)
        for k, level in lines.items():
            x += 10 ** (level / 20) * np.cos(2 * np.pi * k * f0 * t + rng.uniform(0, 2 * np.pi))
        x = np.round(x * 32768)
        y = x / 32768
        width = 1 / seconds / 8
        best = minimize_scalar(lambda f: fit(f, y)[1], bounds=(f0 - width, f0 + width), method="bounded", options={"xatol": 1e-7})
        c, rss = fit(best.x, y)
        floor = 2 * rss / (n - 2 * ORDERS - 2) / n
        p = (c[1::2] ** 2 + c[2::2] ** 2) / 2
        out.append({"name": name, "rate": RATE, "samples": base64.b64encode(x.astype("<i2").tobytes()).decode(),
                    "f0": best.x, "floor": floor, "net": list(p - floor), "level": float(np.sum(p - floor) - floor / 2)})
    json.dump(out, sys.stdout, indent=1)
    print()


main()
