package beddrawing

import (
	"bytes"
	"encoding/json"
	"math"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"slatewright/bed/drawing"
)

var steps = regexp.MustCompile(`([MLCAZ])([^MLCAZ]*)`)

// ringAreas are the areas of the closed rings in the paths of an SVG, arcs and curves flattened; their sign is left aside.
func ringAreas(text []byte) (list []float64) {
	for _, m := range paths.FindAllSubmatch(text, -1) {
		var ring [][2]float64
		for _, s := range steps.FindAllStringSubmatch(string(m[1]), -1) {
			var v []float64
			for _, n := range numbers.FindAllString(s[2], -1) {
				x, _ := strconv.ParseFloat(n, 64)
				v = append(v, x)
			}
			switch s[1] {
			case "M":
				ring = [][2]float64{{v[0], v[1]}}
			case "L":
				ring = append(ring, [2]float64{v[0], v[1]})
			case "C":
				ring = append(ring, bezier(ring[len(ring)-1], v)...)
			case "A":
				ring = append(ring, arc(ring[len(ring)-1], v)...)
			case "Z":
				area := 0.0
				for i, p := range ring {
					q := ring[(i+1)%len(ring)]
					area += (p[0]*q[1] - p[1]*q[0]) / 2
				}
				list = append(list, math.Abs(area))
			}
		}
	}
	return list
}

func bezier(a [2]float64, v []float64) (list [][2]float64) {
	for k := 1.0; k <= 64; k++ {
		t, s := k/64, 1-k/64
		point := func(i int) float64 { return s*s*s*a[i] + 3*s*s*t*v[i] + 3*s*t*t*v[2+i] + t*t*t*v[4+i] }
		list = append(list, [2]float64{point(0), point(1)})
	}
	return list
}

// arc follows an arc of a path as its definition says (SVG 2, B.2.4): radius, large arc, and the direction of growing angles with y downward.
func arc(a [2]float64, v []float64) (list [][2]float64) {
	r, large, sweep, b := v[0], v[3] == 1, v[4] == 1, [2]float64{v[5], v[6]}
	dx, dy := b[0]-a[0], b[1]-a[1]
	half := math.Hypot(dx, dy) / 2
	off := math.Sqrt(math.Max(0, r*r-half*half)) / (2 * half)
	if large == sweep {
		off = -off
	}
	cx, cy := (a[0]+b[0])/2-off*dy, (a[1]+b[1])/2+off*dx
	from, to := math.Atan2(a[1]-cy, a[0]-cx), math.Atan2(b[1]-cy, b[0]-cx)
	if sweep && to < from {
		to += 2 * math.Pi
	} else if !sweep && to > from {
		to -= 2 * math.Pi
	}
	for k := 1.0; k <= 256; k++ {
		sin, cos := math.Sincos(from + (to-from)*k/256)
		list = append(list, [2]float64{cx + r*cos, cy + r*sin})
	}
	return list
}

const dxfAreas = `
import sys, json, ezdxf
from ezdxf import path
out = {}
for f in sys.argv[1:]:
    out[f] = []
    for e in ezdxf.readfile(f).modelspace().query('POLYLINE[layer=="OUTLINE"]'):
        p = list(path.make_path(e).flattening(0.001))
        out[f].append(abs(sum(a.x*b.y - a.y*b.x for a, b in zip(p, p[1:] + p[:1]))) / 2)
print(json.dumps(out))
`

// The stone's edge, arcs of the pockets and all, encloses the same area in all three forms: that of the pattern.
func TestOutlinesAgree(t *testing.T) {
	dir := t.TempDir()
	for name, p := range shipped(t) {
		if !strings.HasPrefix(name, "nine") && !strings.HasPrefix(name, "snooker") {
			continue
		}
		list := writeAll(t, dir, name, p, Options{Paper: A3})
		var files []string
		for _, w := range list {
			files = append(files, w.dxf)
		}
		var read map[string][]float64
		if err := json.Unmarshal(run(t, "/usr/bin/python3", append([]string{"-c", dxfAreas}, files...)...), &read); err != nil {
			t.Fatal(err)
		}
		found := func(list []float64, want, within float64) bool {
			for _, a := range list {
				if math.Abs(a-want) <= within*want {
					return true
				}
			}
			return false
		}
		for _, w := range list {
			if w.v.Piece < 0 {
				continue
			}
			want := drawing.StoneOf(p, w.v.Piece).Area
			on := want / w.d.Scale / w.d.Scale
			const points = (72 / 25.4) * (72 / 25.4)
			n := strconv.Itoa(w.page)
			pdf := bytes.ReplaceAll(run(t, "pdftocairo", "-svg", "-f", n, "-l", n, filepath.Join(dir, name+".pdf"), "-"), []byte("Z M"), []byte("Z\nM"))
			if !found(read[w.dxf], want, 1e-5) || !found(ringAreas(w.svg), on, 1e-5) || !found(ringAreas(pdf), on*points, 2e-4) {
				t.Errorf("%s, %s: %.1f mm2 is not in all of DXF %.1f, SVG (%.3f) and PDF (%.3f)", name, w.d.Name, want, read[w.dxf], on, on*points)
			}
		}
	}
}
