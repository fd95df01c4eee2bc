#!/usr/bin/env python3
"""Time and memory of `receive` and `verify`, beside hashing and plain decoding of the
same files on the same cores in the same run.

needs: Python 3.10; sha256sum and xargs; Pillow (libjpeg-turbo) for plain decoding;
       pictures drawn by draw.py, for 4 MB each:
         draw.py PACK/pack.json DIR --seed 77 --list --width 6720
         draw.py PACK/pack.json DIR --seed 78 --kinds plain --each 106 --width 6720
usage: bench.py CUTBACK PACK_FOLDER PICTURES [ROUNDS]

Every round hashes, decodes, receives and verifies by turns, so that a machine whose
speed drifts slows all of them; least and most of the rounds are printed, ratios are of
the least. Wants an idle machine: it prints the load it found.
"""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time

DECODE = "import sys\nfrom PIL import Image\nfor f in sys.argv[1:]: Image.open(f).load()\n"


class Runs:
    """Seconds, seconds of processor and memory of one thing, over the rounds."""

    def __init__(self, name):
        self.name, self.wall, self.cpu, self.memory = name, [], [], 0

    def take(self, command, stdin=None):
        start = time.perf_counter()
        with open(os.devnull, "w") as nowhere:
            child = subprocess.Popen(command, stdin=stdin, stdout=nowhere, stderr=nowhere)
            _, status, used = os.wait4(child.pid, 0)
        if os.waitstatus_to_exitcode(status) not in (0, 1):
            sys.exit(f"{self.name} failed: {command[:3]}")
        self.wall.append(time.perf_counter() - start)
        self.cpu.append(used.ru_utime + used.ru_stime)
        self.memory = max(self.memory, used.ru_maxrss / 1024)

    def row(self):
        least, most = min(self.wall), max(self.wall)
        return f"| {self.name} | {least:.2f} – {most:.2f} | {min(self.cpu):.2f} | {self.memory:.0f} |"


def main():
    cutback, pack, pictures = sys.argv[1:4]
    rounds = int(sys.argv[4]) if len(sys.argv) > 4 else 3
    files = sorted(map(str, pathlib.Path(pictures).resolve().glob("*.jpg")))
    size = sum(os.path.getsize(f) for f in files)
    cores = os.cpu_count()
    print(f"{len(files)} pictures, {size / len(files) / 1e6:.1f} MB each; {cores} cores, load {os.getloadavg()[0]:.1f}; {rounds} rounds\n")
    hashing, decoding = Runs("sha256sum, all cores"), Runs("plain decoding, all cores")
    taken, again = Runs("receive, first"), Runs("receive, nothing new")
    judged, stood = Runs("verify, first"), Runs("verify, nothing changed")

    def spread(runs, command):
        """The command over all files, a share of them at a time on every core."""
        with tempfile.TemporaryFile() as names:
            names.write(b"\0".join(f.encode() for f in files))
            names.seek(0)
            runs.take(["xargs", "-0", "-P", str(cores), "-n", str(-(-len(files) // (4 * cores))), *command], names)

    for file in files:
        pathlib.Path(file).read_bytes()
    for _ in range(rounds):
        out = tempfile.mkdtemp()
        spread(hashing, ["sha256sum"])
        spread(decoding, [sys.executable, "-c", DECODE])
        receive = [cutback, "receive", pack, "--photos", pictures, "--out", out]
        taken.take(receive)
        again.take(receive)
        record = next(pathlib.Path(out).glob("received/*/*/*/record.yaml"))
        verify = [cutback, "verify", str(record), "--pack", pack, "--out", out]
        judged.take(verify)
        stood.take(verify)
        shutil.rmtree(out)
    print("| run | seconds | of processor | most memory, MB |\n|---|---|---|---|")
    for runs in (hashing, decoding, taken, again, judged, stood):
        print(runs.row())
    h, d = min(hashing.wall), min(decoding.wall)
    print()
    for name, ours, peer, goal in [
        ("receive, first, of hashing and decoding", taken, h + d, None),
        ("receive again, of hashing alone", again, h, None),
        ("verify, first, of hashing and decoding", judged, h + d, None),
        ("verify again, of hashing alone", stood, h, 1.3),
    ]:
        print(f"{name}: {min(ours.wall) / peer:.2f}" + (f" (goal {goal})" if goal else ""))


if __name__ == "__main__":
    main()
