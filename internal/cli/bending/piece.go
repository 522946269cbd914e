package bending

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/plate"
	"slatewright/sheet"
	"slatewright/stone"
	"slatewright/trouble"
)

// piece are the flags that say what is bent.
type piece struct {
	Size          string       `placeholder:"XxY" help:"Size of the piece, along the table by across it, such as 914x1473mm."`
	Thickness     *verb.Length `placeholder:"LENGTH" help:"Thickness of the stone, such as 25.4mm."`
	ThicknessFile string       `placeholder:"FILE" help:"Caliper readings, CSV with the columns x,y,t in mm from the middle of the piece."`
	UThickness    *verb.Length `name:"u-thickness" placeholder:"LENGTH" help:"Standard uncertainty of the thickness; 0.1mm if left out."`
	Density       string       `default:"2790" help:"Of the stone, kg/m3 where no unit is given."`
	Modulus       string       `default:"48GPa" help:"Modulus of elasticity, along the grain where --across is given."`
	Across        string       `placeholder:"MODULUS" help:"Modulus across the grain, where it is another."`
	Grain         string       `enum:"x,y" default:"y" help:"Direction of the grain: x along the table, y across it."`
	Poisson       float64      `default:"0.2" help:"Poisson ratio."`
	UModulus      float64      `name:"u-modulus" placeholder:"SHARE" default:"0.2" help:"Standard uncertainty of the modulus as a share of it; 0.2 is what a stone that was not tested has."`
	Round         string       `placeholder:"X,Y,R;…" help:"Round cuts, such as pockets: middle and radius in mm."`
	Cuts          string       `placeholder:"FILE" help:"Cuts of any shape, CSV with the columns cut,x,y: the corners of each cut in their order, mm."`
}

// known is what is not known of the piece.
type known struct {
	thickness float64 // standard uncertainty, mm
	modulus   float64 // share
	fit       *float64
}

// read makes the piece of the flags, and of the header lines of a face where flags are missing.
func (v piece) read(s *verb.Session, f *face.Face) (plate.Piece, known, error) {
	k := known{thickness: 0.1, modulus: v.UModulus}
	if v.UThickness != nil {
		k.thickness = v.UThickness.MM
	}
	var p plate.Piece
	var err error
	if p.Outline, err = v.outline(s, f); err != nil {
		return p, k, err
	}
	if p.Elastic, err = v.elastic(); err != nil {
		return p, k, err
	}
	if p.Density, err = density(v.Density); err != nil {
		return p, k, err
	}
	if p.Thickness, k.fit, err = v.thick(s, f); err != nil {
		return p, k, err
	}
	if !(v.UModulus >= 0 && v.UModulus < 1) || k.thickness < 0 {
		return p, k, trouble.Usage("bad-doubt", "slatewright sag", "an uncertainty that is negative, or as large as the modulus", "give --u-modulus as a share, such as 0.1, and --u-thickness as a length")
	}
	if f != nil && f.Side == face.Bottom { // it lies turned over about y
		p.Outline = mirrored(p.Outline)
	}
	return p, k, p.Check()
}

func (v piece) outline(s *verb.Session, f *face.Face) (o plate.Outline, err error) {
	switch {
	case v.Size != "":
		if o.X, o.Y, err = measure.ParseSize(v.Size); err != nil {
			return o, err
		}
	case f != nil && f.SizeX > 0:
		o.X, o.Y = f.SizeX, f.SizeY
	default:
		return o, trouble.Usage("no-size", "slatewright sag", "the size of the piece is not given", "give --size, such as 914x1473mm")
	}
	if v.Round != "" {
		round, err := places(v.Round, 3)
		if err != nil {
			return o, err
		}
		for _, c := range round {
			if !(c[2] > 0) {
				return o, trouble.Usage("bad-cut", "--round", fmt.Sprintf("a radius of %g mm", c[2]), "write x,y,r in mm for each cut")
			}
			o = o.WithRound(c[0], c[1], c[2])
		}
	}
	if v.Cuts != "" {
		cuts, err := verb.Read(s, v.Cuts, readCuts)
		if err != nil {
			return o, err
		}
		for _, c := range cuts {
			o = o.WithCut(c)
		}
	}
	return o, nil
}

// readCuts reads polygons, one corner a row.
func readCuts(name string, in io.Reader) (cuts [][]plate.Point, err error) {
	list, err := sheet.Read(name, in)
	if err != nil {
		return nil, err
	}
	c, err := list.Columns([]string{"cut", "x", "y"})
	if err != nil {
		return nil, err
	}
	last := ""
	for _, row := range list.Rows {
		x, err := list.Length(row, c["x"])
		if err != nil {
			return nil, err
		}
		y, err := list.Length(row, c["y"])
		if err != nil {
			return nil, err
		}
		if id := row.Text(c["cut"]); len(cuts) == 0 || id != last {
			cuts, last = append(cuts, nil), id
		}
		n := len(cuts) - 1
		cuts[n] = append(cuts[n], plate.Point{X: x, Y: y})
	}
	return cuts, nil
}

// readCaliper reads thicknesses with their places.
func readCaliper(name string, in io.Reader) (list []face.Thickness, err error) {
	s, err := sheet.Read(name, in)
	if err != nil {
		return nil, err
	}
	c, err := s.Columns([]string{"x", "y", "t"})
	if err != nil {
		return nil, err
	}
	for _, row := range s.Rows {
		var v [3]float64
		for k, title := range []string{"x", "y", "t"} {
			if v[k], err = s.Length(row, c[title]); err != nil {
				return nil, err
			}
		}
		list = append(list, face.Thickness{X: v[0], Y: v[1], T: v[2]})
	}
	return list, nil
}

// thick is the thickness and, of caliper readings, their standard deviation from the surface that was put through them.
func (v piece) thick(s *verb.Session, f *face.Face) (plate.Field, *float64, error) {
	var list []face.Thickness
	switch {
	case v.Thickness != nil:
		return plate.Even(v.Thickness.MM), nil, nil
	case v.ThicknessFile != "":
		var err error
		if list, err = verb.Read(s, v.ThicknessFile, readCaliper); err != nil {
			return nil, nil, err
		}
	case f != nil:
		list = f.Thickness
	}
	if len(list) == 0 {
		return nil, nil, trouble.Usage("no-thickness", "slatewright sag", "the thickness of the stone is not given", "give --thickness, such as 25.4mm, or --thickness-file")
	}
	at, t := make([]plate.Point, len(list)), make([]float64, len(list))
	for i, c := range list {
		at[i], t[i] = plate.Point{X: c.X, Y: c.Y}, c.T
	}
	fit, sd, err := plate.FitThickness(at, t)
	return fit, &sd, err
}

func (v piece) elastic() (plate.Elastic, error) {
	e, err := measure.ParseModulus(v.Modulus)
	if err != nil {
		return plate.Elastic{}, err
	}
	sheet := plate.Isotropic(e, v.Poisson)
	if v.Across != "" {
		if sheet.Across, err = measure.ParseModulus(v.Across); err != nil {
			return sheet, err
		}
		if v.Grain == "y" {
			sheet.Grain = math.Pi / 2
		}
	}
	return sheet, nil
}

func density(text string) (float64, error) {
	if v, err := strconv.ParseFloat(strings.TrimSpace(text), 64); err == nil {
		s := stone.Slate()
		s.Density = v
		return v, s.Check()
	}
	return measure.ParseDensity(text)
}

// mass reads a weight in kg or pounds.
func mass(text string) (float64, error) {
	for _, unit := range []struct {
		name string
		kg   float64
	}{{"kg", 1}, {"lb", 0.45359237}} {
		if number, ok := strings.CutSuffix(strings.TrimSpace(text), unit.name); ok {
			if v, err := measure.ParseNumber(strings.TrimSpace(number)); err == nil && v > 0 && v < 1e6 {
				return v * unit.kg, nil
			}
		}
	}
	return 0, trouble.Usage("bad-mass", "--load", fmt.Sprintf("%q is not a weight", text), "write it such as 20kg or 200lb")
}

// places reads groups of n numbers parted by ; in mm.
func places(text string, n int) (list [][]float64, err error) {
	for _, group := range strings.Split(strings.Trim(text, "; "), ";") {
		numbers := strings.FieldsFunc(group, func(r rune) bool { return r == ',' || r == ' ' })
		if len(numbers) != n {
			return nil, trouble.Usage("bad-place", "slatewright sag", fmt.Sprintf("%q does not hold %d numbers", strings.TrimSpace(group), n), "write numbers in mm with commas between them, and ; between places")
		}
		row := make([]float64, n)
		for i, t := range numbers {
			if row[i], err = measure.ParseNumber(t); err != nil {
				return nil, trouble.Usage("bad-place", "slatewright sag", fmt.Sprintf("%q is not a number", t), "write places in mm from the middle of the piece, such as 280,-330").Because(err)
			}
		}
		list = append(list, row)
	}
	return list, nil
}

// mirrored is the outline seen turned over about y.
func mirrored(o plate.Outline) plate.Outline {
	m := plate.Rectangle(o.X, o.Y)
	for _, c := range o.Cuts {
		ring := make([]plate.Point, len(c))
		for i, q := range c {
			ring[i] = plate.Point{X: -q.X, Y: q.Y}
		}
		m = m.WithCut(ring)
	}
	return m
}
