#!/usr/bin/env python3
"""Whether a folder of issued packs is whole.

    check_issued.py ISSUED

Every line of the register holds the hash of the line before it and names a
folder whose files have the sums that line and SHA256SUMS say. What follows the
last line end was never committed. Prints what is wrong and ends with 1.
"""

import hashlib
import json
import sys
from pathlib import Path

root = Path(sys.argv[1])
wrong = []


def sha(data):
    return hashlib.sha256(data).hexdigest()


register = root / "register.jsonl"
text = register.read_bytes() if register.exists() else b""
lines = text.split(b"\n")[:-1]
before = "0" * 64
named = {}
for number, line in enumerate(lines, 1):
    entry = json.loads(line)
    if entry["previous"] != before:
        wrong.append(f"line {number} does not follow from the one before")
    before = sha(line)
    if "pdf_sha256" not in entry:
        continue  # a sealed record; its hash is part of the chain
    key = (entry["job"], entry["end"], entry["revision"])
    if key in named:
        wrong.append(f"line {number}: {key} stands in the register twice")
    named[key] = entry
for key, entry in named.items():
    folder = root.joinpath(*key)
    sums_of = {"pack.json": "pack_sha256", "pack.pdf": "pdf_sha256", "record.yaml": "record_sha256"}
    for name in (name for name, key in sums_of.items() if entry.get(key)):
        file = folder / name
        want = entry[sums_of[name]]
        if not file.is_file() or sha(file.read_bytes()) != want:
            wrong.append(f"{file}: not as the register says")
    sums = folder / "SHA256SUMS"
    listed = dict(reversed(line.split("  ")) for line in sums.read_text().splitlines()) if sums.is_file() else {}
    if listed.get("pack.json") != entry["pack_sha256"] or listed.get("pack.pdf") != entry["pdf_sha256"]:
        wrong.append(f"{sums}: not as the register says")
print("\n".join(wrong) if wrong else f"whole: {len(named)} packs")
sys.exit(1 if wrong else 0)
