"""Sounds of receivers with a 1 kHz tone, by numpy and scipy alone: full scale +-1, 48 kHz."""
import numpy as np
import scipy.signal as sg

FS = 48000
TONE = 1000.0


def noise(rng, n):
    return rng.standard_normal(n)


def carrier(rng, n, cnr_db, half_width, message):
    """A carrier in noise behind an ideal filter: message is its complex envelope."""
    z = (noise(rng, n) + 1j * noise(rng, n)) / np.sqrt(2)
    taps = sg.firwin(401, half_width, fs=FS)
    z = sg.fftconvolve(z, taps, "same")
    z /= np.sqrt(np.mean(abs(z) ** 2))
    return message + z * 10 ** (-cnr_db / 20)


def band(x, low, high):
    return sg.sosfilt(sg.butter(3, [low, high], "band", fs=FS, output="sos"), x)


def deemphasised(x, tau):
    b, a = sg.bilinear([1.0], [tau, 1.0], FS)
    return sg.lfilter(b, a, x)


def fm(rng, n, cnr_db, half_width, deviation, sub=0.0):
    t = np.arange(n) / FS
    f = deviation * np.sin(2 * np.pi * TONE * t)
    if sub:
        f = f + 500 * np.sin(2 * np.pi * sub * t)
    phase = 2 * np.pi * np.cumsum(f) / FS
    z = carrier(rng, n, cnr_db, half_width, np.exp(1j * phase))
    d = np.angle(z[1:] * np.conj(z[:-1])) * FS / 2 / np.pi
    return d / deviation


def wide(rng, n, cnr_db):
    return sg.sosfilt(sg.butter(2, 30, "high", fs=FS, output="sos"), deemphasised(fm(rng, n, cnr_db, 7500, 3000), 530e-6)) * 3


def narrow(rng, n, cnr_db):
    x = deemphasised(fm(rng, n, cnr_db, 3750, 1500, 88.5), 750e-6) * 4
    return band(x, 250, 3400) + 0.02 * np.sin(2 * np.pi * 88.5 * np.arange(len(x)) / FS)


def am(rng, n, cnr_db, agc=False):
    t = np.arange(n) / FS
    z = abs(carrier(rng, n, cnr_db, 4500, 1 + 0.3 * np.sin(2 * np.pi * TONE * t)))
    if agc:
        z = z / sg.lfilter([1 / 4800], [1, -1 + 1 / 4800], z, zi=[1])[0]
    return band(z - np.mean(z), 100, 4000)


def ssb(rng, n, cnr_db):
    t = np.arange(n) / FS
    return np.sin(2 * np.pi * TONE * t) + band(noise(rng, n), 300, 2700) * 10 ** (-cnr_db / 20)


def white(rng, n, cnr_db):
    t = np.arange(n) / FS
    return np.sin(2 * np.pi * TONE * t) + noise(rng, n) * 10 ** (-cnr_db / 20)


SETS = {"white": white, "wide": wide, "narrow": narrow, "am": am, "amagc": lambda r, n, c: am(r, n, c, True), "ssb": ssb}


def recorded(kind, seed, seconds, cnr_db, level_db=-20.0, card_db=-85.0):
    """What a card of that noise records of a set, its settling left out, dithered to 16 bits."""
    rng = np.random.default_rng(seed)
    n = int((seconds + 0.5) * FS)
    x = SETS[kind](rng, n, cnr_db)[int(0.4 * FS):][:int(seconds * FS)]
    x = x / np.sqrt(np.mean(x * x)) * 10 ** (level_db / 20)
    x = x + 10 ** (card_db / 20) * noise(rng, len(x))
    return x, rng


def sixteen(x, rng):
    """Rounded to 16 bits with triangular dither."""
    d = rng.random(len(x)) - rng.random(len(x))
    return np.clip(np.round(x * 32768 + d), -32768, 32767).astype("<i2")


def fitted(x, fs, hz=TONE):
    """Least-squares sine near hz: the tone and what is left."""
    n = len(x)
    t = (np.arange(n) - (n - 1) / 2) / fs
    w = np.hanning(n)
    f = np.fft.rfftfreq(4 * n, 1 / fs)
    p = abs(np.fft.rfft(x * w, 4 * n))
    near = abs(f - hz) < 20
    hz = f[near][np.argmax(p[near])]
    for _ in range(6):
        a = np.stack([np.cos(2 * np.pi * hz * t), np.sin(2 * np.pi * hz * t), np.ones(n)])
        c = np.linalg.solve(a @ a.T, a @ x)
        g = np.vstack([a, 2 * np.pi * t * (c[1] * a[0] - c[0] * a[1])])
        step = np.linalg.solve(g @ g.T, g @ (x - c @ a))[3]
        hz += step
        if abs(step) < 1e-9:
            break
    a = np.stack([np.cos(2 * np.pi * hz * t), np.sin(2 * np.pi * hz * t), np.ones(n)])
    c = np.linalg.solve(a @ a.T, a @ x)
    return c[:2] @ a[:2], x - c @ a, hz


def sinad(x, fs, hz=TONE):
    """10 lg((S+N+D)/(N+D)) within 300 to 3400 Hz, by one plain transform."""
    s, r, _ = fitted(np.asarray(x, float), fs, hz)
    f = np.fft.rfftfreq(len(r), 1 / fs)
    p = abs(np.fft.rfft(r)) ** 2
    nd = p[(f >= 300) & (f <= 3400)].sum() * 2 / len(r) ** 2
    return 10 * np.log10((np.mean(s * s) + nd) / nd)
