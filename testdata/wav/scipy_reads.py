#!/usr/bin/env python3
"""Prints how scipy reads WAVE files, one JSON object a line: file, rate and
samples (full scale +-1, a list for each channel) or the error.

Without arguments it reads the odd files that scipy tests itself with.
"""
import glob, json, os, sys, warnings
import scipy.io
from scipy.io import wavfile

warnings.simplefilter("ignore")
here = os.path.join(os.path.dirname(scipy.io.__file__), "tests", "data", "*.wav")
for path in sys.argv[1:] or sorted(glob.glob(here)):
    try:
        rate, y = wavfile.read(path)
    except Exception as e:
        print(json.dumps({"file": path, "error": str(e)}))
        continue
    y = y.reshape(len(y), -1)
    if y.dtype.kind == "u":
        y = (y.astype(float) - 128) / 128
    elif y.dtype.kind == "i":
        y = y.astype(float) / 2.0 ** (8 * y.dtype.itemsize - 1)
    print(json.dumps({"file": path, "rate": rate, "samples": y.astype(float).T.tolist()}))
