// Package answers reads the way of the stone and lists of what is lifted, and answers as the command line and the pages do. It reckons nothing of its
// own, package recovery does.
package answers

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/cutting/recovery"
	"slatewright/measure"
	"slatewright/sheet"
)

// usualDensity is that of wet slate, on the heavy side; data sheets give 2794 to 2810 kg/m³ dry.
const usualDensity = 2850.0

// Way is the way of the stone as it was read.
type Way struct {
	File       string
	Overburden bool // the mill's own recovery counts overburden as rock moved
	Stages     []recovery.Stage
	Currency   string
	Warnings   []string
}

// IsLift tells whether a list is one of bodies to lift.
func IsLift(s *sheet.Sheet) bool {
	_, ok := s.Has("thickness")
	return ok
}

// density takes the header line # density.
func density(s *sheet.Sheet) (kg float64, stated bool, err error) {
	h, ok, err := s.Take("density")
	if err != nil || !ok {
		return usualDensity, false, err
	}
	if kg, err = measure.ParseDensity(h.Value); err != nil || kg < 1000 || kg > 5000 {
		return 0, false, s.Bad(h.Line, "bad-header", fmt.Sprintf("# density: %q is no density", h.Value), "write it with its unit, such as 2810 kg/m3")
	}
	return kg, true, nil
}

// Read reads a way: a row for what came in, went out and was lost at each stage. Errors are *trouble.Trouble with file and line.
func Read(s *sheet.Sheet) (*Way, error) {
	w := &Way{File: s.Name}
	h, ok, err := s.Take("overburden")
	if err != nil {
		return nil, err
	}
	if !ok || !slices.Contains([]string{"in", "out"}, strings.ToLower(h.Value)) {
		return nil, s.Bad(max(1, h.Line), "no-definition", "the file does not say whether overburden counts as rock moved", "add the line '# overburden: in' or '# overburden: out': a recovery means nothing without it")
	}
	w.Overburden = strings.EqualFold(h.Value, "in")
	if h, ok, err = s.Take("currency"); err != nil {
		return nil, err
	} else if ok {
		w.Currency = h.Value
	}
	kg, stated, err := density(s)
	if err != nil {
		return nil, err
	}
	columns, err := s.Columns([]string{"stage", "entry"}, "cause", "tonnes", "m3", "doubt", "pieces", "price a tonne", "price a piece")
	if err != nil {
		return nil, err
	}
	r := rows{Sheet: s, columns: columns, density: kg, in: map[string]bool{}, out: map[string]bool{}}
	for _, row := range s.Rows {
		if err := r.take(w, row); err != nil {
			return nil, err
		}
	}
	if r.volumes && !stated {
		w.Warnings = append(w.Warnings, fmt.Sprintf("the file gives no density: %g kg/m³ is taken for its volumes", usualDensity))
	}
	for _, st := range w.Stages {
		if !r.in[st.Name] || !r.out[st.Name] {
			return nil, s.Bad(s.Rows[0].Line, "no-entry", fmt.Sprintf("the stage %s has not both what came in and what went out", st.Name), "add the row; 0 tonnes can be")
		}
	}
	w.Warnings = append(w.Warnings, s.Rest()...)
	return w, nil
}

type rows struct {
	*sheet.Sheet
	columns map[string]sheet.Column
	density float64
	volumes bool
	in, out map[string]bool
}

func (r *rows) take(w *Way, row sheet.Row) error {
	name := row.Text(r.columns["stage"])
	i := slices.IndexFunc(w.Stages, func(s recovery.Stage) bool { return s.Name == name })
	if name == "" {
		return r.Bad(row.Line, "bad-row", "the stage is not named", "write its name in every row")
	}
	if i < 0 {
		i = len(w.Stages)
		w.Stages = append(w.Stages, recovery.Stage{Name: name})
	}
	mass, err := r.mass(row)
	if err != nil {
		return err
	}
	pieces, _, err := r.number(row, "pieces")
	if err != nil {
		return err
	}
	st := &w.Stages[i]
	switch entry := strings.ToLower(row.Text(r.columns["entry"])); entry {
	case "in", "out":
		seen := r.in
		into, count := &st.In, &st.PiecesIn
		if entry == "out" {
			seen, into, count = r.out, &st.Out, &st.PiecesO
		}
		if seen[name] {
			return r.Bad(row.Line, "bad-row", fmt.Sprintf("%s of stage %s stands twice", entry, name), "keep one of the rows")
		}
		if row.Text(r.columns["price a tonne"])+row.Text(r.columns["price a piece"]) != "" {
			return r.Bad(row.Line, "bad-row", "a price stands in a row that is no loss", "write it into the rows of what is lost")
		}
		seen[name] = true
		*into, *count = mass, pieces
	case "loss", "overburden":
		money, err := r.money(row, mass, pieces)
		if err != nil {
			return err
		}
		cause := row.Text(r.columns["cause"])
		if cause == "" && entry == "loss" {
			return r.Bad(row.Line, "bad-row", "a loss has no cause", "name it; what nobody knows is found by the balance")
		}
		if cause == "" {
			cause = "overburden"
		}
		st.Losses = append(st.Losses, recovery.Loss{Cause: cause, Mass: mass, Pieces: pieces, Money: money, Overburden: entry == "overburden"})
	default:
		return r.Bad(row.Line, "bad-row", fmt.Sprintf("there is no entry %q", entry), "write in, out, loss or overburden")
	}
	return nil
}

// number reads a cell that may be empty.
func (r *rows) number(row sheet.Row, name string) (x float64, given bool, err error) {
	if row.Text(r.columns[name]) == "" {
		return 0, false, nil
	}
	if x, err = r.Number(row, r.columns[name]); err != nil {
		return 0, false, err
	}
	if x < 0 {
		return 0, false, r.Bad(row.Line, "bad-number", name+" is below 0", "write a number from 0")
	}
	return x, true, nil
}

// mass reads tonnes, or a volume of stone, with its doubt in the same unit.
func (r *rows) mass(row sheet.Row) (m recovery.Mass, err error) {
	tonnes, weighed, err := r.number(row, "tonnes")
	if err != nil {
		return m, err
	}
	volume, measured, err := r.number(row, "m3")
	if err != nil {
		return m, err
	}
	doubt, _, err := r.number(row, "doubt")
	if err != nil {
		return m, err
	}
	switch {
	case weighed && measured:
		return m, r.Bad(row.Line, "bad-row", "a row has tonnes and a volume", "keep the one that was measured")
	case weighed:
		return recovery.Mass{T: tonnes, U: doubt}, nil
	case measured:
		r.volumes = true
		f := r.density / 1000
		return recovery.Mass{T: volume * f, U: doubt * f}, nil
	}
	return m, r.Bad(row.Line, "bad-row", "a row has neither tonnes nor a volume", "write tonnes or m3; what nobody weighed is no row")
}

func (r *rows) money(row sheet.Row, mass recovery.Mass, pieces float64) (*float64, error) {
	tonne, byTonne, err := r.number(row, "price a tonne")
	if err != nil {
		return nil, err
	}
	piece, byPiece, err := r.number(row, "price a piece")
	if err != nil || !byTonne && !byPiece {
		return nil, err
	}
	if byPiece && pieces == 0 {
		return nil, r.Bad(row.Line, "bad-row", "there is a price a piece, and no number of pieces", "count the pieces, or leave the price empty")
	}
	money := tonne*mass.T + piece*pieces
	if math.IsInf(money, 0) {
		return nil, r.Bad(row.Line, "bad-number", "the price is out of reach", "write a smaller one")
	}
	return &money, nil
}

// Bodies is a list of what is to be lifted.
type Bodies struct {
	File     string
	Density  float64
	Bodies   []recovery.Body
	Warnings []string
}

// ReadLift reads what is to be lifted: name, length, width, thickness; several thicknesses of one body stand in rows with its name alone. mass is
// what somebody wrote down, in kg, or in lb in a column mass_lb.
func ReadLift(s *sheet.Sheet) (*Bodies, error) {
	b := &Bodies{File: s.Name}
	var stated bool
	var err error
	if b.Density, stated, err = density(s); err != nil {
		return nil, err
	}
	if !stated {
		b.Warnings = append(b.Warnings, fmt.Sprintf("the file gives no density: %g kg/m³ is taken, that of heavy wet slate", usualDensity))
	}
	columns, err := s.Columns([]string{"name", "length", "width", "thickness"}, "mass", "mass kg", "mass lb")
	if err != nil {
		return nil, err
	}
	for _, row := range s.Rows {
		if err := b.take(s, columns, row); err != nil {
			return nil, err
		}
	}
	b.Warnings = append(b.Warnings, s.Rest()...)
	return b, nil
}

func (b *Bodies) take(s *sheet.Sheet, columns map[string]sheet.Column, row sheet.Row) error {
	name := row.Text(columns["name"])
	thick, err := s.Length(row, columns["thickness"])
	if err != nil {
		return err
	}
	i := slices.IndexFunc(b.Bodies, func(x recovery.Body) bool { return x.Name == name })
	typed, err := typedMass(s, columns, row)
	if err != nil {
		return err
	}
	if i >= 0 && row.Text(columns["length"]) == "" && row.Text(columns["width"]) == "" {
		if typed != nil {
			return s.Bad(row.Line, "bad-row", fmt.Sprintf("the mass of %s stands in a further row", name), "name each body once; in further rows of it give the thickness alone")
		}
		b.Bodies[i].Thickness = append(b.Bodies[i].Thickness, thick)
		return nil
	}
	if i >= 0 || name == "" {
		return s.Bad(row.Line, "bad-row", fmt.Sprintf("the name %q is empty or stands twice", name), "name each body once; in further rows of it give the thickness alone")
	}
	body := recovery.Body{Name: name, Thickness: []float64{thick}, Typed: typed}
	if body.Length, err = s.Length(row, columns["length"]); err != nil {
		return err
	}
	if body.Width, err = s.Length(row, columns["width"]); err != nil {
		return err
	}
	b.Bodies = append(b.Bodies, body)
	return nil
}

// pound is a pound in kg.
const pound = 0.45359237

// typedMass reads the mass that somebody wrote down, kg; nil where the cell is empty.
func typedMass(s *sheet.Sheet, columns map[string]sheet.Column, row sheet.Row) (*float64, error) {
	for _, x := range []struct {
		title string
		unit  float64
	}{{"mass", 1}, {"mass kg", 1}, {"mass lb", pound}} {
		if row.Text(columns[x.title]) == "" {
			continue
		}
		v, err := s.Number(row, columns[x.title])
		v *= x.unit
		return &v, err
	}
	return nil, nil
}
