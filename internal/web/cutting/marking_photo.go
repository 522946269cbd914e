package cutting

import (
	"slices"
	"strings"

	"slatewright/cutting/marking"
	"slatewright/cutting/recovery"
	"slatewright/cutting/slab"
	"slatewright/cutting/slab/answers"
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

// loads are the masses for lifting; they are not known without the slab's thickness.
type loads struct {
	name     string
	thick    float64  // the thickest reading, mm; 0: not known
	density  float64  // kg/m³
	weighed  *float64 // kg
	box      slab.Box
	slabKg   float64 // rounded up
	disagree bool    // what was weighed is more than a tenth off
	pieceKg  []float64
}

// usualDensity is that of wet slate, on the heavy side, kg/m³.
const usualDensity = 2850

// loadsIn reads what masses are reckoned from.
func loadsIn(a shell.Asked, s *slab.Slab) (l loads, err error) {
	l.name, l.density, l.box = s.Name, usualDensity, slab.Around(s.Outline)
	if l.thick, _, err = a.LengthIn("thickness"); err != nil {
		return l, err
	}
	if s.Thickness != nil {
		for _, row := range s.Thickness.T {
			l.thick = max(l.thick, slices.Max(row))
		}
	}
	if density, given, err := a.NumberIn("density"); err != nil {
		return l, err
	} else if given {
		l.density = density
	}
	kg, given, err := a.NumberIn("weighed")
	switch {
	case err != nil:
		return l, err
	case given && !(kg > 0):
		return l, problem.New("bad-value", "weighed", a.Say("list.no-number", "typed", a.Plain.Get("weighed")), a.Say("list.no-number-next"))
	case given && a.Units() == tongue.Inch:
		kg *= 0.45359237
	}
	if given {
		l.weighed = &kg
	}
	return l, nil
}

// weigh makes the masses: of the slab as it lies, and of each piece.
func (l *loads) weigh(p *answers.Plan) error {
	if !(l.thick > 0) {
		return nil
	}
	whole, err := recovery.Weigh(recovery.Body{Name: l.name, Length: l.box.X2 - l.box.X1, Width: l.box.Y2 - l.box.Y1, Thickness: []float64{l.thick}, Typed: l.weighed}, l.density)
	if err != nil {
		return err
	}
	l.slabKg, l.disagree = whole.Rounded, whole.Disagree
	for _, q := range p.Pieces {
		one, err := recovery.Weigh(recovery.Body{Name: q.Type, Length: q.Along, Width: q.Across, Thickness: []float64{l.thick}}, l.density)
		if err != nil {
			return err
		}
		l.pieceKg = append(l.pieceKg, one.Rounded)
	}
	return nil
}

func (l loads) figure(w tongue.Words) shell.Figure {
	f := shell.Figure{Name: w.Say("marking.slab-mass"), Value: w.Say("sawing.unknown"), Small: w.Say("marking.no-thickness")}
	if l.slabKg > 0 {
		f.Value, f.Small = cutplan.Lifted(w, l.slabKg), w.Say("marking.mass-small", "thick_size", l.thick)
	}
	return f
}

func (l loads) piece(w tongue.Words, i int) string {
	if l.pieceKg == nil {
		return w.Say("sawing.unknown")
	}
	return cutplan.Lifted(w, l.pieceKg[i])
}

func (l loads) notes(w tongue.Words) []string {
	if l.disagree {
		return []string{w.Say("marking.mass-disagrees")}
	}
	return nil
}
