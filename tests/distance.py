#!/usr/bin/env python3
"""Least gap between phases, found a second way, on random boxes.

Nothing here shares code with the program: each core is laid out from its own
definition by numerical integration, covered with sample points all over its
surface, flat ends included, and the nearest two points of two cores are closed
in on by ever finer samples. The program answers the same layouts through its
vector runner, and the two columns are set side by side.

Needs: python3, numpy 1.26 or later, and cargo. Use, from the top of the project:

    python3 tests/distance.py [boxes, 200 if not given]

Exit status 1 when any two figures differ by more than 0.2 mm.
"""
import json
import math
import multiprocessing
import os
import random
import subprocess
import sys
import tempfile

# One thread a process: the boxes are shared out among processes.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
import numpy as np

ALLOWED_MM = 0.2
STEP_MM = 4.0


def layouts(count):
    """Boxes a site could have, the same in every run."""
    dice = random.Random(20310512)
    out = []
    while len(out) < count:
        core = dice.uniform(20, 55)
        wall = dice.uniform(1.5, 5)
        over = dice.uniform(60, 220)
        inside = dice.random() < 0.55
        start = {"kind": "crutch" if inside else "entries", "core_dia_mm": round(core, 1)}
        start["arrangement"] = dice.choice(["row", "trefoil"])
        start["rotation_deg"] = dice.choice([0, 0, round(dice.uniform(-170, 170))])
        if inside:
            start["crutch_height_mm"] = round(dice.uniform(0, 120))
        else:
            start["entry_pitch_mm"] = round(dice.uniform(core + 15, 190))
            start["entry_height_mm"] = round(dice.uniform(0, 90))
            if dice.random() < 0.7:
                start["crutch_below_plate_mm"] = round(dice.uniform(150, 600))
        if dice.random() < 0.3:
            start["lean_deg"] = round(dice.uniform(1, 40))
            start["lean_towards_deg"] = round(dice.uniform(0, 359))
        layout = {
            "box": {"gland_to_stud_mm": round(dice.uniform(450, 1200)),
                    "stud_pitch_mm": round(dice.uniform(core + 45, 300))},
            "start": start,
            "core_to_stud": [1, 2, 3],
            "lug_insulation_end_to_stud_mm": round(dice.uniform(60, 150)),
            "insulation_exposed_mm": round(over + dice.uniform(40, 120)),
            "sct_over_insulation_mm": round(over),
            "sct_over_semicon_mm": round(dice.uniform(15, 40)),
            "semicon_left_mm": round(dice.uniform(40, 80)),
            "dia": {"below_tube_mm": round(core + wall, 1), "tube_mm": round(core + 2.6 * wall, 1),
                    "clear_mm": round(core + 0.8 * wall, 1)},
            "limits": {"phase_gap_min_mm": 25, "earth_gap_min_mm": 30, "edge_to_plate_min_mm": 60,
                       "edge_to_crutch_min_mm": 70},
        }
        z0 = start.get("crutch_height_mm", start.get("entry_height_mm"))
        if dice.random() < 0.3:
            # A tight one: the tubes end just above the crutch or the entry.
            need = layout["insulation_exposed_mm"] + layout["sct_over_semicon_mm"] + dice.uniform(21, 60)
            layout["box"]["gland_to_stud_mm"] = round(
                layout["lug_insulation_end_to_stud_mm"] + z0 + need)
        height = layout["box"]["gland_to_stud_mm"] - layout["lug_insulation_end_to_stud_mm"] - z0
        if layout["insulation_exposed_mm"] + layout["sct_over_semicon_mm"] + 20 < height:
            try:
                [Core(layout, phase) for phase in (1, 2, 3)]
            except ValueError:
                continue
            out.append(layout)
    return out


class Core:
    """The axis of one core from the stud down to its start, by arc length."""

    def __init__(self, layout, phase):
        box, start = layout["box"], layout["start"]
        place = phase - 1
        top = box["gland_to_stud_mm"]
        cut = top - layout["lug_insulation_end_to_stud_mm"]
        stud = np.array([place - 1.0, 0.0]) * box["stud_pitch_mm"]
        if start["kind"] == "entries":
            low, z0 = np.array([place - 1.0, 0.0]) * start["entry_pitch_mm"], start["entry_height_mm"]
        else:
            z0, dia = start["crutch_height_mm"], start["core_dia_mm"]
            if start["arrangement"] == "trefoil":
                angle = math.radians((210, 90, 330)[place] + start.get("rotation_deg", 0))
                low = dia / math.sqrt(3) * np.array([math.cos(angle), math.sin(angle)])
            else:
                low = np.array([place - 1.0, 0.0]) * dia
        if start.get("lean_deg"):
            self.lay(self.leaning(layout, place, np.array([*stud, top]), np.array([*stud, cut])))
            return
        # From the top: straight to the cut, then the half wave of a cosine.
        z = np.concatenate([np.linspace(top, cut, 400), np.linspace(cut, z0, 6001)[1:]])
        share = np.clip((z - z0) / (cut - z0), 0, 1)
        spread = (1 - np.cos(np.pi * share)) / 2
        p = np.column_stack([low[0] + (stud[0] - low[0]) * spread, low[1] + (stud[1] - low[1]) * spread, z])
        self.lay(p)

    def leaning(self, layout, place, stud, cut):
        """A core whose cable leans where it passes the plate: points down to its start."""
        start = layout["start"]
        lean, way = math.radians(start["lean_deg"]), math.radians(start["lean_towards_deg"])
        towards, across = np.array([math.cos(way), math.sin(way), 0]), np.array([-math.sin(way), math.cos(way), 0])
        up = math.sin(lean) * towards + np.array([0, 0, math.cos(lean)])
        # Square to the cable, in the plane of its lean.
        tipped = math.cos(lean) * towards - np.array([0, 0, math.sin(lean)])
        self.up, dia = up, start["core_dia_mm"]
        if start["arrangement"] == "trefoil":
            angle = math.radians((210, 90, 330)[place] + start.get("rotation_deg", 0))
            level = dia / math.sqrt(3) * np.array([math.cos(angle), math.sin(angle), 0])
        else:
            level = np.array([(place - 1.0) * dia, 0, 0])
        bunch = (level @ towards) * tipped + (level @ across) * across
        if start["kind"] == "entries":
            self.plate = np.array([(place - 1.0) * start["entry_pitch_mm"], 0, 0])
            low = self.plate + up * start["entry_height_mm"] / up[2]
        else:
            self.plate, low = None, up * start["crutch_height_mm"] / up[2] + bunch
        self.bunch = None
        if self.plate is not None and start.get("crutch_below_plate_mm"):
            self.bunch = bunch - up * start["crutch_below_plate_mm"] / up[2]
        self.curve = least_bending(low, up, cut, np.array([0, 0, 1.0]))
        return np.concatenate([np.linspace(stud, cut, 400), self.curve[::-1][1:]])

    def lay(self, p):
        self.p = p
        self.s = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(p, axis=0), axis=1))])
        t = np.gradient(p, self.s, axis=0)
        self.t = t / np.linalg.norm(t, axis=1)[:, None]

    def at(self, s):
        p = np.column_stack([np.interp(s, self.s, self.p[:, i]) for i in range(3)])
        t = np.column_stack([np.interp(s, self.s, self.t[:, i]) for i in range(3)])
        return p, t / np.linalg.norm(t, axis=1)[:, None]


def least_bending(p0, e0, p1, e1, count=6001):
    """Points of the cubic from p0 along e0 to p1 along e1 with the least integral of the square of
    its second derivative: found by least squares over the two speeds at the ends, no formula."""
    t = np.linspace(0, 1, count)[:, None]
    fixed = (12 * t - 6) * p0 + (6 - 12 * t) * p1
    first, last = (6 * t - 4) * e0, (6 * t - 2) * e1
    weight = np.sqrt(np.where((t == 0) | (t == 1), 0.5, 1.0))
    matrix = np.stack([(weight * first).ravel(), (weight * last).ravel()], axis=1)
    (a, b), *_ = np.linalg.lstsq(matrix, -(weight * fixed).ravel(), rcond=None)
    if a <= 0 or b <= 0:
        raise ValueError("the curve would run backwards")
    return ((2 * t**3 - 3 * t**2 + 1) * p0 + (t**3 - 2 * t**2 + t) * a * e0
            + (3 * t**2 - 2 * t**3) * p1 + (t**3 - t**2) * b * e1)


class Body:
    """A length of a core as a solid: stretches of one diameter, ends flat."""

    def __init__(self, core, stretches):
        self.core = core
        self.stretches = [(a, b, d / 2) for a, b, d in stretches if b > a]

    def points(self, k, s, angle, share):
        """Surface or end points: arc, angle round the core, share of the radius."""
        radius = self.stretches[k][2]
        p, t = self.core.at(np.atleast_1d(s))
        u = np.cross(t, [0.0, 1.0, 0.0])
        u /= np.linalg.norm(u, axis=1)[:, None]
        v = np.cross(t, u)
        return p + radius * share[:, None] * (np.cos(angle)[:, None] * u + np.sin(angle)[:, None] * v)

    def near(self, k, at, reach, steps):
        """A finer sample round one point of a stretch, on its surface or end."""
        a, b, _ = self.stretches[k]
        ds, dw, dr = reach
        s = np.unique(np.clip(np.linspace(at[0] - ds, at[0] + ds, steps), a, b))
        w = np.linspace(at[1] - dw, at[1] + dw, steps)
        grid = [np.array(np.meshgrid(s, w, [1.0], indexing="ij")).reshape(3, -1)]
        r = np.unique(np.clip(np.linspace(at[2] - dr, at[2] + dr, steps), 0, 1))
        for end in (a, b):
            if abs(at[0] - end) <= ds:
                grid.append(np.array(np.meshgrid([end], w, r, indexing="ij")).reshape(3, -1))
        return np.concatenate(grid, axis=1).T


def closest(one, other, best):
    """Least distance of two bodies, if below `best`."""
    for k, (a, b, ra) in enumerate(one.stretches):
        for m, (c, d, rb) in enumerate(other.stretches):
            x = np.linspace(a, b, max(2, int((b - a) / STEP_MM) + 1))
            y = np.linspace(c, d, max(2, int((d - c) / STEP_MM) + 1))
            (p, _), (q, _) = one.core.at(x), other.core.at(y)
            # No two points of these stations are nearer than the axes less both radii,
            # and between the stations the axes come nearer by a step at most.
            low = np.linalg.norm(p[:, None] - q[None, :], axis=2) - ra - rb
            if low.min() - STEP_MM > best:
                continue
            for _ in range(3):
                i, j = np.unravel_index(low.argmin(), low.shape)
                if low[i, j] - STEP_MM > best:
                    break
                best = min(best, settle(one, k, x[i], other, m, y[j]))
                # Next a place well away from this one.
                far = 30 / STEP_MM
                near_i, near_j = np.abs(np.arange(len(x)) - i) < far, np.abs(np.arange(len(y)) - j) < far
                low[np.ix_(near_i, near_j)] = math.inf
    return best


def facing(body, s, target):
    """The angle round the core at an arc at which its surface faces a point."""
    p, t = body.core.at(np.array([s]))
    u = np.cross(t[0], [0.0, 1.0, 0.0])
    u /= np.linalg.norm(u)
    way = target - p[0]
    return math.atan2(way @ np.cross(t[0], u), way @ u)


def settle(one, k, x, other, m, y):
    """Closes in on a near pair: one point held, the other sought, in turns."""
    pa, pb = one.core.at(np.array([x]))[0][0], other.core.at(np.array([y]))[0][0]
    x, y = np.array([x, facing(one, x, pb), 1.0]), np.array([y, facing(other, y, pa), 1.0])
    reach = np.array([2 * STEP_MM, 0.6, 0.6])
    last = math.inf
    for _ in range(80):
        q = other.points(m, *np.atleast_2d(y).T)[0]
        grid = one.near(k, x, reach, 7)
        d = np.linalg.norm(one.points(k, *grid.T) - q, axis=1)
        x = grid[d.argmin()]
        p = one.points(k, *np.atleast_2d(x).T)[0]
        grid = other.near(m, y, reach, 7)
        d = np.linalg.norm(other.points(m, *grid.T) - p, axis=1)
        y, least = grid[d.argmin()], d.min()
        if last - least < 1e-4:
            reach = reach / 2
            if reach[0] < 0.01:
                break
        last = min(last, least)
    return last


def gap(layout):
    dia = layout["dia"]
    a = layout["lug_insulation_end_to_stud_mm"]
    b = a + layout["insulation_exposed_mm"]
    u, low = b - layout["sct_over_insulation_mm"], b + layout["sct_over_semicon_mm"]
    cores = [Core(layout, n) for n in (1, 2, 3)]
    live = [Body(c, [(a, u, dia["clear_mm"]), (u, low, dia["tube_mm"])]) for c in cores]
    whole = [Body(c, [(a, u, dia["clear_mm"]), (u, low, dia["tube_mm"]), (low, c.s[-1], dia["below_tube_mm"])])
             for c in cores]
    best = math.inf
    for i, j in ((0, 1), (1, 0), (1, 2), (2, 1), (0, 2), (2, 0)):
        best = closest(live[i], whole[j], best)
    return best


def answers(cases):
    """The program's figures for the cases, through its vector runner."""
    with tempfile.TemporaryDirectory() as folder:
        models = {"solid_gap": {"about": "random boxes", "cases": cases}}
        with open(os.path.join(folder, "boxes.json"), "w") as file:
            json.dump({"schema": "cutback-vectors-1", "models": models}, file)
        out = os.path.join(folder, "answers")
        os.mkdir(out)
        env = dict(os.environ, CUTBACK_VECTORS=folder, CUTBACK_ANSWERS=os.path.join(out, "all.json"))
        run = subprocess.run(["cargo", "test", "--offline", "-q", "--test", "all", "vectors_from_folder"],
                             env=env, capture_output=True, text=True)
        if not os.path.exists(env["CUTBACK_ANSWERS"]):
            sys.exit(run.stdout + run.stderr)
        with open(env["CUTBACK_ANSWERS"]) as file:
            return json.load(file)


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    boxes = layouts(count)
    with multiprocessing.Pool() as pool:
        gaps = pool.map(gap, boxes, chunksize=1)
    cases = [{"id": f"box-{n + 1}", "in": layout, "out": {"solid_sbend_mm": round(least, 4)},
              "tol": {"abs": ALLOWED_MM}} for n, (layout, least) in enumerate(zip(boxes, gaps))]
    found = answers(cases)
    differences = []
    for case in cases:
        mine, theirs = case["out"]["solid_sbend_mm"], found["solid_gap/" + case["id"]]["solid_sbend_mm"]
        differences.append((abs(mine - theirs), case["id"], mine, theirs))
    differences.sort(reverse=True)
    print(f"{count} boxes; gap by samples and by the program, the ten that differ most, mm")
    for difference, name, mine, theirs in differences[:10]:
        print(f"  {name:8} {mine:9.3f} {theirs:9.3f}   {difference:6.3f}")
    middle = differences[count // 2][0]
    open_gaps = sum(1 for d in differences if d[3] > 0)
    over = sum(1 for d in differences if d[0] > ALLOWED_MM)
    print(f"largest difference {differences[0][0]:.3f} mm, middle {middle:.3f} mm; {open_gaps} gaps open, "
          f"{count - open_gaps} touching; {over} beyond {ALLOWED_MM} mm")
    sys.exit(1 if over else 0)


if __name__ == "__main__":
    main()
