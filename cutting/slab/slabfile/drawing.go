package slabfile

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"slatewright/cutting/drawing"
)

// A slab as a drawing (DXF in ASCII): lines, polylines and points on layers that say what they are: OUTLINE, CRACK, VEIN, STAIN or HOLE; a number behind the name
// is the clearance in mm (CRACK_15). FLAWS is what the program itself writes: open lines are cracks, closed ones holes. What is not read is told.

// mostLines is how many lines may make the outline.
const mostLines = 2000

// readDrawing turns a drawing into a slab as the program's own JSON has it.
func readDrawing(name string, text []byte) (*slabJSON, error) {
	d, err := drawing.Read(name, string(text))
	if err != nil {
		return nil, err
	}
	f, others := &slabJSON{}, map[string]int{}
	var edges []drawing.Shape
	for _, s := range d.Shapes {
		what, clearance := layerName(s.Layer)
		switch what {
		case "outline":
			edges = append(edges, s)
			continue
		case "flaws":
			if what = "crack"; s.Closed {
				what = "hole"
			}
		case "crack", "vein", "stain", "hole":
		default:
			others[s.Layer]++
			continue
		}
		w := flawJSON{Kind: what, Clearance: clearance}
		if w.Line = corners(s.Points); s.Closed {
			w.Line, w.Area = nil, w.Line
		}
		f.Flaws = append(f.Flaws, w)
	}
	if len(edges) > mostLines {
		return nil, bad(name, fmt.Sprintf("more than %d lines make the outline or a stain", mostLines), "draw the slab as one closed polyline on the layer OUTLINE")
	}
	switch edges = drawing.Join(edges); {
	case len(edges) == 0:
		return nil, bad(name, "the drawing has no outline", "draw the slab as one closed polyline on the layer OUTLINE")
	case len(edges) > 1 || !edges[0].Closed:
		return nil, bad(fmt.Sprintf("%s:%d", name, edges[0].Line), "the outline is one closed polyline", "join its lines, and keep other shapes off the layer OUTLINE")
	}
	f.Outline = corners(edges[0].Points)
	if !d.Stated {
		f.unread = append(f.unread, "the drawing does not say its unit: mm is taken")
	}
	if told := d.Told(); told != "" {
		f.unread = append(f.unread, fmt.Sprintf("the drawing has shapes that are not read: %s", told))
	}
	for _, layer := range slices.Sorted(maps.Keys(others)) {
		f.unread = append(f.unread, fmt.Sprintf("the layer %q of the drawing is no part of a slab: %d shapes are left out", layer, others[layer]))
	}
	return f, nil
}

func corners(points []drawing.Point) (p []point) {
	for _, q := range points {
		p = append(p, point{q.X, q.Y})
	}
	return p
}

var numbered = regexp.MustCompile(`^([a-z]+)[ _-]?([0-9]+(?:\.[0-9]+)?)?$`)

// layerName parts a layer's name from the clearance behind it.
func layerName(layer string) (what string, clearance float64) {
	m := numbered.FindStringSubmatch(strings.ToLower(strings.TrimSpace(layer)))
	if m == nil {
		return "", 0
	}
	if m[2] != "" {
		clearance, _ = strconv.ParseFloat(m[2], 64) // the pattern is a number
	}
	return strings.TrimSuffix(m[1], "s") + map[bool]string{true: "s"}[m[1] == "flaws"], clearance
}
