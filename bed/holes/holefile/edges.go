package holefile

import (
	"fmt"
	"strings"

	"slatewright/bed/holes"
	"slatewright/bed/holes/edge"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Edges are the edges of a bed's joints as read; nil where one was not.
type Edges struct {
	Thickness float64 // header line; 0 = not said
	Joints    []Pair
}

// Pair are the two edges of one joint.
type Pair struct {
	Name      string // of the two pieces
	Head      *edge.Edge
	Foot      *edge.Edge
	HeadPiece string
	FootPiece string
}

// ReadEdges reads a list of edges: columns edge, at and top; bottom, chip and u besides. An edge is named piece/neighbour: head/centre is the edge of the head piece that meets the
// centre piece. Both edges of a joint are read from the same point, along the same direction. usual is the uncertainty of a reading where the list states none.
// Errors are *trouble.Trouble.
func ReadEdges(s *sheet.Sheet, d *holes.Drawing, usual float64) (*Edges, []string, error) {
	all := &Edges{}
	var err error
	u, ok, err := s.TakeLength("u")
	if err != nil {
		return nil, nil, err
	}
	if !ok {
		u = usual
	}
	if all.Thickness, _, err = s.TakeLength("thickness"); err != nil {
		return nil, nil, err
	}
	columns, err := s.Columns([]string{"edge", "at", "top"}, "bottom", "chip", "u")
	if err != nil {
		return nil, nil, err
	}
	readings := map[string][]edge.Reading{}
	known := map[string]bool{}
	for _, j := range d.Joints {
		a, b := d.Pieces[j.Before].Name, d.Pieces[j.Before+1].Name
		known[a+"/"+b], known[b+"/"+a] = true, true
	}
	for _, row := range s.Rows {
		name := strings.ToLower(strings.ReplaceAll(row.Text(columns["edge"]), " ", ""))
		if !known[name] {
			return nil, nil, s.Bad(row.Line, "no-edge", fmt.Sprintf("no edge of a joint is called %q", row.Text(columns["edge"])), "name it piece/neighbour, such as head/centre")
		}
		r, err := edgeReading(s, row, columns, u)
		if err != nil {
			return nil, nil, err
		}
		readings[name] = append(readings[name], r)
	}
	for _, j := range d.Joints {
		a, b := d.Pieces[j.Before].Name, d.Pieces[j.Before+1].Name
		p := Pair{Name: a + "/" + b, HeadPiece: a, FootPiece: b}
		for _, e := range []struct {
			name string
			into **edge.Edge
		}{{a + "/" + b, &p.Head}, {b + "/" + a, &p.Foot}} {
			if list := readings[e.name]; list != nil {
				if *e.into, err = edge.New(e.name, list); err != nil {
					if t, ok := err.(*trouble.Trouble); ok {
						return nil, nil, trouble.Data(t.Code, s.Name+", "+t.Where, t.What, t.Next)
					}
					return nil, nil, err
				}
			}
		}
		if p.Head != nil || p.Foot != nil {
			all.Joints = append(all.Joints, p)
		}
	}
	return all, s.Rest(), nil
}

func edgeReading(s *sheet.Sheet, row sheet.Row, columns map[string]sheet.Column, u float64) (r edge.Reading, err error) {
	if r.At, err = s.Length(row, columns["at"]); err != nil {
		return r, err
	}
	if r.Top, err = s.Length(row, columns["top"]); err != nil {
		return r, err
	}
	r.U = u
	for _, o := range []struct {
		name string
		into *float64
	}{{"bottom", &r.Bottom}, {"chip", &r.Chip}, {"u", &r.U}} {
		c, has := columns[o.name]
		if !has || row.Text(c) == "" {
			continue
		}
		if *o.into, err = s.Length(row, c); err != nil {
			return r, err
		}
		if o.name == "bottom" {
			r.HasBottom = true
		} else if *o.into < 0 {
			return r, s.Bad(row.Line, "bad-number", o.name+" must not be below 0", "write a length of 0 or more")
		}
	}
	return r, nil
}
