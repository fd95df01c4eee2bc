#!/usr/bin/env python3
"""Untrusted text reaches paper as text.

    untrusted.py BINARY [RUNS]

Fills every text of the sound jobs with random characters of the fonts and with
layout, template and YAML syntax, prints a draft, and looks for each text as
itself: in pack.json, and in the words that poppler finds in the PDF. Then one
character from outside the fonts goes into each text in turn, and has to be
refused by name. Ends with 1 where a text came out as another.
"""

import json
import random
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import pikepdf

binary = Path(sys.argv[1]).resolve()
runs = int(sys.argv[2]) if len(sys.argv) > 2 else 6
root = Path(__file__).resolve().parent.parent
LETTERS = (
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
    "äöüßéèñçøåæłžščőřđÄÖÜÉÑØÅ" "αβγδεζηθλμπσφωΔΣΩ" "абвгдежзиклмнопрстуфхцчшщъыьэюяЖЯ"
    ".,;:!?()[]{}<>/|@#$%^&*_-+=~`'\"°²³µ§±×÷–—“”„€£"
)
SYNTAX = [
    "#panic()", "#pagebreak()", "$x^2$", "*b*", "_i_", "@ref", "<label>", "= Head", "- item", "+ item", "~", "---",
    "...", "\\u{41}", "\\n", "//", "/* c */", "`raw`", "```x```", "[c]", "#let x = 1", "#import \"/pack.json\": *",
    "{{ job.number }}", "{% raw %}", "{# c #}", "{{ 7 * 7 }}", "&amp;", "<b>b</b>", "]]>", "%PDF", "(())", "--", "'q'",
    "fi ffl", "->", "=>", "!=", ">=", "1x2", "http://a.b/c", "C:\\dir", "a:b", "null", "none of it", "yes", "2031-01-01",
]
# Texts by their key; names of folders, units, choices and dates are no free text.
KEYS = (
    "name|asset|place|far_end|phase_map|emergency_point|end_name|device|earth|low_voltage|access|"
    "shelter|point|source|solvent|far_end_guard|contact|note|permit"
)
failed = 0


def wrong(what):
    global failed
    failed += 1
    print("FAILED", what)


def text_of(dice):
    """A text of the fonts' characters and of syntax, apart from all others."""
    parts = []
    for _ in range(dice.randint(1, 5)):
        if dice.random() < 0.5:
            parts.append(dice.choice(SYNTAX))
        else:
            parts.append("".join(dice.choice(LETTERS) for _ in range(dice.randint(1, 14))))
    return f"Q{dice.randrange(10**6):06d} " + " ".join(parts)


def filled(text, make):
    """The job with every free text replaced; and the texts put in."""
    given = []

    def put(found):
        new = make(found.group(0))
        if new is None:
            return found.group(0)
        given.append(new)
        return found.group(1) + json.dumps(new, ensure_ascii=False)

    value = r"\"[^\"\n]*\"|[^,{}\[\]\n\"#]+"
    out = re.sub(rf"((?<![\w.])(?:{KEYS}):\s+)({value})(?=[,}}\n])", put, text)
    return out, given


def plain(text):
    # The layout lets long words break at blanks of no width; they are no text.
    return re.sub(r"[\s\u200b]+", "", text)


def strings(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from strings(one)
    elif isinstance(value, list):
        for one in value:
            yield from strings(one)


def issue(work, text):
    job = work / "job.yaml"
    job.write_text(text, encoding="utf-8")
    return subprocess.run(
        [binary, "issue", "--draft", "--out", str(work), "--library", str(root / "jobs/library"), str(job)],
        capture_output=True, text=True,
    )


dice = random.Random(20310428)
tried = in_json = on_paper = 0
for run in range(runs):
    sound = (root / "jobs/demo" / ("D-2201-P4.yaml", "K-0417-P1.yaml")[run % 2]).read_text(encoding="utf-8")
    # Acceptances lapse when names change: a draft prints all the same.
    text, given = filled(sound, lambda _: text_of(dice))
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        done = issue(work, text)
        packs = list(work.glob("drafts/*/*/*/*.pdf"))
        if not packs:
            wrong(f"run {run}: no draft: {done.stdout[-400:]} {done.stderr[-400:]}")
            continue
        with pikepdf.open(packs[0]) as pdf:
            pack = json.loads(list(pdf.attachments.values())[0].get_file().read_bytes())
        words = ""
        for how in ("-raw", "-layout"):
            words += plain(subprocess.run(["pdftotext", how, packs[0], "-"], capture_output=True, text=True).stdout)
        kept = list(strings(pack))
        for one in given:
            tried += 1
            # A trimmed text is the same text.
            one = one.strip()
            mark = one.split(" ")[0]
            holders = [s for s in kept if mark in s]
            if not holders:
                continue  # no page and no fact prints this key
            in_json += 1
            if not any(one in s for s in holders):
                wrong(f"run {run}: in pack.json as another: {one!r}: {holders[0]!r}")
            if plain(mark) in words:
                on_paper += 1
                if plain(one) not in words:
                    at = words.index(plain(mark))
                    wrong(f"run {run}: on paper as another: {one!r}: {words[at:at + len(plain(one)) + 12]!r}")

# One character from outside, in each text in turn.
outside = ["\u6f22", "\u202e", "\u200b", "\ue000", "\U0001f600", "\u2066", "\ufeff"]
sound = (root / "jobs/demo/D-2201-P4.yaml").read_text(encoding="utf-8")
_, all_texts = filled(sound, lambda _: "x")
refused = 0
for target in range(len(all_texts)):
    char = outside[target % len(outside)]
    number = iter(range(len(all_texts)))
    text, _ = filled(sound, lambda found: f"one {char} two" if next(number) == target else None)
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / "job.yaml"
        job.write_text(text, encoding="utf-8")
        done = subprocess.run(
            [binary, "check", "--library", str(root / "jobs/library"), str(job)], capture_output=True, text=True
        )
    if done.returncode == 1 and f"U+{ord(char):04X}" in done.stdout:
        refused += 1
    else:
        wrong(f"text {target} takes U+{ord(char):04X}: {done.stdout[-300:]}")
print(f"untrusted text: {tried} texts in {runs} packs, {in_json} in pack.json, {on_paper} on paper as themselves;")
print(f"{refused} of {len(all_texts)} with a character from outside refused by name; {failed} failed")
sys.exit(1 if failed or on_paper < runs * 8 else 0)
