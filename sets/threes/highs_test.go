package threes_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os/exec"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/sets/threes"
)

// highs solves questions as mixed-integer programs with scipy's milp (HiGHS). Each question is n, the sets wanted, and the costs of
// {i, j, k} in lexicographic order (null: no set).
const highs = `
import json, sys, time, itertools
import numpy as np
from scipy.optimize import milp, LinearConstraint, Bounds
from scipy.sparse import csc_matrix
out = []
for q in json.load(sys.stdin):
    triples = [t for t in itertools.combinations(range(q["n"]), 3)]
    keep = [a for a, c in enumerate(q["cost"]) if c is not None]
    c = np.array([q["cost"][a] for a in keep], dtype=float)
    rows = [i for a in keep for i in triples[a]] + [q["n"]] * len(keep)
    cols = [b for b in range(len(keep)) for _ in range(3)] + list(range(len(keep)))
    A = csc_matrix((np.ones(len(rows)), (rows, cols)), shape=(q["n"] + 1, len(keep)))
    lo = np.zeros(q["n"] + 1); hi = np.ones(q["n"] + 1); lo[-1] = hi[-1] = q["sets"]
    begin = time.process_time()
    r = milp(c, constraints=LinearConstraint(A, lo, hi), integrality=np.ones(len(keep)), bounds=Bounds(0, 1), options={"mip_rel_gap": 0, "time_limit": 300})
    out.append({"cost": r.fun if r.x is not None else None, "seconds": time.process_time() - begin, "status": int(r.status)})
print(json.dumps(out))
`

type highsQuestion struct {
	N    int        `json:"n"`
	Sets int        `json:"sets"`
	Cost []*float64 `json:"cost"`
}

type highsAnswer struct {
	Cost    *float64 `json:"cost"`
	Seconds float64  `json:"seconds"`
	Status  int      `json:"status"`
}

func (c costs) question(sets int) highsQuestion {
	q := highsQuestion{N: c.n, Sets: sets}
	for i := range c.n {
		for j := i + 1; j < c.n; j++ {
			for k := j + 1; k < c.n; k++ {
				if v := c.cost(i, j, k); math.IsInf(v, 1) {
					q.Cost = append(q.Cost, nil)
				} else {
					q.Cost = append(q.Cost, &v)
				}
			}
		}
	}
	return q
}

func askHighs(t *testing.T, list []highsQuestion) []highsAnswer {
	t.Helper()
	text, err := json.Marshal(list)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("/usr/bin/python3", "-c", highs)
	cmd.Stdin = bytes.NewReader(text)
	var complained strings.Builder
	cmd.Stderr = &complained
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("scipy (Debian package python3-scipy): %v\n%s", err, complained.String())
	}
	var answers []highsAnswer
	if err := json.Unmarshal(out, &answers); err != nil {
		t.Fatal(err)
	}
	if len(answers) != len(list) {
		t.Fatalf("%d answers to %d questions", len(answers), len(list))
	}
	return answers
}

func TestAgainstHiGHS(t *testing.T) {
	stream := chance.NewStream(2)
	var list []highsQuestion
	var tables []costs
	for n := 15; n <= 21; n++ {
		for _, c := range []costs{drawn(n, stream), seatLike(n, stream), onALine(n, 3, stream)} {
			tables = append(tables, c)
			list = append(list, c.question(n/3))
		}
	}
	for a, h := range askHighs(t, list) {
		n := tables[a].n
		p, err := threes.Choose(threes.Ask{N: n, Triples: tables[a]})
		if err != nil {
			t.Fatal(err)
		}
		if h.Cost == nil || h.Status != 0 {
			t.Fatalf("HiGHS did not solve table %d: status %d", a, h.Status)
		}
		if p.Numbers[0] != n/3 || p.Bound != p.Cost || math.Abs(p.Cost-*h.Cost) > 1e-6 {
			t.Errorf("table %d, %d things: %d sets, cost %.9f, bound %.9f; HiGHS %.9f", a, n, p.Numbers[0], p.Cost, p.Bound, *h.Cost)
		}
	}
}
