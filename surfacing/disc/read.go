package disc

import (
	"fmt"
	"math"
	"strings"

	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

// List is a disc as a mill writes it down. What its header lines do not say is NaN.
type List struct {
	Ring     *Ring
	Duty     Duty
	Band     float64 // mm
	Doubt    Doubt
	Bearings float64 // mm from one bearing of the spindle to the other
	Warnings []string
}

// Read reads a disc: the columns position, angle_deg, radius_mm, mass_g and height_mm, and, where they are known, bit (its mark), new (yes or no) and
// runout_mm of the seat. A row without angle and radius is a spare; a place without a bit has the mass 0. Header lines: speed, grade, rotor mass, band, u mass, u place,
// bearings, and body for the unbalance of the bare disc.
func Read(s *sheet.Sheet) (*List, error) {
	l := &List{}
	body, err := l.header(s)
	if err != nil {
		return nil, err
	}
	c, err := columns(s)
	if err != nil {
		return nil, err
	}
	var places, spares []Place
	var bits, spareBits []Bit
	for _, row := range s.Rows {
		p, b, err := readRow(s, row, c)
		if err != nil {
			return nil, err
		}
		if p.Spare {
			spares, spareBits = append(spares, p), append(spareBits, b)
		} else {
			places, bits = append(places, p), append(bits, b)
		}
	}
	if l.Ring, err = NewRing(append(places, spares...), append(bits, spareBits...), body); err != nil {
		if t, ok := err.(*trouble.Trouble); ok {
			return nil, trouble.Data(t.Code, s.Name, t.What, t.Next)
		}
		return nil, err
	}
	l.Warnings = s.Rest()
	return l, nil
}

// columns finds the titles; mass and angle may carry their units.
func columns(s *sheet.Sheet) (map[string]sheet.Column, error) {
	name := func(with, without string) string {
		if _, ok := s.Has(without); ok {
			return without
		}
		return with
	}
	mass, angle := name("mass g", "mass"), name("angle deg", "angle")
	c, err := s.Columns([]string{"position", angle, "radius", mass, "height"}, "bit", "new", "runout", "note")
	if err != nil {
		return nil, err
	}
	c["mass"], c["angle"] = c[mass], c[angle]
	return c, nil
}

func readRow(s *sheet.Sheet, row sheet.Row, c map[string]sheet.Column) (p Place, b Bit, err error) {
	p.Name, b.Name = row.Text(c["position"]), row.Text(c["bit"])
	if p.Name == "" {
		return p, b, s.Bad(row.Line, "bad-position", "the row has no position", "give the place its number, or a spare its mark")
	}
	if b.Name == "" {
		b.Name = p.Name
	}
	p.Spare = row.Text(c["angle"]) == "" && row.Text(c["radius"]) == ""
	if !p.Spare {
		if p.Degrees, err = s.Number(row, c["angle"]); err != nil {
			return p, b, err
		}
		if p.Radius, err = s.Length(row, c["radius"]); err != nil {
			return p, b, err
		}
		if !(p.Radius > 0) {
			return p, b, s.Bad(row.Line, "bad-number", "a radius of 0 or less", "give the distance of the bit's middle from the axis; a spare has neither angle nor radius")
		}
	}
	if b.Mass, err = s.Number(row, c["mass"]); err != nil {
		return p, b, err
	}
	if b.Mass != 0 {
		if b.Height, err = s.Length(row, c["height"]); err != nil {
			return p, b, err
		}
	}
	if row.Text(c["runout"]) != "" {
		if p.Runout, err = s.Length(row, c["runout"]); err != nil {
			return p, b, err
		}
	}
	switch row.Text(c["new"]) {
	case "", "no":
	case "yes":
		b.New = true
	default:
		return p, b, s.Bad(row.Line, "bad-word", fmt.Sprintf("new = %q says neither yes nor no", row.Text(c["new"])), "write yes or no")
	}
	return p, b, nil
}

// header takes the header lines.
func (l *List) header(s *sheet.Sheet) (body Vector, err error) {
	nan := math.NaN()
	l.Duty, l.Band, l.Doubt, l.Bearings = Duty{nan, nan, nan}, nan, Doubt{nan, nan}, nan
	for _, k := range []struct {
		key  string
		into *float64
		read func(string) (float64, error)
	}{
		{"speed", &l.Duty.Speed, ParseSpeed}, {"grade", &l.Duty.Grade, ParseGrade}, {"rotor mass", &l.Duty.Rotor, ParseMass},
		{"band", &l.Band, measure.ParseLength}, {"u mass", &l.Doubt.Mass, parseGrams}, {"u place", &l.Doubt.Place, measure.ParseLength}, {"bearings", &l.Bearings, measure.ParseLength},
	} {
		h, ok, err := s.Take(k.key)
		if err != nil {
			return body, err
		}
		if ok {
			if *k.into, err = k.read(h.Value); err != nil {
				return body, placed(s, h.Line, err)
			}
		}
	}
	h, ok, err := s.Take("body")
	if err != nil || !ok {
		return body, err
	}
	if body, err = ParseUnbalance(h.Value); err != nil {
		return body, placed(s, h.Line, err)
	}
	return body, nil
}

func placed(s *sheet.Sheet, line int, err error) error {
	if t, ok := err.(*trouble.Trouble); ok {
		return s.Bad(line, t.Code, t.What, t.Next)
	}
	return err
}

// quantity reads a number with one of some units; "" among them lets a bare number through.
func quantity(text, what, next string, units map[string]float64) (float64, error) {
	typed := strings.TrimSpace(text)
	number := strings.TrimRight(typed, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ/·. ")
	unit := strings.TrimSpace(typed[len(number):])
	factor, ok := units[unit]
	v, err := measure.ParseNumber(number)
	if err != nil || !ok || math.Abs(v) > 1e9 {
		return 0, trouble.Data("bad-quantity", "", fmt.Sprintf("%q is no %s", text, what), next)
	}
	return v * factor, nil
}

// ParseSpeed reads revolutions a minute: 1400rpm, 1400/min, 23.3/s, 23.3 Hz.
func ParseSpeed(text string) (rpm float64, err error) {
	return quantity(text, "speed", "write it such as 1400rpm", map[string]float64{"rpm": 1, "/min": 1, "r/min": 1, "/s": 60, "Hz": 60})
}

// ParseMass reads a mass in kg: 12kg, 12000 g, 26lb.
func ParseMass(text string) (kg float64, err error) {
	return quantity(text, "mass", "write it such as 12kg or 26lb", map[string]float64{"kg": 1, "g": 0.001, "lb": 0.45359237})
}

func parseGrams(text string) (g float64, err error) {
	kg, err := ParseMass(text)
	return kg * 1000, err
}

// ParseGrade reads a balance grade, mm/s: 6.3, G6.3, G 2.5 mm/s.
func ParseGrade(text string) (float64, error) {
	return quantity(strings.TrimPrefix(strings.TrimSpace(text), "G"), "balance grade", "write it such as 6.3", map[string]float64{"": 1, "mm/s": 1})
}

// ParseUnbalance reads a vector: 120 g mm at 45 deg.
func ParseUnbalance(text string) (Vector, error) {
	const next = "write it such as 120 g mm at 45 deg, towards the heavy side"
	size, angle, ok := strings.Cut(text, " at ")
	u, err := quantity(size, "unbalance", next, map[string]float64{"g mm": 1, "gmm": 1, "g·mm": 1})
	if err != nil || !ok {
		return Vector{}, trouble.Data("bad-quantity", "", fmt.Sprintf("%q is no unbalance", text), next)
	}
	deg, err := quantity(angle, "angle", next, map[string]float64{"": 1, "deg": 1})
	if err != nil || math.Abs(u) > 1e7 || math.Abs(deg) > 3600 {
		return Vector{}, trouble.Data("bad-quantity", "", fmt.Sprintf("%q is no unbalance", text), next)
	}
	return Polar(u, deg), nil
}
