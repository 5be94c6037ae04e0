#!/usr/bin/env python3
"""Makes the recordings that measure.py measures: seeded, so always the same.

    make.py DIR          writes them
    make.py --check DIR  tells whether those in DIR are what it would write, but for rounding

Each is an invented speaker output: a tone with harmonics, hum, offset and
noise, at the rates and in the encodings that sound cards write. Kept short.
"""
import os
import sys

import numpy as np
from scipy.io import wavfile
from scipy.signal import firwin, fftconvolve

# name, rate, seconds, encoding, tone Hz, amplitude, harmonics (order: share),
# hum (Hz: amplitude), offset, noise RMS, noise shape
FILES = [
    ("clean-8k", 8000, 2.0, "i16", 1000.37, 0.5, {2: 3e-3, 3: 1e-3}, {}, 0.0, 2.5e-4, "white"),
    ("noisy-6dB", 8000, 3.0, "i16", 999.81, 0.25, {2: 2e-2}, {}, 0.002, 0.102, "speech"),
    ("noisy-12dB", 8000, 3.0, "i16", 1007.3, 0.3, {2: 3e-2, 3: 2e-2}, {100.02: 0.01}, -0.004, 0.0545, "speech"),
    ("rising-12dB", 16000, 2.0, "i16", 1000.0, 0.3, {2: 1e-2, 3: 1e-2}, {50.01: 0.02, 100.02: 0.01}, 0.0, 0.054, "rising"),
    ("noisy-20dB", 11025, 2.5, "i16", 1000.21, 0.4, {2: 2e-2, 3: 4e-2, 4: 5e-3}, {}, 0.01, 0.026, "speech"),
    ("hum-60", 16000, 2.0, "i16", 1001.4, 0.3, {2: 1e-2}, {59.97: 0.05, 119.94: 0.08, 179.91: 0.02, 359.82: 0.005}, 0.003, 0.006, "speech"),
    ("distorted", 16000, 1.5, "i16", 997.0, 0.6, {2: 0.06, 3: 0.08, 4: 0.01, 5: 0.03, 6: 0.004, 7: 0.01}, {}, 0.0, 0.002, "white"),
    ("clean-60dB", 16000, 2.0, "i16", 1003.7, 0.8, {2: 3e-4, 3: 5e-4}, {}, 0.0, 3.5e-4, "speech"),
    ("tone-412", 8000, 2.0, "i16", 412.34, 0.3, {2: 2e-2, 3: 1e-2}, {}, 0.0, 0.02, "speech"),
    ("tone-3210", 16000, 2.0, "i16", 3210.9, 0.3, {2: 2e-2}, {50.0: 0.03}, 0.0, 0.02, "speech"),
    ("eight-bits", 8000, 2.0, "u8", 1000.9, 0.7, {3: 2e-2}, {}, 0.0, 0.02, "white"),
    ("float-44k", 44100, 0.8, "f32", 1000.02, 0.35, {2: 1e-2, 3: 2e-2}, {100.0: 0.01}, 0.02, 0.02, "white"),
    ("deep-48k", 48000, 0.8, "i32", 1012.5, 0.45, {2: 5e-3, 3: 7e-3}, {50.03: 0.02}, -0.02, 0.01, "rising"),
    ("sub-audible", 8000, 3.0, "i16", 1000.0, 0.25, {2: 1e-2}, {88.5: 0.06}, 0.0, 0.02, "speech"),
]


def noise(rng, n, rate, shape):
    """Gaussian noise of unit power, filtered in time so that no whole number of anything fits."""
    x = rng.standard_normal(n + 4096)
    if shape == "speech":
        x = fftconvolve(x, firwin(1023, [250, min(3600, 0.46 * rate)], pass_zero=False, fs=rate), "same")
    elif shape == "rising":  # as from a discriminator, cut off above the audio
        x = fftconvolve(np.diff(x, append=0.0), firwin(511, min(5000, 0.45 * rate), fs=rate), "same")
    x = x[2048:2048 + n]
    return x / np.sqrt(np.mean(x * x))


def samples(row, seed):
    _, rate, seconds, _, hz, a, harmonics, hum, offset, rms, shape = row
    rng = np.random.default_rng([2026, seed])
    n = int(round(seconds * rate)) - 37 * seed % 1000  # no handy length
    t = np.arange(n) / rate
    phase = rng.uniform(0, 2 * np.pi)
    x = a * np.sin(2 * np.pi * hz * t + phase)
    for order, share in harmonics.items():
        x += a * share * np.sin(2 * np.pi * order * hz * t + rng.uniform(0, 2 * np.pi))
    for f, level in hum.items():
        x += level * np.sin(2 * np.pi * f * t + rng.uniform(0, 2 * np.pi))
    return x + offset + rms * noise(rng, n, rate, shape)


def encode(x, encoding):
    if encoding == "u8":
        return (np.clip(np.round(x * 128), -128, 127) + 128).astype(np.uint8)
    if encoding == "i16":
        return np.clip(np.round(x * 32768), -32768, 32767).astype(np.int16)
    if encoding == "i32":
        return np.clip(np.round(x * 2.0**31), -2.0**31, 2.0**31 - 1).astype(np.int32)
    return x.astype(np.float32)


def check(folder):
    """Another numpy may round a sample the other way, by one step."""
    for seed, row in enumerate(FILES):
        rate, kept = wavfile.read(os.path.join(folder, row[0] + ".wav"))
        made = encode(samples(row, seed), row[3])
        step = 1e-6 if row[3] == "f32" else 2**8 if row[3] == "i32" else 1
        if rate != row[1] or kept.dtype != made.dtype or kept.shape != made.shape:
            sys.exit(row[0] + ": of another shape")
        if np.max(np.abs(kept.astype(float) - made.astype(float))) > step:
            sys.exit(row[0] + ": holds other samples")


def write(folder):
    os.makedirs(folder, exist_ok=True)
    for seed, row in enumerate(FILES):
        wavfile.write(os.path.join(folder, row[0] + ".wav"), row[1], encode(samples(row, seed), row[3]))


if __name__ == "__main__":
    check(sys.argv[2]) if sys.argv[1] == "--check" else write(sys.argv[1])
