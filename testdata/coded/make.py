"""Makes the recordings in this folder: receivers by sets.py, then coders and suppressors of
other programs (ffmpeg, lame, oggenc, opusenc, libspeexdsp) by process.py.

    python3 make.py              the files kept here, and expected.json
    python3 make.py DIR SEED N   N clean recordings of every kind and variant into DIR,
                                 and each coder and suppressor once: for long runs
"""
import json
import os
import sys

import numpy as np

import process
import sets

KEPT = [  # file, receiver, noise, seed, what happened to it
    ("mp3", "wide", 14, 1, "mp3_64"),
    ("aac", "wide", 12, 2, "aac64"),
    ("vorbis", "am", 30, 3, "vorbis3"),
    ("opus", "wide", 12, 4, "opus64"),
    ("suppressed", "narrow", 6, 5, "afftdn30"),
    ("hole", "wide", 6, 6, "speexdsp15"),
    ("clean", "narrow", 6, 5, "raw"),
]


def processed(kind, cnr, seed, name, seconds, lead=5.0):
    """The last seconds of a sound that was worked on from lead before, and its SINAD before and after."""
    x, rng = sets.recorded(kind, seed, seconds + 0.2 + lead, cnr)
    x = sets.sixteen(x, rng)
    y, fs = process.ALL[name](x, sets.FS)
    if np.asarray(y).dtype != np.dtype("<i2"):
        y = sets.sixteen(np.asarray(y), rng)

    def last(z, rate):
        n, end = int(seconds * rate), int(0.25 * rate)
        return z[len(z) - n - end : len(z) - end]

    y = last(y, fs)
    return y, fs, sets.sinad(last(x, sets.FS) / 32768, sets.FS), sets.sinad(y / 32768, fs)


def keep():
    expected = {}
    for file, kind, cnr, seed, name in KEPT:
        y, fs, before, after = processed(kind, cnr, seed, name, 3.0)
        process.write(file + ".wav", y, fs)
        process.run("ffmpeg", "-y", "-i", file + ".wav", "-map_metadata", "-1", "-compression_level", "12", file + ".flac")
        os.remove(file + ".wav")
        expected[file] = {"receiver": kind, "through": name, "sinad_before": round(before, 4), "sinad_after": round(after, 4)}
    with open("expected.json", "w") as f:
        json.dump(expected, f, indent=1)
        f.write("\n")


def many(folder, seed, each):
    os.makedirs(folder, exist_ok=True)
    rng = np.random.default_rng(seed)
    rows = []
    todo = [(kind, name) for _ in range(each) for kind in sets.SETS for name in process.CLEAN]
    todo += [(kind, name) for kind in sets.SETS for name in process.WORKED]
    for kind, name in todo:
        seed += 1
        clean = name in process.CLEAN
        y, fs, before, after = processed(kind, float(rng.uniform(5, 32)), seed, name, 4.6, 0.2 if clean else 5.0)
        file = "%s_%d__%s.wav" % (kind, seed, name)
        process.write(os.path.join(folder, file), y, fs)
        rows.append({"file": file, "sinad_before": before, "sinad_after": after, "clean": clean})
        if len(rows) % 36 == 0 or len(rows) == len(todo):
            with open(os.path.join(folder, "sinad.json"), "w") as f:
                json.dump(rows, f, indent=1)


if __name__ == "__main__":
    if len(sys.argv) == 4:
        many(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]))
    else:
        keep()
