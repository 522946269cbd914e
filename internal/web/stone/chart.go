package stone

import (
	"math"

	"slatewright/internal/measured"
	"slatewright/internal/tongue"
)

// spoken is a map in the reader's words. The map itself is shared and stays as it is.
func spoken(w tongue.Words, title, datum string, m measured.Map) measured.Map {
	m.Title, m.Datum, m.State = title, datum, w.Word("state", m.State)
	edges := map[string]string{}
	for side, place := range m.Edges {
		edges[side] = w.Word("place", place)
	}
	m.Edges = edges
	return m
}

// datum says in which unit the heights on a map are, and what they are counted from.
func datum(w tongue.Words, key string) string {
	if w.Units() == tongue.Inch {
		return w.Say(key, "unit", "thou")
	}
	return w.Say(key, "unit", "µm")
}

// thicknessMap is the map of thickness in the form of a map of heights.
func thicknessMap(w tongue.Words, piece string, t measured.Thickness) measured.Map {
	p := t.Map
	g := measured.Grid{NX: p.Columns, NY: p.Rows, DX: (p.Edges[1] - p.Edges[0]) / float64(p.Columns), DY: (p.Edges[3] - p.Edges[2]) / float64(p.Rows), Z: make(measured.Micrometres, len(p.T))}
	g.X0, g.Y0 = p.Edges[0]+g.DX/2, p.Edges[2]+g.DY/2
	for i := range g.NX {
		for j := range g.NY {
			g.Z[j*g.NX+i] = p.T[i*g.NY+j]
		}
	}
	m := measured.Map{Frame: "piece", Invented: t.Mark != "", Low: measured.Micrometre(p.LowMM), High: measured.Micrometre(p.HighMM), Grids: []measured.Grid{g}, Contacts: []measured.Spot{},
		Readings: []measured.Spot{}, Warnings: t.Warnings, Edges: map[string]string{"x-": "head", "x+": "foot", "y-": "left", "y+": "right"}}
	e := p.Edges
	m.Outline = [][2]float64{{e[0], e[2]}, {e[1], e[2]}, {e[1], e[3]}, {e[0], e[3]}}
	for _, k := range t.Gauged {
		m.Readings = append(m.Readings, measured.Spot{X: k.X, Y: k.Y, Z: measured.Micrometre(k.T)})
	}
	return spoken(w, piece+", "+w.Word("reading", thickness), w.Word("reading", thickness), m)
}

// unread tells whether a height was not read.
func unread(z float64) bool { return math.IsNaN(z) }
