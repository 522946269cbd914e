// Package gauge knows the instruments of a mill: dial on a bench, two opposed dials, straightedge and feeler strips, precision level, scanner,
// tape and scale. Each has its components of uncertainty; together they are a quantity that package budget works out.
//
// It also takes a bench's own map off dial readings, computes how a difference of temperature between the faces bends a piece, and checks
// straightedges and levels by reversal. It gives no verdict and records nothing; rooms of its own hold the rest: study and agreement ask how well
// people and instruments repeat, history when they are due, worth what a better one would bring.
package gauge

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/gauge/budget"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Component is one property of an instrument or of how it is used, as written: "resolution", "0.001 mm".
type Component struct {
	Name, Text string
	line       int
}

// Instrument is an instrument with what one reading of it is made of.
type Instrument struct {
	Kind     string // as in Kinds
	Name     string
	Reads    string // what its reading is
	Unit     string // mm or kg
	Quantity budget.Quantity
	Units    []string // of each input, "" for a plain number
	Warnings []string
}

// Kinds lists the kinds of instruments in the order of the handbook.
func Kinds() []string {
	var names []string
	for _, k := range kinds() {
		names = append(names, k.name)
	}
	return names
}

// Properties lists what an instrument of this kind may state, with what each is.
func Properties(kind string) (list [][2]string) {
	for _, k := range kinds() {
		if k.name == kind {
			for _, p := range k.properties {
				list = append(list, [2]string{p.name, p.about})
			}
		}
	}
	return list
}

// New makes an instrument of its components. What the kind does not know, stands twice, is missing or cannot be read is refused.
func New(kind, name string, components []Component) (*Instrument, error) {
	at := slices.IndexFunc(kinds(), func(k form) bool { return k.name == sheet.Key(kind) })
	if at < 0 {
		return nil, trouble.Data("unknown-kind", "", fmt.Sprintf("%q is no kind of instrument", kind), "say one of "+strings.Join(Kinds(), ", "))
	}
	k := kinds()[at]
	in := &Instrument{Kind: k.name, Name: name, Reads: k.reads, Unit: k.unit, Warnings: slices.Clone(k.warnings)}
	for i, c := range components {
		if !slices.ContainsFunc(k.properties, func(p property) bool { return p.name == c.Name }) {
			var known []string
			for _, p := range k.properties {
				known = append(known, p.name)
			}
			return nil, c.bad("a "+k.name+" has no such component", "it may have "+strings.Join(known, ", "))
		}
		if find(components[:i], c.Name) >= 0 {
			return nil, c.bad("it stands twice", "keep one of the two lines")
		}
	}
	places := places{}
	for _, p := range k.properties {
		if err := in.add(p, components, places); err != nil {
			return nil, err
		}
	}
	in.bowed(places)
	in.Quantity.Name = k.reads
	in.Quantity.Of = k.build(places)
	return in, in.Quantity.Check()
}

// add puts a property among the inputs, where it is given.
func (in *Instrument) add(p property, components []Component, at places) error {
	i := find(components, p.name)
	if i < 0 {
		switch {
		case p.must:
			return trouble.Data("missing-component", "", fmt.Sprintf("a %s needs %s: %s", in.Kind, p.name, p.about), "add the line "+p.name+","+p.example())
		case p.when != "" && find(components, p.when) >= 0:
			in.put(p.otherwise, p.of, at)
			in.Warnings = append(in.Warnings, fmt.Sprintf("the %s is taken as %.3g per K, with limits of ± %.2g: nobody measured it", p.name, p.otherwise.Value, p.otherwise.U*math.Sqrt(3)))
		}
		return nil
	}
	c := components[i]
	input, err := p.parse(c.Text)
	if err != nil {
		return c.bad(err.Error(), "write it as "+p.example())
	}
	input.Name = p.name
	if p.twice {
		second := input
		input.Name, second.Name = "first "+p.name, "second "+p.name
		in.put(second, p.of, at)
	}
	in.put(input, p.of, at)
	return nil
}

func find(components []Component, name string) int {
	return slices.IndexFunc(components, func(c Component) bool { return c.Name == name })
}

func (in *Instrument) put(input budget.Input, of dimension, at places) {
	at[input.Name] = len(in.Quantity.Inputs)
	in.Quantity.Inputs = append(in.Quantity.Inputs, input)
	in.Units = append(in.Units, computedIn[of])
}

// bowed warns of a bow that cannot be computed.
func (in *Instrument) bowed(at places) {
	for _, pair := range [][2]string{{"face difference", "length"}, {"face difference", "thickness"}, {"edge difference", "edge length"}, {"edge difference", "edge height"}} {
		_, difference := at[pair[0]]
		if _, side := at[pair[1]]; difference && !side {
			in.Warnings = append(in.Warnings, "without the "+pair[1]+" the bow by the "+pair[0]+" is not in the result")
		}
	}
}

// Budget is a reading's doubt in both ways.
type Budget struct {
	*budget.Framework
	Drawn      *budget.Simulation // nil where too few readings stand behind a component; Undrawn says so
	Undrawn    string
	Comparison budget.Agreement
}

// Work works the reading out for an interval of this confidence, u given to 1 or 2 digits.
func (in *Instrument) Work(confidence float64, digits int, seed uint64) (*Budget, error) {
	f, err := in.Quantity.Propagate(confidence)
	if err != nil {
		return nil, err
	}
	b := &Budget{Framework: f}
	var told *trouble.Trouble
	switch b.Drawn, err = in.Quantity.Simulate(confidence, digits, seed); {
	case err == nil:
		b.Comparison = budget.Compare(f, b.Drawn, digits)
	case errors.As(err, &told) && told.Code == "too-few-readings":
		b.Undrawn = told.Where + ": " + told.What + "; " + told.Next
	default:
		return nil, err
	}
	return b, nil
}

func (c Component) bad(what, next string) error {
	where := c.Name
	if c.line > 0 {
		where = fmt.Sprintf("line %d, %s", c.line, c.Name)
	}
	return trouble.Data("bad-component", where, what, next)
}

// Read reads an instrument: '# kind:', '# name:', and the columns component and value.
func Read(s *sheet.Sheet) (*Instrument, error) {
	kind, ok, err := s.Take("kind")
	if err != nil {
		return nil, err
	}
	if !ok {
		return nil, s.Bad(1, "no-kind", "the kind of the instrument is not given", "write '# kind: "+Kinds()[0]+"' above the titles; kinds are "+strings.Join(Kinds(), ", "))
	}
	name, _, err := s.Take("name")
	if err != nil {
		return nil, err
	}
	columns, err := s.Columns([]string{"component", "value"}, "remark")
	if err != nil {
		return nil, err
	}
	var list []Component
	for _, row := range s.Rows {
		list = append(list, Component{Name: sheet.Key(row.Text(columns["component"])), Text: row.Text(columns["value"]), line: row.Line})
	}
	in, err := New(kind.Value, name.Value, list)
	if err != nil {
		return nil, err
	}
	in.Warnings = append(s.Rest(), in.Warnings...)
	return in, nil
}
