package bending

import (
	"bytes"
	"fmt"
	"math"

	"slatewright/internal/cli/verb"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/facemap"
	"slatewright/measure"
	"slatewright/plate"
)

// mapWidth is the width of the picture, mm of paper.
const mapWidth = 120

// write draws the heights with their contour lines into a file that must not be there yet.
func (r *sagReport) write(path string) error {
	o := r.piece.Outline
	m := facemap.Map{Title: "Sag of a piece of " + plain(o.X) + " x " + plain(o.Y) + " mm",
		About: fmt.Sprintf("Heights over the plane of the supports, mm: %s. Peak to valley %s mm.", r.Support, measure.Decimal(r.PeakToValleyMM, 4)),
		MinX:  -o.X / 2, MaxX: o.X / 2, MinY: -o.Y / 2, MaxY: o.Y / 2, Mesh: r.mesh(), Words: facemap.English(), Warnings: r.Warnings}
	m.Words.Read, m.Words.NotRead, m.Words.Below = "support", "cut", "below the supports"
	for _, q := range r.under.Points {
		m.Readings = append(m.Readings, contour.Point{X: q.X, Y: q.Y})
	}
	for i, s := range r.Bent().Supports {
		if len(r.under.Lines) > 0 && r.Bent().Carries[i] {
			m.Readings = append(m.Readings, contour.Point{X: s.X, Y: s.Y})
		}
	}
	var out bytes.Buffer
	if err := m.SVG(&out, mapWidth); err != nil {
		return err
	}
	return verb.WriteNew(verb.NewFile{Path: path, Text: out.Bytes(), Mode: 0o644})
}

// mesh is the heights at a lattice, not a number in cuts.
func (r *sagReport) mesh() contour.Mesh {
	o := r.piece.Outline
	nx, ny := int(math.Ceil(o.X/8))+1, int(math.Ceil(o.Y/8))+1
	m := contour.Mesh{NX: nx, NY: ny}
	for i := range nx {
		for j := range ny {
			q := plate.Point{X: -o.X/2 + o.X*float64(i)/float64(nx-1), Y: -o.Y/2 + o.Y*float64(j)/float64(ny-1)}
			z := math.NaN()
			if o.Has(q) {
				z = r.Bent().Height(q)
			}
			m.X, m.Y, m.Z = append(m.X, q.X), append(m.Y, q.Y), append(m.Z, z)
		}
	}
	return m
}
