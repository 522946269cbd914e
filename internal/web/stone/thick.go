package stone

import (
	"context"
	"errors"
	"fmt"
	"html/template"
	"net/url"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/trouble"
)

// thickView is how thick a piece is.
type thickView struct {
	Untied string // why there is no map, in words
	Plan   template.HTML
	Rows   []thickRow
}

type thickRow struct{ X, Y, Thickness, Beside string }

// thick makes the part of the page about thickness.
func (r room) thick(v *shell.Visit, id string, s *book.PieceState, f *faceView) error {
	up, there := readingOf(s.Readings, top, "")
	if f.There = there; !there {
		return nil
	}
	under, _ := readingOf(s.Readings, bottom, "")
	f.Read = readingRowOf(v, up, r.stateOf(up))
	asked := r.measured.AskThickness(up.Blob, under.Blob)
	f.State = asked.State.String()
	switch asked.State {
	case measured.Failed:
		f.Fault = faultOf(asked.Err)
		return nil
	case measured.Computing:
		return nil
	}
	t := asked.Value
	f.Thick = &thickView{}
	if t.LeastMM != nil {
		f.Figures = append(f.Figures, figure{v.Say("stone.thinnest"), thin(v.Words, *t.LeastMM), ""}, figure{v.Say("stone.thick-mean"), thin(v.Words, *t.MeanMM), v.Say("stone.gauged", "n", len(t.Gauged))})
	}
	if t.Tie != nil {
		f.Figures = append(f.Figures, figure{v.Say("stone.tie"), v.Length(t.Tie.ResidualMM), v.Say("stone.tie-corner", "u_mm", t.Tie.CornerSE)})
	}
	f.Warnings = t.Warnings
	for _, g := range t.Gauged {
		row := thickRow{X: v.Size(g.X), Y: v.Size(g.Y), Thickness: thin(v.Words, g.T)}
		if g.Beside != nil {
			row.Beside = v.Length(*g.Beside)
		}
		f.Thick.Rows = append(f.Thick.Rows, row)
	}
	if t.Map == nil {
		f.Thick.Untied = v.Say("stone.untied-" + t.Untied)
		return r.plan(v, up, t, f)
	}
	at := "/piece/" + url.PathEscape(id)
	f.Map, f.Picture, f.Relief = at+"/map?face="+thickness, at+"/map.svg?face="+thickness, at+"/relief?face="+thickness
	return nil
}

// thin writes a thickness as finely as a caliper reads it.
func thin(w tongue.Words, mm float64) string {
	if w.Units() == tongue.Inch {
		return w.Number(mm/inch, 3) + " in"
	}
	return w.Number(mm, 2) + " mm"
}

// plan draws where the piece was gauged, with what was found there.
func (r room) plan(v *shell.Visit, up book.Reading, t measured.Thickness, f *faceView) error {
	face, err := r.measured.Face(v.R.Context(), up.Blob)
	if err != nil || face.SizeX == 0 || len(t.Gauged) == 0 {
		return err
	}
	const wide, margin = 420.0, 34.0
	scale := (wide - 2*margin) / face.SizeX
	high := face.SizeY*scale + 2*margin
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="plan" viewBox="0 0 %g %.0f" role="img"><title>%s</title>`, wide, high, template.HTMLEscapeString(v.Say("stone.plan", "n", len(t.Gauged))))
	fmt.Fprintf(&b, `<rect class="outline" x="%g" y="%g" width="%.1f" height="%.1f"/>`, margin, margin, face.SizeX*scale, face.SizeY*scale)
	for _, g := range t.Gauged {
		x, y := wide/2+g.X*scale, high/2-g.Y*scale
		fmt.Fprintf(&b, `<circle class="spot" cx="%.1f" cy="%.1f" r="3"/><text class="figure" x="%.1f" y="%.1f" text-anchor="middle">%s</text>`, x, y, x, y-9, template.HTMLEscapeString(thin(v.Words, g.T)))
	}
	for _, e := range []struct {
		word string
		x, y float64
		turn int
	}{{"head", margin - 12, high / 2, -90}, {"foot", wide - margin + 12, high / 2, 90}, {"left", wide / 2, high - margin + 20, 0}, {"right", wide / 2, margin - 10, 0}} {
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f" text-anchor="middle" transform="rotate(%d %.1f %.1f)">%s</text>`, e.x, e.y, e.turn, e.x, e.y, template.HTMLEscapeString(v.Word("place", e.word)))
	}
	b.WriteString(`</svg>`)
	f.Thick.Plan = template.HTML(b.String())
	return nil
}

// faultOf says why something could not be computed.
func faultOf(err error) fault {
	var t *trouble.Trouble
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) || !errors.As(err, &t) {
		p := problem.Of(err)
		return fault{What: p.Detail, Next: p.Next}
	}
	return fault{What: t.What, Next: t.Next, Where: t.Where}
}
