#!/usr/bin/env python3
"""Draws pictures with a label card of a pack in them, damaged in known ways.

Drawings, not photographs. Shares no code with the reader: the text of a code,
its check digits and its squares are made here anew, from the written format.

needs: Python 3.10, numpy, opencv (cv2), Pillow, segno
usage: draw.py PACK_JSON OUT_DIR --seed N --each N [--kinds a,b] [--width PX]
       draw.py PACK_JSON OUT_DIR --seed N --list [--record RECORD]    one picture a frame
           of the pack, at the times of a filled record

Writes OUT_DIR/KIND-NNNN.jpg and OUT_DIR/expected.csv (file, kind, codes apart
by a blank), and with --list OUT_DIR/frames.csv, what a person says of each. The kinds of damage stand in KINDS, each with its bounds.
"""
import argparse
import csv
import hashlib
import json
import math
import multiprocessing
import pathlib
import re

import cv2
import numpy as np
import segno
from PIL import Image, ImageDraw, ImageFont

FONTS = pathlib.Path(__file__).resolve().parents[2] / "fonts"
DOT = 8  # card pixels a millimetre
CARD_MM = (91.0, 58.0)
CODE_MM = 30.5


def code_text(pack, checksum, card):
    job = pack["job"]
    body = f"CB1/{job['number']}/{job['revision']}/{job['end']}/{checksum[:8].upper()}/{card.upper()}"
    number = 0
    for byte in body.encode("ascii"):
        number = (number * 256 + byte) % 97
    return f"{body}/{(98 - number * 100 % 97) % 97:02d}"


def font(size_mm, bold=True):
    return ImageFont.truetype(str(FONTS / ("Inter-Bold.otf" if bold else "Inter-Regular.otf")), int(size_mm * DOT))


def card_picture(pack, card, text):
    """The card as printed: large type at the left, the code at the right."""
    w, h = (int(v * DOT) for v in CARD_MM)
    image = Image.new("L", (w, h), 255)
    draw = ImageDraw.Draw(image)
    lines = [(pack["job"]["number"], 7), (pack["job"]["end"], 7), (card["stage"], 4.5), (card["phase"], 11), ("frame " + card["frame"], 4.5)]
    y = 3 * DOT
    for words, size in lines:
        draw.text((3 * DOT, y), words, fill=0, font=font(size))
        y += int(size * 1.25 * DOT)
    matrix = [list(row) for row in segno.make(text, error="h", boost_error=False, micro=False).matrix]
    n = len(matrix)
    code = Image.fromarray(np.uint8([[0 if dark else 255 for dark in row] for row in matrix]))
    side = int(CODE_MM * DOT)
    image.paste(code.resize((side, side), Image.NEAREST), (w - side - int(6 * DOT), int(5 * DOT)))
    draw.rectangle((0, 0, w - 1, h - 1), outline=120, width=2)
    box = (w - side - 6 * DOT, 5 * DOT, side)  # left, top, side of the code
    return np.asarray(image).copy(), box, n


def scene(rng, w, h):
    """A bench: blocks, tubes and texture in place of a real box."""
    small = rng.normal(120, 45, (h // 160 + 2, w // 160 + 2, 3)).astype(np.float32)
    back = cv2.resize(small, (w, h), interpolation=cv2.INTER_CUBIC)
    back = np.clip(back, 10, 245).astype(np.uint8)
    for _ in range(18):
        p = rng.integers(0, [w, h], 2)
        q = rng.integers(0, [w, h], 2)
        shade = tuple(int(v) for v in rng.integers(20, 235, 3))
        kind = rng.integers(3)
        if kind == 0:
            cv2.rectangle(back, p.tolist(), q.tolist(), shade, -1 if rng.random() < 0.5 else int(rng.integers(4, 40)))
        elif kind == 1:
            cv2.line(back, p.tolist(), q.tolist(), shade, int(rng.integers(6, 160)), cv2.LINE_AA)
        else:
            cv2.circle(back, p.tolist(), int(rng.integers(20, 400)), shade, int(rng.integers(3, 30)), cv2.LINE_AA)
    # A rule with its marks: rows of dark and light like a code's timing.
    x, y, step = int(rng.integers(0, w // 2)), int(rng.integers(0, h)), int(rng.integers(6, 18))
    cv2.rectangle(back, (x, y), (x + 60 * step, y + 12 * step), (225, 225, 225), -1)
    for i in range(60):
        cv2.line(back, (x + i * step, y), (x + i * step, y + (6 if i % 10 else 10) * step), (20, 20, 20), max(1, step // 5))
    return back


def rotation(turn, tilt, axis):
    """Turned in its plane, then tilted about an axis in it; radians."""
    c, s = math.cos(turn), math.sin(turn)
    flat = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
    a = np.array([math.cos(axis), math.sin(axis), 0])
    k = np.array([[0, -a[2], a[1]], [a[2], 0, -a[0]], [-a[1], a[0], 0]])
    return (np.eye(3) + math.sin(tilt) * k + (1 - math.cos(tilt)) * k @ k) @ flat


def place(rng, back, card, box, share, turn, tilt, at=None):
    """Puts the card so that the side of its code is `share` of the width."""
    h, w = back.shape[:2]
    ch, cw = card.shape[:2]
    scale = share * w / box[2]
    middle = np.array([box[0] + box[2] / 2, box[1] + box[2] / 2])
    corners = np.array([[0, 0], [cw, 0], [cw, ch], [0, ch]], float) - middle
    r = rotation(turn, tilt, rng.uniform(0, 2 * math.pi))
    distance = 14 * box[2] * scale  # of the camera, in picture pixels
    space = (r @ np.c_[corners * scale, np.zeros(4)].T).T
    seen = space[:, :2] * (distance / (distance + space[:, 2:]))
    low, high = seen.min(0), seen.max(0)
    if at is None:
        room = np.array([w, h]) - (high - low) - 8
        at = np.array([4, 4]) - low + np.where(room > 0, rng.uniform(0, 1, 2) * room, room / 2)
    target = (seen + at).astype(np.float32)
    matrix = cv2.getPerspectiveTransform((corners + middle).astype(np.float32), target)
    # Drawn small with an even filter, as a lens and sensor do.
    shrink = max(1.0, 1 / (scale * 2))
    if shrink > 1:
        reduced = cv2.resize(card, None, fx=1 / shrink, fy=1 / shrink, interpolation=cv2.INTER_AREA)
        matrix = matrix @ np.diag([cw / reduced.shape[1], ch / reduced.shape[0], 1.0])
        card = reduced
    low = np.maximum(np.floor(target.min(0)).astype(int) - 2, 0)
    high = np.minimum(np.ceil(target.max(0)).astype(int) + 2, [w, h])
    if (high <= low).any():
        return at
    sub = 2  # drawn at twice the size, then averaged
    move = np.diag([sub, sub, 1.0]) @ np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1.0]])
    size = tuple(int(v) for v in (high - low) * sub)
    paper = cv2.warpPerspective(card, move @ matrix, size, flags=cv2.INTER_LINEAR, borderValue=0)
    mask = cv2.warpPerspective(np.full_like(card, 255), move @ matrix, size, flags=cv2.INTER_LINEAR)
    half = tuple(int(v) for v in (high - low))
    paper = cv2.resize(paper, half, interpolation=cv2.INTER_AREA).astype(np.float32)
    mask = cv2.resize(mask, half, interpolation=cv2.INTER_AREA).astype(np.float32)[..., None] / 255
    part = back[low[1]:high[1], low[0]:high[0]]
    tint = np.array([0.93, 0.97, 1.0]) * rng.uniform(0.82, 0.95)
    part[:] = np.clip(part * (1 - mask) + (16 + paper[..., None] * 0.93) * tint * mask, 0, 255).astype(np.uint8)
    return at


def dirt(rng, card, box, share):
    """Smears of grease and dust over `share` of the code's area."""
    x0, y0, side = box
    x0, y0, side = int(x0), int(y0), int(side)
    covered = np.zeros((side, side), np.uint8)
    while covered.mean() / 255 < share:
        p = rng.integers(0, side, 2).tolist()
        axes = (int(rng.uniform(0.02, 0.11) * side), int(rng.uniform(0.02, 0.07) * side))
        cv2.ellipse(covered, p, axes, float(rng.uniform(0, 180)), 0, 360, 255, -1)
    shade = np.clip(cv2.resize(rng.normal(100, 60, (24, 24)).astype(np.float32), (side, side)), 15, 235)
    part = card[y0:y0 + side, x0:x0 + side]
    part[:] = np.where(covered > 0, shade, part).astype(np.uint8)


def writing(rng, card, box):
    """Pen strokes beside the code, some into its quiet margin."""
    x0, y0, side = (int(v) for v in box)
    for _ in range(4):
        y = int(rng.uniform(y0 - 20, y0 + side + 30))
        points = np.array([[x0 - 190 + i * 12, y + int(rng.normal(0, 14))] for i in range(14)])
        cv2.polylines(card, [points], False, 40, int(rng.integers(3, 7)), cv2.LINE_AA)
    edge = np.array([[x0 + i * 10, y0 + side + 14 + int(rng.normal(0, 4))] for i in range(side // 10)])
    cv2.polylines(card, [edge], False, 50, 4, cv2.LINE_AA)


def bend(rng, card, box):
    """The card laid round a cable: squeezed towards both sides."""
    h, w = card.shape
    half = rng.uniform(0.5, 0.95)  # of a radian, from the middle to the edge
    middle = box[0] + box[2] / 2
    reach = max(middle, w - middle)
    x = (np.arange(w) - middle) / reach * math.sin(half)
    source = (np.arcsin(np.clip(x, -1, 1)) / half * reach + middle).astype(np.float32)
    return cv2.remap(card, np.tile(source, (h, 1)), np.tile(np.arange(h, dtype=np.float32)[:, None], (1, w)), cv2.INTER_LINEAR, borderValue=255)


# Share of the code's side in the frame's width; turn any; tilt, blur (share of
# a module), exposure, dirt, JPEG quality; each drawn evenly between its bounds.
PLAIN = {"share": (0.08, 0.2), "tilt": (0, 15), "blur": (0, 0.15), "light": (0.8, 1.05), "quality": (80, 92)}
KINDS = {
    "plain": {},
    "tilt-to-35": {"tilt": (20, 35)},
    "tilt-to-50": {"tilt": (35, 50)},
    "small-to-5": {"share": (0.05, 0.08)},
    "small-to-3": {"share": (0.03, 0.05)},
    "quality-40": {"quality": (40, 40)},
    "blur-half": {"blur": (0.3, 0.5)},
    "blur-strong": {"blur": (0.5, 0.75)},
    "shaken": {"shake": (0.6, 1.3)},
    "dim": {"light": (0.06, 0.18)},
    "shadow": {"shadow": True},
    "glare": {"glare": True},
    "dirt-to-10": {"dirt": (0.04, 0.10)},
    "dirt-to-20": {"dirt": (0.10, 0.20)},
    "bent": {"bend": True, "tilt": (0, 10)},
    "writing": {"writing": True},
    "mixed": {"share": (0.05, 0.1), "tilt": (10, 30), "blur": (0.15, 0.35), "light": (0.25, 0.6), "dirt": (0.01, 0.05), "quality": (55, 75)},
    "several": {"several": True, "share": (0.07, 0.1)},
}
FRAME = {"share": (0.08, 0.1), "tilt": (0, 25), "blur": (0, 0.2), "light": (0.6, 1.0)}


def across(w, h, x, y):
    """How far along a direction, from the middle, in widths of the frame; at a
    quarter of the size, which is enough for light."""
    return ((np.arange(w // 4) * 4 / w - 0.5) * x)[None, :] + ((np.arange(h // 4) * 4 / h - 0.5) * y)[:, None]


def shaded(image, factor, more):
    h, w = image.shape[:2]
    grow = lambda a: cv2.resize(np.float32(a), (w, h))[..., None]
    return cv2.add(cv2.multiply(image, cv2.merge([grow(factor)] * 3), dtype=cv2.CV_8U), cv2.merge([grow(more + np.zeros_like(factor))] * 3), dtype=cv2.CV_8U)


def draw(task):
    pack, checksum, kind, number, seed, width, out, only, taken = task
    cv2.setNumThreads(1)
    rng = np.random.default_rng([seed, number, int.from_bytes(hashlib.sha256(kind.encode()).digest()[:4], "big")])
    want = {**PLAIN, **(FRAME if only else KINDS[kind])}
    # A code of few pixels needs the whole sensor; the others are drawn at 60 %.
    width = width if want["share"][0] <= 0.05 else width * 6 // 10
    between = lambda key, default=0.0: rng.uniform(*want[key]) if key in want else default
    w, h = (width, width * 3 // 4) if rng.random() < 0.7 else (width * 3 // 4, width)
    back = scene(rng, w, h)
    cards = pack["labels"]["cards"]
    chosen = [cards[int(rng.integers(len(cards)))]]
    if only:
        chosen = [c for c in cards if c["id"] in only]
    elif want.get("several"):
        others = [c for c in cards if c is not chosen[0]]
        chosen += [others[i] for i in rng.choice(len(others), int(rng.integers(1, 3)), replace=False)]
    codes = []
    share = between("share")
    spots = [None] if len(chosen) == 1 else [np.array([w * (i + 0.6) / (len(chosen) + 0.2), h * rng.uniform(0.3, 0.7)]) for i in range(len(chosen))]
    modules = 33
    for card, spot in zip(chosen, spots):
        text = code_text(pack, checksum, card["id"])
        codes.append(text)
        picture, box, modules = card_picture(pack, card, text)
        if "dirt" in want:
            dirt(rng, picture, box, between("dirt"))
        if want.get("writing"):
            writing(rng, picture, box)
        if want.get("bend"):
            picture = bend(rng, picture, box)
        place(rng, back, picture, box, share, rng.uniform(0, 2 * math.pi), math.radians(between("tilt")), spot)
    module = share * w / modules
    image = back
    if want.get("shadow"):
        angle, at = rng.uniform(0, 2 * math.pi), rng.uniform(-0.3, 0.3)
        side = (across(w, h, math.cos(angle), math.sin(angle)) - at) * 60
        image = shaded(image, 0.25 + 0.75 / (1 + np.exp(np.clip(-side, -30, 30))), 0)
    if want.get("glare"):
        cx, cy, r = rng.uniform(-0.3, 0.3), rng.uniform(-0.3, 0.3) * h / w, rng.uniform(0.15, 0.35)
        far = (across(w, h, 1, 0) - cx) ** 2 + (across(w, h, 0, h / w) - cy) ** 2
        image = shaded(image, np.ones_like(far), rng.uniform(60, 130) * np.exp(-far / (2 * r * r)))
    blur = between("blur") * module
    if blur > 0.2:
        image = cv2.GaussianBlur(image, (0, 0), blur)
    if "shake" in want:
        n = max(3, int(round(between("shake") * module)) | 1)
        kernel = np.zeros((n, n), np.float32)
        angle = rng.uniform(0, math.pi)
        c = n // 2
        cv2.line(kernel, (int(round(c - c * math.cos(angle))), int(round(c - c * math.sin(angle)))), (int(round(c + c * math.cos(angle))), int(round(c + c * math.sin(angle)))), 1.0)
        image = cv2.filter2D(image, -1, kernel / kernel.sum())
    light = between("light", 1.0)
    noise = rng.normal(0, 2.5 + 2.0 * (1 - min(light, 1)), (256, 256, 3)).round().astype(np.int16)
    noise = np.tile(noise, (h // 256 + 1, w // 256 + 1, 1))[:h, :w]
    image = cv2.add(cv2.convertScaleAbs(image, alpha=light), noise, dtype=cv2.CV_8U)
    name = f"{kind}-{number:04d}.jpg"
    picture = Image.fromarray(cv2.cvtColor(image, cv2.COLOR_BGR2RGB))
    exif = Image.Exif()
    exif[0x010E] = "drawing, not a photograph"
    exif[0x010F], exif[0x0110] = "invented", "drawn camera"
    stamp, zone = taken or (f"2031:05:12 {8 + number // 60 % 12:02d}:{number % 60:02d}:00", "+02:00")
    exif[0x0132] = stamp
    sub = exif.get_ifd(0x8769)
    sub[0x9003], sub[0x9011] = stamp, zone
    picture.save(out / name, quality=int(round(between("quality"))), exif=exif)
    return name, kind, " ".join(codes)


def frames(pack):
    """Frame and cards of every picture the photo list asks for, in its order."""
    single = {card["id"] for card in pack["labels"]["cards"]}
    for frame in pack["form"]["frames"]:
        card = frame["card"]
        shared = frame["phase"] == "all" and card not in single
        yield frame["id"], [f"{card}-{phase}" for phase in ("L1", "L2", "L3")] if shared else [card]


def times(record):
    """When each frame was taken by the log of a filled record, and its zone."""
    text = record.read_text()
    zone = re.search(r'^  zone: "?([+-]\d\d:\d\d)', text, re.M)[1]
    rows = re.findall(r'^    taken: (\S+ \d\d:\d\d)\n    frame: "?([^"\n]+)', text, re.M)
    return {frame: (taken.replace("-", ":") + ":00", zone) for taken, frame in rows}


def main():
    ap = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    ap.add_argument("pack", type=pathlib.Path)
    ap.add_argument("out", type=pathlib.Path)
    ap.add_argument("--seed", type=int, required=True)
    ap.add_argument("--each", type=int, default=60, help="pictures of each kind")
    ap.add_argument("--kinds", default=",".join(KINDS))
    ap.add_argument("--list", action="store_true", help="one picture a frame of the pack's photo list")
    ap.add_argument("--record", type=pathlib.Path, help="with --list: a filled record")
    ap.add_argument("--width", type=int, default=4032, help="longer side, px")
    args = ap.parse_args()
    data = args.pack.read_bytes()
    pack, checksum = json.loads(data), hashlib.sha256(data).hexdigest()
    args.out.mkdir(parents=True, exist_ok=True)
    cv2.setNumThreads(1)
    head, tail = (pack, checksum), (args.seed, args.width, args.out)
    tasks = [(*head, kind, i, *tail, None, None) for kind in args.kinds.split(",") for i in range(args.each)]
    if args.list:
        taken = times(args.record) if args.record else {}
        listed = list(frames(pack))
        tasks = [(*head, "frame", i, *tail, only, taken.get(frame)) for i, (frame, only) in enumerate(listed)]
        said = "".join(f"frame-{i:04d}.jpg,{frame}\n" for i, (frame, _) in enumerate(listed))
        (args.out / "frames.csv").write_text("picture,frame\n" + said)
    with multiprocessing.Pool() as pool, open(args.out / "expected.csv", "w", newline="") as f:
        rows = csv.writer(f)
        rows.writerow(["file", "kind", "codes"])
        for row in pool.imap(draw, tasks, chunksize=4):
            rows.writerow(row)


if __name__ == "__main__":
    main()
