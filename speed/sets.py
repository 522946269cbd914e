"""Threes of a stock as a general integer programme, solved by HiGHS (in scipy): a column for each three, a row for each thing, which stands in one three at most,
and a row for the number of sets. Reads the table of costs as JSON from the file named, says "ready", and answers each line of its input with
the least sum of costs, which it must have proven."""
import json
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

table = json.load(open(sys.argv[1]))
rows = table["rows"]
costs = np.array([r["cost"] for r in rows])
columns = np.repeat(np.arange(len(rows)), 4)
entries = np.array([[*r["three"], table["things"]] for r in rows]).ravel()
matrix = coo_matrix((np.ones(len(columns)), (entries, columns)), shape=(table["things"] + 1, len(rows))).tocsr()
low, high = np.full(table["things"] + 1, -np.inf), np.ones(table["things"] + 1)
low[-1] = high[-1] = table["sets"]
print("ready", flush=True)
for _ in sys.stdin:
    found = milp(costs, constraints=LinearConstraint(matrix, low, high), integrality=np.ones(len(rows)), bounds=Bounds(0, 1), options={"mip_rel_gap": 0})
    if found.status != 0:
        raise SystemExit("the solver did not prove an optimum: " + found.message)
    print(repr(float(found.fun)), flush=True)
