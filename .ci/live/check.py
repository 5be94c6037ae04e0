#!/usr/bin/env python3
"""Follows the live bench on a real sound server without hardware: a null sink
whose monitor is recorded.

    check.py HISSPOINT DEMO WORK [--update]

HISSPOINT is the program, DEMO a folder that its demo has written, WORK an empty
folder. --update writes the golden screens anew: look at them before committing.
"""
import os, time

from bench import Server, mine, say, tone, work, write
from jobs import auto, chapter, limited, played, sounded, stepped, walked
from recording import devices, full, killed, lost, recorded
from watching import cost, heard, peaked, screens, steady



def bench_of_jobs():
    s = Server("jobs")
    played(s)
    limited(s)
    sounded(s)
    stepped(s)
    auto(s)
    playing = s.play("hour.wav")
    walked(s)
    playing.kill()
    time.sleep(1)  # what the server still holds of it
    chapter(s)


def bench_of_sounds():
    s = Server("bench")
    devices(s)
    recorded(s)
    peaked(s)
    steady(s)
    heard(s)
    full(s)
    killed(s)
    lost(s)


try:
    write(os.path.join(work, "hour.wav"), tone(2), 45)
    # One after the other: the null sink loses samples where something else is busy.
    bench_of_jobs()
    bench_of_sounds()
    alone = Server("alone")
    playing = cost(alone)
    screens(alone)
    say("all of the live bench")
finally:
    for p in reversed(mine):
        if p.poll() is None:
            p.kill()
            p.wait()
