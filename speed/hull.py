"""The minimum zone of points as a user of scipy would find it: the convex hull, then a search over the two tilts of the planes
with the hull's corners only. Reads points as raw doubles (all x, all y, all z) from the file named, says "ready", and
answers each line of its input with the zone."""
import sys

import numpy as np
from scipy.optimize import minimize
from scipy.spatial import ConvexHull

points = np.fromfile(sys.argv[1]).reshape(3, -1).T.copy()
size = np.ptp(points[:, :2], axis=0)
print("ready", flush=True)
for _ in sys.stdin:
    corners = points[ConvexHull(points).vertices]

    def zone(tilt):
        a, b = tilt / size
        return np.ptp(corners[:, 2] - a * corners[:, 0] - b * corners[:, 1]) / np.sqrt(1 + a * a + b * b)

    best = np.zeros(2)
    for _ in range(3):
        best = minimize(zone, best, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-9}).x
    print(repr(float(zone(best))), flush=True)
