#!/usr/bin/env python3
"""Time and memory of `receive` and `verify`, beside hashing and plain decoding of the files.

needs: Python 3.10, Pillow, sha256sum; pictures drawn by draw.py
usage: bench.py CUTBACK PACK_FOLDER PICTURES
"""
import multiprocessing
import os
import pathlib
import resource
import subprocess
import sys
import tempfile
import time

from PIL import Image


def decode(path):
    with Image.open(path) as image:
        image.load()


def timed(name, run):
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    run()
    wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(f"| {name} | {wall:.1f} | {cpu:.1f} | {after.ru_maxrss / 1024:.0f} |")
    return wall


def main():
    cutback, pack, pictures = sys.argv[1:4]
    files = sorted(map(str, pathlib.Path(pictures).glob("*.jpg")))
    size = sum(os.path.getsize(f) for f in files)
    print(f"{len(files)} pictures, {size / 1e6:.0f} MB, {os.cpu_count()} cores\n")
    print("| run | seconds | seconds of processor | most memory so far, MB |\n|---|---|---|---|")
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    with tempfile.TemporaryDirectory() as out:
        receive = [cutback, "receive", pack, "--photos", pictures, "--out", out]
        hashing = timed("sha256sum", lambda: subprocess.run(["sha256sum", *files], **quiet))
        timed("receive, first", lambda: subprocess.run(receive, **quiet))
        timed("receive, again", lambda: subprocess.run(receive, **quiet))
        record = next(pathlib.Path(out).glob("received/*/*/*/record.yaml"))
        verify = [cutback, "verify", str(record), "--pack", pack, "--out", out]
        first = timed("verify, first", lambda: subprocess.run(verify, **quiet))
        again = timed("verify, again", lambda: subprocess.run(verify, **quiet))
        print(f"\nverify again is {again / hashing:.1f} of hashing alone; the first time {first / hashing:.1f}\n")

    def plain():
        with multiprocessing.Pool() as pool:
            pool.map(decode, files)

    timed("plain decode, all cores", plain)


if __name__ == "__main__":
    main()
