package cutting

import (
	"slices"
	"strings"

	"slatewright/cutting/marking"
	"slatewright/cutting/sawing"
	"slatewright/internal/picture/cutplan"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// photoIn reads the known points of a photo, if there are any: what was drawn over it comes as places on the slab already, and is held against them here.
func photoIn(a shell.Asked) (*marking.Photo, error) {
	if a.Lists.Lists["photo"].Empty() {
		return nil, nil
	}
	t, err := a.Sheet("photo")
	if err != nil {
		return nil, err
	}
	columns, err := t.Columns([]string{"point", "u", "v", "x", "y"})
	if err != nil {
		return nil, err
	}
	var known []marking.Known
	for _, r := range t.Rows {
		k := marking.Known{Name: r.Text(columns["point"])}
		if k.U, err = t.Number(r, columns["u"]); err != nil {
			return nil, err
		}
		if k.V, err = t.Number(r, columns["v"]); err != nil {
			return nil, err
		}
		if k.At.X, err = t.Length(r, columns["x"]); err != nil {
			return nil, err
		}
		if k.At.Y, err = t.Length(r, columns["y"]); err != nil {
			return nil, err
		}
		known = append(known, k)
	}
	return marking.NewPhoto(known)
}

// photoFigure says how far the photo can be trusted.
func (m marked) photoFigure() (f shell.Figure, told bool) {
	if m.photo == nil {
		return f, false
	}
	f = shell.Figure{Name: m.Say("marking.photo-doubt"), Value: m.Say("marking.photo-unknown"), Small: m.Say("marking.photo-step", "step_size", m.photo.Coarsest())}
	if mm, known := m.photo.Doubt(); known {
		f.Value = m.Size(mm)
	}
	return f, true
}

// photoNotes are what is to be borne in mind of places that were drawn over a photo.
func (m marked) photoNotes() (list []string) {
	if m.photo == nil {
		return nil
	}
	list = append(list, m.Say("marking.lens"))
	if mm, known := m.photo.Doubt(); known {
		list = append(list, m.Say("marking.photo-off", "off_size", mm))
		near := 0
		for _, f := range m.Asked.Flaws {
			if f.Clearance < mm {
				near++
			}
		}
		if near > 0 {
			list = append(list, m.Say("marking.photo-near", "n", near))
		}
	} else {
		list = append(list, m.Say("marking.photo-fifth"))
	}
	if n := m.photo.Outside(m.Asked.Outline); n > 0 {
		list = append(list, m.Say("marking.photo-outside", "n", n))
	}
	return list
}

// isExample tells whether what was given is one of the page's own examples, whether shown or sent in again.
func isExample(a shell.Asked) bool {
	given := strings.TrimSpace(a.Lists.Lists["slab"].Text)
	return slices.ContainsFunc([]string{"slab.csv", "photo-slab.csv", "tape.csv"}, func(name string) bool {
		text, err := examples.ReadFile("examples/" + name)
		return err == nil && strings.TrimSpace(string(text)) == given
	})
}

// scale is what masses are reckoned from.
type scale struct {
	thick, density float64  // the thickest reading, mm, 0: not known; kg/m³
	weighed        *float64 // what the slab weighed, kg; nil: nobody weighed it
}

// scaleIn reads it.
func scaleIn(a shell.Asked) (s scale, err error) {
	if s.thick, _, err = a.LengthIn("thickness"); err != nil {
		return s, err
	}
	s.density = sawing.UsualDensity
	if density, given, err := a.NumberIn("density"); err != nil {
		return s, err
	} else if given {
		s.density = density
	}
	kg, given, err := a.NumberIn("weighed")
	switch {
	case err != nil:
		return s, err
	case given && !(kg > 0):
		return s, problem.New("bad-value", "weighed", a.Say("list.no-number", "typed", a.Plain.Get("weighed")), a.Say("list.no-number-next"))
	case given && a.Units() == tongue.Inch:
		kg *= 0.45359237
	}
	if given {
		s.weighed = &kg
	}
	return s, nil
}

func (m marked) massFigure() shell.Figure {
	f := shell.Figure{Name: m.Say("marking.slab-mass"), Value: m.Say("sawing.unknown"), Small: m.Say("marking.no-thickness")}
	if m.sheet.SlabKg > 0 {
		f.Value, f.Small = cutplan.Lifted(m.Words, m.sheet.SlabKg), m.Say("marking.mass-small", "thick_size", m.sheet.Thick)
	}
	return f
}

func (m marked) pieceMass(i int) string {
	if m.sheet.PieceKg == nil {
		return m.Say("sawing.unknown")
	}
	return cutplan.Lifted(m.Words, m.sheet.PieceKg[i])
}
