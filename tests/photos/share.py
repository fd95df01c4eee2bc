#!/usr/bin/env python3
"""The share of drawn label cards that `receive` reads, by kind of damage.

needs: Python 3.10; pictures drawn by draw.py
usage: share.py CUTBACK PACK_FOLDER PICTURES

Prints a table. Any code read that is not in the picture fails the run.
"""
import csv
import json
import pathlib
import subprocess
import sys
import tempfile
from collections import defaultdict

cutback, pack, pictures = sys.argv[1:4]
with tempfile.TemporaryDirectory() as out:
    run = [cutback, "receive", pack, "--photos", pictures, "--out", out, "--format", "json"]
    done = subprocess.run(run, capture_output=True, text=True)
    if done.returncode == 2:
        sys.exit(done.stderr)
    ledger = json.loads(next(pathlib.Path(out).glob("received/*/*/*/photos.json")).read_text())
read = {name: set(p["codes"]) for p in ledger["pictures"].values() for name in p["names"]}
rows, wrong = defaultdict(lambda: [0, 0, 0]), []
for row in csv.DictReader(open(pathlib.Path(pictures) / "expected.csv")):
    want, got = set(row["codes"].split()), read.get(row["file"], set())
    count = rows[row["kind"]]
    count[0] += 1
    count[1] += got >= want
    count[2] += 0 < len(got & want) < len(want)
    if got - want:
        wrong.append((row["file"], sorted(got - want)))
print("| kind of damage | pictures | all cards read | some | share |\n|---|---|---|---|---|")
for kind, (n, whole, some) in rows.items():
    print(f"| {kind} | {n} | {whole} | {some} | {100 * whole / n:.0f} % |")
total, whole = sum(r[0] for r in rows.values()), sum(r[1] for r in rows.values())
print(f"| all | {total} | {whole} | {sum(r[2] for r in rows.values())} | {100 * whole / total:.1f} % |")
print(f"\ncodes read that are not in the picture: {len(wrong)}")
for name, codes in wrong:
    print(name, *codes)
sys.exit(bool(wrong))
