"""Coders and suppressors by other programs and by textbook formulae, each a function of samples and rate."""
import ctypes
import os
import subprocess
import tempfile

import numpy as np
import scipy.io.wavfile as wavfile
import scipy.signal as sg
from scipy.special import exp1

import sets


def write(path, x, fs):
    y = x if x.dtype == np.dtype("<i2") else np.clip(np.round(x * 32768), -32768, 32767).astype("<i2")
    wavfile.write(path, fs, y)


def read(path):
    fs, y = wavfile.read(path)
    return y, fs


def run(*cmd):
    subprocess.run(cmd, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def coded(x, fs, ext, args, rate=None, before=()):
    """Through a coder of ffmpeg and back to 16 bits."""
    with tempfile.TemporaryDirectory() as d:
        a, c, b = d + "/a.wav", d + "/c." + ext, d + "/b.wav"
        write(a, x, fs)
        run("ffmpeg", "-y", "-i", a, *(["-ar", str(rate)] if rate else []), *args.split(), c)
        run("ffmpeg", "-y", *before, "-i", c, "-c:a", "pcm_s16le", b)
        return read(b)


def lame(x, fs, *args):
    with tempfile.TemporaryDirectory() as d:
        write(d + "/a.wav", x, fs)
        run("lame", *args, d + "/a.wav", d + "/a.mp3")
        run("lame", "--decode", d + "/a.mp3", d + "/b.wav")
        return read(d + "/b.wav")


def oggenc(x, fs, q):
    with tempfile.TemporaryDirectory() as d:
        write(d + "/a.wav", x, fs)
        run("oggenc", "-q", str(q), "-o", d + "/a.ogg", d + "/a.wav")
        run("oggdec", "-o", d + "/b.wav", d + "/a.ogg")
        return read(d + "/b.wav")


def opusenc(x, fs, kbps, *args):
    with tempfile.TemporaryDirectory() as d:
        write(d + "/a.wav", x, fs)
        run("opusenc", "--bitrate", str(kbps), *args, d + "/a.wav", d + "/a.opus")
        run("opusdec", "--rate", "48000", d + "/a.opus", d + "/b.wav")
        return read(d + "/b.wav")


def filtered(x, fs, af):
    with tempfile.TemporaryDirectory() as d:
        write(d + "/a.wav", x, fs)
        run("ffmpeg", "-y", "-i", d + "/a.wav", "-af", af, "-ar", str(fs), "-c:a", "pcm_s16le", d + "/b.wav")
        return read(d + "/b.wav")


def profiled(x, fs, amount):
    """sox noisered with the profile of what is left beside the tone."""
    with tempfile.TemporaryDirectory() as d:
        write(d + "/a.wav", x, fs)
        write(d + "/n.wav", sets.fitted(x / 32768, fs)[1], fs)
        run("sox", d + "/n.wav", "-n", "noiseprof", d + "/p")
        run("sox", d + "/a.wav", d + "/b.wav", "noisered", d + "/p", str(amount))
        return read(d + "/b.wav")


def speexdsp(x, fs, db):
    """The preprocessor of libspeexdsp, frames of 20 ms, its denoiser alone."""
    s = ctypes.CDLL("libspeexdsp.so.1")
    s.speex_preprocess_state_init.restype = ctypes.c_void_p
    n = fs // 50
    st = ctypes.c_void_p(s.speex_preprocess_state_init(n, fs))
    for request, value in ((0, 1), (18, -db)):  # SET_DENOISE, SET_NOISE_SUPPRESS
        v = ctypes.c_int(value)
        s.speex_preprocess_ctl(st, request, ctypes.byref(v))
    y = np.array(x, "<i2").copy()
    for i in range(0, len(y) - n + 1, n):
        s.speex_preprocess_run(st, y[i:].ctypes.data_as(ctypes.c_void_p))
    s.speex_preprocess_state_destroy(st)
    return y, fs


def subtracted(x, fs, db, frame=1024):
    """Spectral subtraction: cells that do not stand up are taken down by so many dB."""
    _, _, z = sg.stft(x / 32768, fs, nperseg=frame)
    m = abs(z)
    gain = np.where(m > 6 * np.median(m[: frame // 12]), 1, 10 ** (-db / 20))
    return sg.istft(z * gain, fs, nperseg=frame)[1][: len(x)], fs


def logmmse(x, fs, floor_db, ms, alpha=0.98):
    """Log-spectral amplitude estimator (Ephraim and Malah 1985), decision-directed."""
    n = int(ms * fs / 1000)
    h = n // 2
    w = np.sqrt(sg.get_window("hann", n))
    at = range(0, len(x) - n, h)
    z = np.array([np.fft.rfft(x[i : i + n] / 32768 * w) for i in at])
    p = abs(z) ** 2
    floor = np.median(p[:60], axis=0) / np.log(2)
    floor = np.minimum(floor, sg.medfilt(floor, 31) * 1.5) + 1e-20
    before = np.zeros(p.shape[1])
    y = np.zeros(len(x))
    for k, i in enumerate(at):
        post = np.minimum(p[k] / floor, 1e4)
        prior = np.maximum(alpha * before + (1 - alpha) * np.maximum(post - 1, 0), 10**-2.5)
        v = prior / (1 + prior) * post
        g = np.clip(prior / (1 + prior) * np.exp(0.5 * exp1(np.maximum(v, 1e-8))), 10 ** (floor_db / 20), 1)
        before = g * g * post
        y[i : i + n] += np.fft.irfft(z[k] * g, n) * w
    return y, fs


def enhancer(x, fs, to, taps, mu):
    """Adaptive line enhancer: normalised LMS on the sound 3 ms before (Widrow 1975)."""
    x = sg.resample_poly(x / 32768, to, fs)
    gap = 24 * to // 8000
    w = np.zeros(taps)
    y = np.zeros(len(x))
    p = np.mean(x * x) * taps
    for i in range(taps + gap, len(x)):
        u = x[i - gap : i - gap - taps : -1]
        y[i] = w @ u
        w += mu / p * (x[i] - y[i]) * u
    return y, to


CODERS = {
    "aac32": lambda x, fs: coded(x, fs, "m4a", "-c:a aac -b:a 32k"),
    "aac64": lambda x, fs: coded(x, fs, "m4a", "-c:a aac -b:a 64k"),
    "aac96": lambda x, fs: coded(x, fs, "m4a", "-c:a aac -b:a 96k"),
    "aac128": lambda x, fs: coded(x, fs, "m4a", "-c:a aac -b:a 128k"),
    "aac64_44": lambda x, fs: coded(x, fs, "m4a", "-c:a aac -b:a 64k", 44100),
    "mp3_32": lambda x, fs: lame(x, fs, "-b", "32", "--resample", "48"),
    "mp3_64": lambda x, fs: lame(x, fs, "-b", "64", "--resample", "48"),
    "mp3_128": lambda x, fs: lame(x, fs, "-b", "128"),
    "mp3_v2": lambda x, fs: lame(x, fs, "-V2"),
    "mp3_128_44": lambda x, fs: coded(x, fs, "mp3", "-c:a libmp3lame -b:a 128k", 44100),
    "vorbis0": lambda x, fs: oggenc(x, fs, 0),
    "vorbis3": lambda x, fs: oggenc(x, fs, 3),
    "vorbis6": lambda x, fs: oggenc(x, fs, 6),
    "opus24": lambda x, fs: opusenc(x, fs, 24, "--music"),
    "opus32": lambda x, fs: opusenc(x, fs, 32, "--music"),
    "opus64": lambda x, fs: opusenc(x, fs, 64, "--music"),
    "opus96": lambda x, fs: opusenc(x, fs, 96, "--music"),
    "opusvoice16": lambda x, fs: opusenc(x, fs, 16, "--speech"),
    "gsm": lambda x, fs: coded(x, fs, "gsm", "-c:a libgsm", 8000, ["-f", "gsm"]),
    "speex24": lambda x, fs: coded(x, fs, "spx", "-c:a libspeex -b:a 24k", 16000),
    "mulaw": lambda x, fs: coded(x, fs, "wav", "-c:a pcm_mulaw", 8000),
}

KEEPERS = {  # suppressors that keep the tone
    "afftdn12": lambda x, fs: filtered(x, fs, "afftdn=nr=12:nf=-30:tn=1"),
    "afftdn30": lambda x, fs: filtered(x, fs, "afftdn=nr=30:nf=-25"),
    "specsub3": lambda x, fs: subtracted(x, fs, 3),
    "specsub6": lambda x, fs: subtracted(x, fs, 6),
    "specsub12": lambda x, fs: subtracted(x, fs, 12),
    "logmmse15": lambda x, fs: logmmse(x, fs, -15, 32),
    "logmmse15_10": lambda x, fs: logmmse(x, fs, -15, 10),
    "wiener12": lambda x, fs: logmmse(x, fs, -12, 20, 0.9),
    "soxnr10": lambda x, fs: profiled(x, fs, 0.1),
    "soxnr21": lambda x, fs: profiled(x, fs, 0.21),
    "ale8_64": lambda x, fs: enhancer(x, fs, 8000, 64, 0.02),
    "ale8_32": lambda x, fs: enhancer(x, fs, 8000, 32, 0.03),
    "ale16_64": lambda x, fs: enhancer(x, fs, 16000, 64, 0.02),
}

TAKERS = {  # those that take the tone for noise once settled
    "speexdsp15": lambda x, fs: speexdsp(x, fs, 15),
    "speexdsp30": lambda x, fs: speexdsp(x, fs, 30),
}


def resampled(x, fs, to):
    g = np.gcd(fs, to)
    return sg.resample_poly(x / 32768, to // g, fs // g), to


CLEAN = {
    "raw": lambda x, fs: (x, fs),
    "r44": lambda x, fs: resampled(x, fs, 44100),
    "r16": lambda x, fs: resampled(x, fs, 16000),
    "r8": lambda x, fs: resampled(x, fs, 8000),
    "bits8": lambda x, fs: (np.round(x / 32768 * 128 * min(4, 0.9 * 32768 / max(abs(x)))) / 128, fs),
    "n2700": lambda x, fs: (sg.sosfilt(sg.ellip(6, 0.5, 50, [300, 2700], "band", fs=fs, output="sos"), x / 32768), fs),
    "n1800": lambda x, fs: (sg.sosfilt(sg.butter(2, [500, 1800], "band", fs=fs, output="sos"), x / 32768), fs),
    "n1300": lambda x, fs: (sg.sosfilt(sg.butter(3, [700, 1300], "band", fs=fs, output="sos"), x / 32768), fs),
    "quiet": lambda x, fs: (x / 32768 * 0.05, fs),
    "hum": lambda x, fs: (x / 32768 + 0.01 * np.sin(2 * np.pi * 50 * np.arange(len(x)) / fs) + 0.01 * np.sin(2 * np.pi * 150 * np.arange(len(x)) / fs), fs),
    "soft": lambda x, fs: (np.tanh(x / 32768 * 6) / 6, fs),
    "fade": lambda x, fs: (x / 32768 * (1 + 0.03 * np.sin(2 * np.pi * 5 * np.arange(len(x)) / fs)), fs),
}
WORKED = {**CODERS, **KEEPERS, **TAKERS}
ALL = {**WORKED, **CLEAN}
