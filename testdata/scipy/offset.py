#!/usr/bin/env python3
"""SINAD of FM receivers over the offset of the carrier, for the centring test.

    offset.py > sinad_over_offset.csv

Monte Carlo of an ideal limiter-discriminator in complex baseband: carrier with a
1 kHz tone, displaced by so many Hz, white noise, an IF filter without delay
distortion, the angle from sample to sample, 6 dB/octave de-emphasis, 300 to 3400 Hz.
The same noise at every offset, so that a curve is as smooth as the receiver's own.
Seeded, so always the same but for rounding.
"""
import sys

import numpy as np

RATE, SECONDS, TONE = 32000, 8, 1000.0
N = RATE * SECONDS

# name, IF noise bandwidth Hz, filter's order (each side of a Butterworth
# band-pass), deviation Hz, peak of the detector's S-curve Hz (0: straight)
SETS = [
    ("narrow_2", 7500, 2, 1200, 0),
    ("narrow_4", 7500, 4, 1500, 0),
    ("narrow_8", 7500, 8, 1500, 0),
    ("wide_4", 12000, 4, 3000, 0),
    ("wide_8", 12000, 8, 2400, 0),
    ("quadrature_4", 8000, 4, 1500, 7000),
]
CNRS = (11, 15, 22)  # dB in the IF noise bandwidth, carrier in its middle


def noise(rng):
    return np.fft.fft((rng.standard_normal(N) + 1j * rng.standard_normal(N)) * np.sqrt(0.5))


def sinad(spectrum, n, f, shape, offset, deviation, peak, cnr, bandwidth, audio):
    t = np.arange(N) / RATE
    carrier = np.exp(1j * (2 * np.pi * offset * t + deviation / TONE * np.sin(2 * np.pi * TONE * t)))
    amplitude = np.sqrt(10 ** (cnr / 10) * bandwidth / RATE)
    z = np.fft.ifft((amplitude * np.fft.fft(carrier) + spectrum) * shape)
    hz = np.angle(np.roll(z, -1) * np.conj(z)) * RATE / (2 * np.pi)
    if peak:
        hz = hz / (1 + (hz / peak) ** 2)
    power = np.abs(np.fft.rfft(hz) * audio) ** 2
    at = int(round(TONE * SECONDS))
    total, tone = power.sum(), power[at]
    return 10 * np.log10(total / (total - tone))


def main():
    f = np.fft.fftfreq(N, 1 / RATE)
    g = np.fft.rfftfreq(N, 1 / RATE)
    audio = np.where((g >= 300) & (g <= 3400), 1000 / np.maximum(g, 1), 0)
    print("set,cnr_db,offset_hz,sinad_db")
    for k, (name, bandwidth, order, deviation, peak) in enumerate(SETS):
        # noise bandwidth of a Butterworth low-pass of order n is x/sinc: (pi/2n)/sin(pi/2n)
        corner = bandwidth / 2 / (np.pi / (2 * order) / np.sin(np.pi / (2 * order)))
        shape = 1 / np.sqrt(1 + (f / corner) ** (2 * order))
        spectrum = noise(np.random.default_rng([2026, k]))
        for cnr in CNRS:
            for offset in range(0, 10000, 250):
                y = sinad(spectrum, N, f, shape, offset, deviation, peak, cnr, bandwidth, audio)
                print("%s,%d,%d,%.3f" % (name, cnr, offset, y))
                sys.stdout.flush()
                if y < 0:
                    break


if __name__ == "__main__":
    main()
