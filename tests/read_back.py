#!/usr/bin/env python3
"""Reads an issued pack with readers that are not ours.

    read_back.py FOLDER

FOLDER holds pack.pdf, pack.json and SHA256SUMS. The words come from poppler
(pdftotext), the structure from qpdf's library (pikepdf). What the files claim to
be, PDF/A-3a (ISO 19005-3:2012) and PDF/UA-1 (ISO 14289-1:2014), is looked at
clause by clause as far as a structure can be read; no full validator is to be
had from the registries. Clauses are named from memory.

Prints one line a check and ends with 1 where one fails.
"""

import json
import re
import subprocess
import sys
from pathlib import Path

import pikepdf

folder = Path(sys.argv[1])
pdf_path = folder / "pack.pdf"
pack = json.loads((folder / "pack.json").read_text(encoding="utf-8"))
pdf = pikepdf.open(pdf_path)
root = pdf.Root
failed = 0


def check(what, good, detail=""):
    """Prints how one check came out; a failed one is told with its detail."""
    global failed
    failed += not good
    print(f"{'ok    ' if good else 'FAILED'} {what}" + (f": {detail}" if detail else ""))


# ------------------------------------------------------------------- the words

pages = subprocess.run(
    ["pdftotext", "-layout", str(pdf_path), "-"], capture_output=True, check=True, text=True
).stdout.split("\f")[:-1]


def plain(text):
    """Letters and figures alone: lines break and gaps differ, words do not."""
    return re.sub(r"[\s\u00a0\u202f\u00ad]+", "", text)


# Columns beside each other mix their lines; in reading order they do not.
raw = subprocess.run(
    ["pdftotext", "-raw", str(pdf_path), "-"], capture_output=True, check=True, text=True
).stdout.split("\f")[:-1]
flat = [plain(a) + plain(b) for a, b in zip(pages, raw)]


def texts(value):
    """Every text of a part of the pack."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts(inner)


summary = [t for key, value in pack["summary"].items() if key != "drawing" for t in texts(value)]
best = max(range(len(flat)), key=lambda i: sum(plain(t) in flat[i] for t in summary))
missing = [t for t in summary if plain(t) not in flat[best]]
check(f"summary on page {best + 1} says all {len(summary)} texts of the pack", not missing, missing or "")

whole = "".join(flat)
basis = [t for t in texts(pack["basis"]) if re.search(r"\d", t)]
missing = [t for t in basis if plain(t) not in whole]
check(f"every one of {len(basis)} figures of the basis is in the text", not missing, missing[:5] or "")

named = [str(pack["job"][key]) for key in ("number", "revision", "end")]
loose = [i + 1 for i, page in enumerate(flat) if not all(plain(n) in page for n in named)]
check("every page names job, revision and end", not loose, loose or "")

# Footers: "page 3 of 23", "page C1 of C7", "page A1 of A15".
parts = {}
for page in pages:
    found = re.findall(r"page ([A-Z]?)(\d+) of ([A-Z]?)(\d+)", page)
    if found:
        letter, number, _, last = found[-1]
        parts.setdefault((letter, int(last)), []).append(int(number))
numbered = all(numbers == list(range(1, last + 1)) for (_, last), numbers in parts.items())
count = sum(last for _, last in parts)
check(
    "page count",
    numbered and len(parts) == len({letter for letter, _ in parts}) and count == len(pdf.pages) == len(pages),
    f"{len(pdf.pages)} pages, numbered " + ", ".join(f"{l}1 to {l}{n}" for l, n in parts),
)
boxes = whole.count("\ufffd")
check("no character without a glyph", boxes == 0, boxes or "")

# ------------------------------------------------------------- the attachment

attached = list(pdf.attachments.items())
same = len(attached) == 1 and attached[0][1].get_file().read_bytes() == (folder / "pack.json").read_bytes()
check("the one attachment is pack.json, byte for byte", same)
af = root.get("/AF", pikepdf.Array())
check("attachment named as source of the document (A-3 6.8)",
      len(af) == 1 and af[0].get("/AFRelationship") == pikepdf.Name.Source)

# ------------------------------------------------------------------ PDF/A-3a

with pdf.open_metadata() as meta:
    claims = [meta.get(k) for k in ("pdfaid:part", "pdfaid:conformance", "pdfuaid:part")]
    title = meta.get("dc:title")
check("claims PDF/A-3a and PDF/UA-1 (A-3 6.6.4, UA-1 5)", claims == ["3", "A", "1"], claims)
check("no encryption, an identifier (A-3 6.1.3)", not pdf.is_encrypted and "/ID" in pdf.trailer)
intents = list(root.get("/OutputIntents", []))
check("output intent with a profile (A-3 6.2.3)",
      any(i.get("/S") == pikepdf.Name.GTS_PDFA1 and "/DestOutputProfile" in i for i in intents))
names = root.get("/Names", pikepdf.Dictionary())
active = [k for k in ("/OpenAction", "/AA", "/AcroForm", "/XFA", "/Perms") if k in root]
check("no scripts, forms or actions (A-3 6.5, 6.4)", not active and "/JavaScript" not in names, active or "")

fonts = {}
for page in pdf.pages:
    for font in (page.get("/Resources", {}).get("/Font", {}) or {}).values():
        fonts[font.objgen] = font
bad = []
for font in fonts.values():
    inner = font.DescendantFonts[0] if "/DescendantFonts" in font else font
    described = inner.get("/FontDescriptor", {})
    if not any(k in described for k in ("/FontFile", "/FontFile2", "/FontFile3")) or "/ToUnicode" not in font:
        bad.append(str(font.get("/BaseFont")))
check(f"all {len(fonts)} fonts embedded, with their characters (A-3 6.2.11)", fonts and not bad, bad or "")

# ------------------------------------------------------------------ PDF/UA-1

check("language (UA-1 7.2)", str(root.get("/Lang", "")) != "", str(root.get("/Lang", "")))
check("marked, with a structure tree (UA-1 7.1)",
      bool(root.get("/MarkInfo", {}).get("/Marked", False)) and "/StructTreeRoot" in root)
check("title, and shown (UA-1 7.1)",
      bool(title) and bool(root.get("/ViewerPreferences", {}).get("/DisplayDocTitle", False)), title)

STANDARD = set(
    "Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private H H1 H2 H3 H4 H5 H6 P L LI "
    "Lbl LBody Table TR TH TD THead TBody TFoot Span Quote Note Reference BibEntry Code Link Annot Ruby RB RT RP "
    "Warichu WT WP Figure Formula Form".split()
)
tree = root.StructTreeRoot
roles = {str(k)[1:]: str(v)[1:] for k, v in tree.get("/RoleMap", pikepdf.Dictionary()).items()}
kinds, faults, headings = {}, [], []


def walk(node, above):
    """One element of the structure tree and those below it."""
    if not isinstance(node, pikepdf.Dictionary) or "/S" not in node:
        return
    kind = str(node.S)[1:]
    real = roles.get(kind, kind)
    kinds[real] = kinds.get(real, 0) + 1
    if real not in STANDARD:
        faults.append(f"{kind} is no standard type and has no role")
    if real == "Figure" and not str(node.get("/Alt", node.get("/ActualText", ""))).strip():
        faults.append("a figure without alternative text (UA-1 7.3)")
    if real in ("TR", "THead", "TBody", "TFoot") and above not in ("Table", "THead", "TBody", "TFoot"):
        faults.append(f"{real} inside {above}")
    if real in ("TH", "TD") and above != "TR":
        faults.append(f"{real} inside {above}")
    if real == "LI" and above != "L":
        faults.append(f"LI inside {above}")
    if re.fullmatch(r"H[1-6]", real):
        headings.append(int(real[1]))
    below = node.get("/K", [])
    for one in below if isinstance(below, pikepdf.Array) else [below]:
        walk(one, real)


top = tree.get("/K", [])
for one in top if isinstance(top, pikepdf.Array) else [top]:
    walk(one, "")
check("structure tree of standard types, figures with their words, tables whole (UA-1 7.1, 7.3, 7.5)",
      kinds and not faults, sorted(set(faults)) or ", ".join(f"{n} {k}" for k, n in sorted(kinds.items())))
skips = [(a, b) for a, b in zip([0] + headings, headings) if b > a + 1]
check("headings go down one level at a time (UA-1 7.4)", headings and not skips, skips or f"{len(headings)} headings")

SHOWS = {"Tj", "TJ", "'", '"', "S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "Do", "sh", "BI"}
untagged, lost = [], []
for number, page in enumerate(pdf.pages, 1):
    open_marks = []
    for operands, operator in pikepdf.parse_content_stream(page):
        name = str(operator)
        if name in ("BDC", "BMC"):
            open_marks.append(str(operands[0]))
        elif name == "EMC":
            if not open_marks:
                lost.append(number)
            else:
                open_marks.pop()
        elif name in SHOWS and not open_marks:
            untagged.append(number)
    if open_marks:
        lost.append(number)
    if "/StructParents" not in page.obj:
        untagged.append(number)
    for note in page.get("/Annots", []):
        if note.get("/Subtype") == pikepdf.Name.Link and ("/StructParent" not in note or "/Contents" not in note):
            faults.append(f"page {number}: a link without its place or its words (UA-1 7.18.5)")
check("all that shows is tagged or an artifact (UA-1 7.1)", not untagged, sorted(set(untagged)) or "")
check("marks open and close in pairs", not lost, sorted(set(lost)) or "")
links = [f for f in faults if "link" in f]
check("links have a place and words (UA-1 7.18.5)", not links, links[:3] or "")
with pdf.open_outline() as outline:
    check("bookmarks", len(outline.root) > 0, f"{len(outline.root)} at the top")
size = pdf_path.stat().st_size
print(f"       {size} bytes, {size // len(pdf.pages)} a page, {len(pdf.pages)} pages")
sys.exit(1 if failed else 0)
