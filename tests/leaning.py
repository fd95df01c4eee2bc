#!/usr/bin/env python3
"""Figures of boxes whose cable leans where it enters, found a second way.

Writes tests/vectors/leaning.json from the definitions alone: the curve of least bending by least
squares, gaps by samples of the surfaces (distance.py), everything else by dense points along the
axes. Nothing here shares code with the program.

Needs: python3, numpy 1.26 or later. Use, from the top of the project:

    python3 tests/leaning.py
"""
import copy
import json
import math

import numpy as np
from distance import Core, gap, least_bending

BOX = {
    "box": {"gland_to_stud_mm": 760, "stud_pitch_mm": 150, "stud_to_wall_mm": 110, "stud_to_cover_mm": 140,
            "stud_to_back_mm": 160},
    "start": {"kind": "entries", "arrangement": "row", "core_dia_mm": 30.4, "entry_pitch_mm": 90,
              "entry_height_mm": 40, "crutch_below_plate_mm": 350, "lean_deg": 12, "lean_towards_deg": 180},
    "core_to_stud": [1, 2, 3],
    "lug_insulation_end_to_stud_mm": 110, "insulation_exposed_mm": 270, "sct_over_insulation_mm": 180,
    "sct_over_semicon_mm": 20, "semicon_left_mm": 40,
    "dia": {"tube_mm": 39.0, "below_tube_mm": 35.6, "clear_mm": 33.6},
    "limits": {"phase_gap_min_mm": 25, "earth_gap_min_mm": 30, "edge_to_plate_min_mm": 60,
               "edge_to_crutch_min_mm": 70, "min_bend_core_mm": 243, "min_bend_ref": "axis"},
}


def changed(box=None, start=None, drop=()):
    out = copy.deepcopy(BOX)
    out["box"].update(box or {})
    out["start"].update(start or {})
    for key in drop:
        del out["start"][key]
    return out


def inside(height, **start):
    out = changed(start={"kind": "crutch", "crutch_height_mm": height, **start},
                  drop=("entry_pitch_mm", "entry_height_mm", "crutch_below_plate_mm"))
    return out


CASES = {
    "entries-left": changed(),
    "entries-cover": changed(start={"lean_towards_deg": 90, "lean_deg": 20}),
    "entries-back-and-right": changed(start={"lean_towards_deg": 315, "lean_deg": 8}),
    "single-core-left": changed(start={"lean_deg": 25, "entry_pitch_mm": 64}, box={"stud_pitch_mm": 64},
                                drop=("crutch_below_plate_mm",)),
    "single-core-tight": changed(box={"gland_to_stud_mm": 520, "stud_pitch_mm": 64},
                                 start={"lean_deg": 15, "entry_pitch_mm": 64}, drop=("crutch_below_plate_mm",)),
    "trefoil-below-turned": changed(start={"arrangement": "trefoil", "rotation_deg": 40, "lean_deg": 10,
                                           "lean_towards_deg": 60}),
    "crutch-row-left": inside(60, lean_deg=10),
    "crutch-row-cover": inside(60, lean_deg=15, lean_towards_deg=90),
    "crutch-trefoil-right": inside(60, arrangement="trefoil", lean_deg=18, lean_towards_deg=0),
    "crutch-trefoil-turned": inside(45, arrangement="trefoil", rotation_deg=-70, lean_deg=6, lean_towards_deg=250),
    "hardly-any": changed(start={"lean_deg": 0.01}),
}
REFUSED = {
    "too-far": (changed(start={"lean_deg": 60}), "lean-range"),
    "below-nought": (changed(start={"lean_deg": -1}), "lean-range"),
    "no-way-named": (changed(drop=("lean_towards_deg",)), "figure-missing"),
    "runs-backwards": (changed(box={"gland_to_stud_mm": 460, "stud_pitch_mm": 900},
                               start={"lean_deg": 40, "lean_towards_deg": 0}), "no-forward-curve"),
    "crutch-tipped-into-the-tube": (inside(59, lean_deg=50, lean_towards_deg=0) | {
        "box": {**BOX["box"], "gland_to_stud_mm": 475}}, "tube-below-start"),
}


def radius(points):
    """Least radius through three neighbouring points, the bend drawn on to both ends."""
    a, b, c = points[:-2], points[1:-1], points[2:]
    area = np.linalg.norm(np.cross(b - a, c - a), axis=1)
    sides = np.linalg.norm(b - a, axis=1) * np.linalg.norm(c - b, axis=1) * np.linalg.norm(c - a, axis=1)
    bend = 2 * area / sides
    step = 50  # far enough apart for the slope to rise over the noise of the points
    ends = [bend[0] + (bend[0] - bend[step]) / step, bend[-1] + (bend[-1] - bend[-1 - step]) / step]
    return 1 / max(bend.max(), *ends)


def figures(layout):
    a = layout["lug_insulation_end_to_stud_mm"]
    edge = a + layout["insulation_exposed_mm"]
    upper, low = edge - layout["sct_over_insulation_mm"], edge + layout["sct_over_semicon_mm"]
    cores = [Core(layout, n) for n in (1, 2, 3)]
    floor = layout["start"].get("entry_height_mm", 0)
    out = {"edge": math.inf, "tube": math.inf, "crutch": math.inf, "in": math.inf, "under": math.inf, "tails": []}
    sides = {"wall": math.inf, "cover": math.inf, "back": math.inf}
    box, dia = layout["box"], layout["dia"]
    planes = {"wall": [(np.array([s, 0, 0.0]), box["stud_pitch_mm"] + box["stud_to_wall_mm"]) for s in (-1.0, 1.0)],
              "cover": [(np.array([0, 1.0, 0]), box["stud_to_cover_mm"])],
              "back": [(np.array([0, -1.0, 0]), box["stud_to_back_mm"])]}
    for core in cores:
        (p, _), (q, t) = core.at(np.array([edge])), core.at(np.array([low]))
        out["edge"] = min(out["edge"], p[0][2] - floor)
        ring = dia["tube_mm"] / 2 * math.sqrt(max(0, 1 - t[0][2] ** 2))
        out["tube"] = min(out["tube"], q[0][2] - ring - floor)
        out["crutch"] = min(out["crutch"], core.s[-1] - edge)
        out["in"] = min(out["in"], radius(core.curve))
        tail = core.s[-1]
        if core.bunch is not None:
            under = least_bending(core.bunch, core.up, core.plate, core.up)
            out["under"] = min(out["under"], radius(under))
            tail += np.linalg.norm(core.p[-1] - core.plate)
            tail += np.linalg.norm(np.diff(under, axis=0), axis=1).sum()
        out["tails"].append(tail)
        for begin, end, thick in ((a, upper, dia["clear_mm"]), (upper, low, dia["tube_mm"])):
            p, t = core.at(np.linspace(begin, end, 20001))
            for name, faces in planes.items():
                for normal, distance in faces:
                    reach = thick / 2 * np.sqrt(np.maximum(0, 1 - (t @ normal) ** 2))
                    sides[name] = min(sides[name], (distance - p @ normal - reach).min())
    is_inside = layout["start"]["kind"] == "crutch"
    bends = {"inside_box": {"r_sbend_axis_mm": out["in"], "r_two_arcs_axis_mm": None}}
    if out["under"] < math.inf:
        bends["outside"] = {"r_sbend_axis_mm": out["under"], "r_two_arcs_axis_mm": None}
    return {
        "J15": {"solid_sbend_mm": gap(layout), "solid_two_arcs_mm": None, "slice_sbend_mm": None},
        "J16": {"edge_to_plate_or_entry_mm": out["edge"], "tube_to_plate_or_entry_mm": out["tube"],
                "edge_to_crutch_mm": out["crutch"] if is_inside else None,
                **{f"{name}_gap_mm": least for name, least in sides.items()}},
        "J19": bends,
        "tail_mm": out["tails"],
    }


def rounded(value):
    if isinstance(value, dict):
        return {key: rounded(one) for key, one in value.items()}
    if isinstance(value, list):
        return [rounded(one) for one in value]
    return None if value is None else round(float(value), 4)


def main():
    cases = [{"id": name, "in": layout, "out": rounded(figures(layout)), "tol": {"abs": 0.05}}
             for name, layout in CASES.items()]
    cases += [{"id": name, "in": layout, "out": {"error": code}} for name, (layout, code) in REFUSED.items()]
    model = {"about": "Boxes whose cable leans where it passes the plate: gaps, heights, bends, tails.",
             "source": "geometry; figures by tests/leaning.py, which shares no code with the program",
             "units": {"lengths": "mm", "angles": "degrees"}, "cases": cases}
    with open("tests/vectors/leaning.json", "w") as file:
        json.dump({"schema": "cutback-vectors-1", "models": {"leaning": model}}, file, indent=1)
        file.write("\n")


if __name__ == "__main__":
    main()
