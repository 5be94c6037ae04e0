#!/usr/bin/env python3
"""Runs the builds that are not the default: linux/arm64 under qemu, Linux with
ALSA's own sound onto a sound server without hardware, and the Windows program
under wine, with and without sound.

    check.py DIST DEMO WORK

DIST holds the programs as make dist writes them (and hisspoint-nosound.exe), DEMO
is a folder that the demo has written, WORK an empty folder.
"""
import os, sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import common, elsewhere, windows

dist, demo, work = (os.path.abspath(p) for p in sys.argv[1:4])
try:
    elsewhere.arm64(dist, demo, work)
    elsewhere.alsa(dist, work)
    windows.checks(dist, demo, work)
    common.say("all builds ran")
finally:
    common.stop()
    windows.stop()
