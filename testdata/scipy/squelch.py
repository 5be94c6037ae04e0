#!/usr/bin/env python3
"""Finds when sound came and went in a WAV file with numpy and scipy alone, as a check from outside.

    squelch.py FILE     prints {"opened": [s, ...], "closed": [s, ...], "gone": [s, ...]}

The envelope is that of the analytic signal of a band from 300 to 3400 Hz (zero-phase
Butterworth), smoothed over 4 ms; the sound is there where it stands above the geometric
mean of its two levels. The signal is gone where the noise above the tone, 1.8 to 3.4
kHz, leaves its quiet level for that of the hiss before the mute.
"""
import json
import sys

import numpy as np
from scipy.io import wavfile
from scipy.ndimage import uniform_filter1d
from scipy.signal import butter, hilbert, sosfiltfilt


def edges(there):
    d = np.diff(there.astype(int))
    return np.where(d > 0)[0] + 1, np.where(d < 0)[0] + 1


def main():
    rate, x = wavfile.read(sys.argv[1])
    x = x.astype(float) / 32768
    band = sosfiltfilt(butter(4, [300, 3400], "band", fs=rate, output="sos"), x)
    level = uniform_filter1d(np.abs(hilbert(band)), int(0.004 * rate))
    low, high = np.percentile(level, 5), np.percentile(level, 90)
    opened, closed = edges(level > np.sqrt(low * high))
    upper = sosfiltfilt(butter(4, [1800, 3400], "band", fs=rate, output="sos"), x)
    noise = uniform_filter1d(np.abs(hilbert(upper)), int(0.006 * rate))
    gone = []
    for a, b in zip(opened, closed):
        quiet = np.median(noise[a + int(0.1 * rate):a + int(0.5 * rate)])
        hiss = np.median(noise[b - int(0.1 * rate):b - int(0.02 * rate)])
        start = a + int(0.1 * rate)
        gone.append((start + np.argmax(noise[start:b] > np.sqrt(quiet * hiss))) / rate)
    print(json.dumps({"opened": list(opened / rate), "closed": list(closed / rate), "gone": gone}))


main()
