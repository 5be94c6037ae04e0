#!/usr/bin/env python3
"""Recordings of all kinds with a known SINAD, made by numpy and measured by the tool.

    attack.py HISSPOINT COUNT [SEED]

Each is a tone near 1 kHz with up to four harmonics and band-limited, tilted noise, 2 to
45 dB below it, 1 to 13 s at one of seven rates, and one thing more: drift, mains hum, a
sub-audible tone, DC, a tone beside it, lost samples, a level that sways or steps, or
nothing. The truth is 10 lg of the powers put in; what lies below 300 Hz does not count. Fails
if a SINAD is off by more than its interval allows and no warning says so, and tells how
often the intervals of plain recordings hold the truth.
"""
import json
import subprocess
import sys
import tempfile

import numpy as np
from scipy.io import wavfile


def noise(rng, n, rate):
    spectrum, hz = np.fft.rfft(rng.standard_normal(n)), np.fft.rfftfreq(n, 1 / rate)
    low, high = rng.uniform(330, 600), min(rng.uniform(1800, 3300), 0.45 * rate)
    tilt = (1000 / np.maximum(hz, 100)) ** rng.choice([0, rng.uniform(-1, 1)])
    return np.fft.irfft(spectrum * ((hz > low) & (hz < high)) * tilt, n)


def recording(rng):
    """Samples, rate, SINAD in dB, and what was done."""
    rate = int(rng.choice([8000, 11025, 16000, 22050, 44100, 48000, 96000]))
    seconds = rng.choice([1.0, 2.0, 4.0, 7.0, 12.0]) * rng.uniform(1, 1.1)
    n = int(seconds * rate)
    t = np.arange(n) / rate
    a, done = 10 ** (rng.uniform(-30, -6) / 20), int(rng.integers(0, 12))
    phase = 2 * np.pi * rng.choice([1000, 1004, 1013]) * (1 + 2e-4 * rng.normal()) * t + rng.uniform(0, 2 * np.pi)
    if done == 1:
        phase = phase + np.pi * rng.uniform(-2, 2) * t * t
    x, rest = a * np.sin(phase), 0.0
    for order in (2, 3):
        if rng.random() < 0.5:
            h = a * 10 ** (rng.uniform(-60, -20) / 20)
            x += h * np.sin(order * phase + rng.uniform(0, 2 * np.pi))
            rest += h * h / 2
    beside = noise(rng, n, rate)
    beside *= np.sqrt(a * a / 2 * 10 ** (-rng.uniform(2, 45) / 10) / np.mean(beside**2))
    x, rest = x + beside, rest + np.mean(beside**2)
    at = int(n * rng.uniform(0.2, 0.8))
    if done == 2:
        x += a * 10 ** (rng.uniform(-40, -5) / 20) * np.sin(2 * np.pi * rng.choice([50, 60]) * t)
    elif done == 3:
        x += a * 10 ** (rng.uniform(-30, -10) / 20) * np.sin(2 * np.pi * rng.choice([67, 88.5, 118.8, 151.4, 203.5]) * t)
    elif done == 4:
        x += rng.uniform(-0.1, 0.1)
    elif done == 5:
        b = a * 10 ** (rng.uniform(-30, 0) / 20)
        x += b * np.sin(2 * np.pi * rng.uniform(500, 3000) * t)
        rest += b * b / 2
    elif done == 6:
        x = np.delete(x, slice(at, at + int(rng.integers(1, 4))))
    elif done == 7:
        m = rng.uniform(0.01, 0.3)
        x *= 1 + m * np.sin(2 * np.pi * rng.uniform(0.3, 6) * t)
        rest += a * a / 2 * m * m / 2
    elif done == 8:
        x[at:] *= 10 ** (rng.uniform(-6, 6) / 20)
    x = np.round(np.clip(x, -1, 1) * 32767).astype(np.int16)
    rest += 2.0**-30 / 12 * min(1, 3100 / (rate / 2))
    names = ("", "drifts", "hum", "sub-audible", "DC", "another tone", "lost samples", "sways", "steps")
    return x, rate, 10 * np.log10(1 + a * a / 2 / rest), names[done % 9 if done < 9 else 0], seconds


def main(tool, count, seed=1):
    truths, wrong, inside, plain = {}, 0, 0, 0
    with tempfile.TemporaryDirectory() as folder:
        for i in range(int(count)):
            x, rate, *truth = recording(np.random.default_rng([int(seed), i]))
            truths["%s/%d.wav" % (folder, i)] = truth
            wavfile.write("%s/%d.wav" % (folder, i), rate, x)
        out = subprocess.run([tool, "measure", "--json", *truths], capture_output=True, text=True).stdout
    for r in json.loads(out)["recordings"]:
        truth, done, seconds = truths[r["file"]]
        sinad, warned = r["readings"]["sinad"], [w["code"] for w in r.get("warnings", [])]
        low, high = sinad.get("low"), sinad.get("high")
        if sinad["value"] is None:
            silent = not warned and (sinad["why"] != "tone-missing" or truth > 6)
        else:
            half = (high - low) / 2 if low is not None and high is not None else 0
            silent = not warned and abs(sinad["value"] - truth) > 0.25 + 1.5 * half + 0.3 / np.sqrt(seconds)
            if not done and low is not None:
                plain, inside = plain + 1, inside + (low - 0.02 <= truth <= high + 0.02)
        if silent:
            wrong += 1
            print("%s, %s: SINAD %.2f dB, read %s (%s to %s)" % (r["file"].rsplit("/")[-1], done or "plain", truth, sinad["value"], low, high))
    print("%d of %d recordings read wrong without a word; %d of %d plain intervals hold the truth" % (wrong, len(truths), inside, plain))
    return wrong or inside < 0.9 * plain


if __name__ == "__main__":
    sys.exit(1 if main(*sys.argv[1:]) else 0)
