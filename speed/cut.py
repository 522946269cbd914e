"""Small slabs with flaws as a general integer programme, solved by HiGHS (in scipy). A part is a rectangle of the grid; a unit of a part flows into two
parts by a cut, into a smaller part beside waste, or becomes a piece. Reads the slabs as JSON from the file named, builds the programmes, says "ready", and
answers each line of its input with the sum of the optima, which it must have proven."""
import json
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix


def programme(slab):
    width, height, kerf = slab["width"], slab["height"], slab["kerf"]
    lies = []
    for k, p in enumerate(slab["pieces"]):
        lies.append((k, p["length"], p["width"]))
        if p["turn"]:
            lies.append((k, p["width"], p["length"]))
    flaws = slab["flaws"]

    def sound(x, y, w, h):
        return all(x + w <= f[0] or f[2] <= x or y + h <= f[1] or f[3] <= y for f in flaws)

    parts = {(0, 0, width, height): 0}
    todo = [(0, 0, width, height)]
    rows, columns, entries, gains, kinds = [], [], [], [], []

    def number(part):
        if part not in parts:
            parts[part] = len(parts)
            todo.append(part)
        return parts[part]

    def column(part, children, gain=0.0, kind=-1):
        n = len(gains)
        gains.append(gain)
        kinds.append(kind)
        for r, v in [(parts[part], 1.0)] + [(number(c), -1.0) for c in children]:
            rows.append(r)
            columns.append(n)
            entries.append(v)

    small_x, small_y = min(w for _, w, _ in lies), min(h for _, _, h in lies)
    while todo:
        part = todo.pop()
        x1, y1, x2, y2 = part
        for k, w, h in lies:
            if w == x2 - x1 and h == y2 - y1 and sound(x1, y1, w, h):
                column(part, [], slab["pieces"][k]["value"], k)
        wide, high = x2 - x1 > small_x, y2 - y1 > small_y
        if wide:  # waste of 1 on one side: the cut runs in it
            column(part, [(x1 + 1, y1, x2, y2)])
            column(part, [(x1, y1, x2 - 1, y2)])
        if high:
            column(part, [(x1, y1 + 1, x2, y2)])
            column(part, [(x1, y1, x2, y2 - 1)])
        for c in range(x1 + small_x, x2 - kerf - small_x + 1):
            column(part, [(x1, y1, c, y2), (c + kerf, y1, x2, y2)])
        for c in range(y1 + small_y, y2 - kerf - small_y + 1):
            column(part, [(x1, y1, x2, c), (x1, c + kerf, x2, y2)])
    high = np.zeros(len(parts) + len(slab["pieces"]))
    high[0] = 1
    for k, p in enumerate(slab["pieces"]):
        high[len(parts) + k] = p["most"]
        for n, kind in enumerate(kinds):
            if kind == k:
                rows.append(len(parts) + k)
                columns.append(n)
                entries.append(1.0)
    matrix = coo_matrix((entries, (rows, columns)), shape=(len(high), len(gains))).tocsr()
    return np.array(gains), LinearConstraint(matrix, -np.inf, high)


programmes = [programme(s) for s in json.load(open(sys.argv[1]))]
print("ready", flush=True)
for _ in sys.stdin:
    total = 0.0
    for gains, constraint in programmes:
        found = milp(-gains, constraints=constraint, integrality=np.ones(len(gains)), bounds=Bounds(0, 1), options={"mip_rel_gap": 0})
        if found.status != 0:
            raise SystemExit("the solver did not prove an optimum: " + found.message)
        total -= found.fun
    print(repr(float(total)), flush=True)
