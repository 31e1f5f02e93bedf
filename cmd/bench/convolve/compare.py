#!/usr/bin/env python3
"""Convolve the same minute of sound with the same stereo response of 8 s by this package,
by scipy.signal.oaconvolve (float64 and float32) and by ffmpeg's afir filter, each on one core,
and print nanoseconds per sample of stereo output and the ratios.

Usage, at the top of the repository (needs python3 with numpy and scipy, ffmpeg, taskset):
    python3 cmd/bench/convolve/compare.py [--seconds 60] [--response 8] [--core 0]

Processor time is counted, rounds are taken in turn and the best of each tool counts, so that a
busy machine harms none of them more than the others. From the commands the time of the same
command without the convolution is taken off.
"""
import argparse
import os
import resource
import shutil
import subprocess
import tempfile
import time

import numpy as np
import scipy
import scipy.io.wavfile
import scipy.signal

RATE = 48000


def children():
    r = resource.getrusage(resource.RUSAGE_CHILDREN)
    return r.ru_utime + r.ru_stime


def main():
    p = argparse.ArgumentParser()
    p.add_argument("--seconds", type=int, default=60)
    p.add_argument("--response", type=int, default=8)
    p.add_argument("--core", type=int, default=0)
    p.add_argument("--rounds", type=int, default=5)
    a = p.parse_args()
    os.sched_setaffinity(0, {a.core})
    n = a.seconds * RATE
    rng = np.random.default_rng(1)
    x = rng.standard_normal((1, n)) * 0.05
    h = rng.standard_normal((2, a.response * RATE)) * np.exp(-6.9 * np.arange(a.response * RATE) / (a.response * RATE)) * 0.01
    x32, h32 = x.astype(np.float32), h.astype(np.float32)
    times = {k: [] for k in ("float64 here", "float32 here", "oaconvolve float64", "oaconvolve float32", "afir")}

    with tempfile.TemporaryDirectory() as d:
        ours = os.path.join(d, "convbench")
        subprocess.run(["go", "build", "-o", ours, "./cmd/bench/convolve"], check=True)
        ffmpeg = shutil.which("ffmpeg")
        if ffmpeg:
            scipy.io.wavfile.write(f"{d}/x.wav", RATE, np.repeat(x32.T, 2, axis=1))
            scipy.io.wavfile.write(f"{d}/h.wav", RATE, h32.T)

        def run_ffmpeg(graph):
            t = children()
            subprocess.run([ffmpeg, "-v", "error", "-threads", "1", "-filter_complex_threads", "1", "-i", f"{d}/x.wav", "-i", f"{d}/h.wav",
                            "-filter_complex", graph, "-f", "null", "-"], check=True)
            return children() - t

        def run_ours(single, seconds):
            t = children()
            subprocess.run([ours, f"-seconds={seconds}", f"-response={a.response}", f"-single={single}"], check=True,
                           stdout=subprocess.DEVNULL, env=dict(os.environ, GOMAXPROCS="1"))
            return children() - t

        for _ in range(a.rounds):
            for name, single in (("float64 here", "false"), ("float32 here", "true")):
                times[name].append((run_ours(single, a.seconds), run_ours(single, 0)))
            for name, u, v in (("oaconvolve float64", x, h), ("oaconvolve float32", x32, h32)):
                t = time.process_time()
                scipy.signal.oaconvolve(u, v, axes=-1)
                times[name].append((time.process_time() - t, 0))
            if ffmpeg:
                times["afir"].append((run_ffmpeg("[0:a][1:a]afir=gtype=none"), run_ffmpeg("[0:a]anull[a];[1:a]anullsink;[a]anull")))

    # oaconvolve also computes the tail of the response.
    samples = {k: n for k in times}
    samples["oaconvolve float64"] = samples["oaconvolve float32"] = n + a.response * RATE
    print(f"{a.seconds} s of sound, response {a.response} s, {RATE} Hz, one core; scipy {scipy.__version__}")
    ns = {k: (min(t for t, _ in v) - min(o for _, o in v)) / samples[k] * 1e9 for k, v in times.items() if v}
    for k, v in ns.items():
        print(f"{k:20s} {v:8.1f} ns/sample   {v / ns['float64 here']:6.2f} x float64 here   {v / ns['float32 here']:6.2f} x float32 here")


if __name__ == "__main__":
    main()
