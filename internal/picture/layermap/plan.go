package layermap

import (
	"encoding/csv"
	"fmt"
	"io"

	"slatewright/cutting/layer"
	"slatewright/cutting/layer/answers"
	"slatewright/internal/picture/contour"
	"slatewright/measure"
)

func points(list []layer.Point) (out []contour.Point) {
	for _, p := range list {
		out = append(out, contour.Point(p))
	}
	return out
}

// Of is the map of an answered layer.
func Of(a *answers.Answer, title, about string) Map {
	m := Map{Title: title, About: about, Outline: points(a.Map.Outline)}
	for _, z := range a.Map.Areas {
		m.Stains = append(m.Stains, points(z.Ring))
	}
	for _, j := range a.Map.Joints {
		m.Joints = append(m.Joints, Line{Points: points(j.Trace), Name: j.Name, Doubtful: j.Chance < 1 || j.Error > 0})
	}
	for _, k := range a.Plan.Knowing { // the first is worth most
		if first := a.Plan.Knowing[0].Value; first > 0 {
			m.Joints[k.Joint].Weight = k.Value / first
		}
	}
	for _, b := range a.Plan.Blocks {
		m.Blocks = append(m.Blocks, Block{Corners: [4]contour.Point(points(b.Corners[:])), Chance: b.Chance})
	}
	for i, c := range a.Plan.Cuts {
		if !c.Cross {
			m.Runs = append(m.Runs, Line{Points: points([]layer.Point{c.From, c.To}), Name: fmt.Sprint(i + 1)})
		}
	}
	return m
}

// CSV writes the blocks and the cuts of an answered layer in their order.
func CSV(out io.Writer, a *answers.Answer) error {
	w := csv.NewWriter(out)
	one := func(x float64) string { return measure.Decimal(x, 1) }
	rows := [][]string{{"what", "order", "run", "type", "x1_mm", "y1_mm", "x2_mm", "y2_mm", "x3_mm", "y3_mm", "x4_mm", "y4_mm", "chance"}}
	for i, b := range a.Plan.Blocks {
		row := []string{"block", fmt.Sprint(i + 1), fmt.Sprint(b.Run + 1), a.Blocks[i].Type}
		for _, p := range b.Corners {
			row = append(row, one(p.X), one(p.Y))
		}
		rows = append(rows, append(row, measure.Decimal(b.Chance, 3)))
	}
	for _, c := range a.Cuts {
		what := "run"
		if c.Cross {
			what = "cross cut"
		}
		rows = append(rows, []string{what, fmt.Sprint(c.Order), fmt.Sprint(c.Run), "", one(c.X1), one(c.Y1), one(c.X2), one(c.Y2), "", "", "", "", ""})
	}
	return w.WriteAll(rows)
}

// Cuts are the rows of a list of cuts: order, kind, run, and both ends in m from the beginning of the base line.
func Cuts(a *answers.Answer, run, cross string) (rows [][]string) {
	place := func(x, y float64) string { return measure.Decimal(x/1000, 3) + ", " + measure.Decimal(y/1000, 3) }
	for _, c := range a.Cuts {
		what := run
		if c.Cross {
			what = cross
		}
		rows = append(rows, []string{fmt.Sprint(c.Order), what, fmt.Sprint(c.Run), place(c.X1, c.Y1), place(c.X2, c.Y2)})
	}
	return rows
}
