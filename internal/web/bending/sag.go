package bending

import (
	"bytes"
	"html/template"
	"math"
	"strings"

	"slatewright/internal/caution"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/facemap"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/plate"
	"slatewright/plate/answers"
)

// sagPage is the page.
type sagPage struct {
	typed
	Wrong  *problem.Problem
	Head   string
	Answer *shell.Answer
}

func (r room) sag(v *shell.Visit) error {
	p := sagPage{typed: typedIn(v)}
	found, err := r.answer(v, p.typed)
	code := 0
	if err != nil {
		if p.Wrong = shell.Mendable(err); p.Wrong == nil {
			return err
		}
		p.Head, code = v.HeadOf(p.Wrong), p.Wrong.Status
	} else {
		if v.R.URL.Query().Get("as") == "json" {
			return v.GiveJSON("sag.json", found)
		}
		a := p.say(v, found)
		p.Answer = &a
	}
	var loads []caution.Load
	if found != nil {
		loads = []caution.Load{{Name: v.Word("kind", "piece"), Kg: found.MassKG}}
	}
	return v.Show(shell.Page{Name: "bending/sag", Title: v.Say("bend.sag"), Here: "gauging", Code: code, Data: p,
		Care: caution.OnPage(v.Words, []caution.Topic{caution.Lifting, caution.Loading}, loads...)})
}

// answer answers what was typed when it is this question's turn.
func (r room) answer(v *shell.Visit, t typed) (*answers.Sag, error) {
	done, err := r.turn.Wait(v.R.Context(), v)
	if err != nil {
		return nil, err
	}
	defer done()
	q, err := t.question(v)
	if err != nil {
		return nil, err
	}
	return answers.SagOf(q)
}

// say puts the answer in words.
func (t typed) say(v *shell.Visit, s *answers.Sag) (a shell.Answer) {
	a.Says = v.Say("bend.says", "support", tongue.Key("bend.on-"+t.On), "sag_mm", s.PeakToValleyMM)
	low, high := s.PeakToValleyMM, s.PeakToValleyMM
	for _, m := range s.Moduli {
		low, high = min(low, m.PeakToValleyMM), max(high, m.PeakToValleyMM)
	}
	if t.Modulus == "" {
		a.Next = v.Say("bend.untested", "low_mm", low, "high_mm", high)
	}
	if l := s.Load; l != nil && l.ModulusGPa != nil {
		a.Next = v.Say("bend.tested", "modulus", v.Number(*l.ModulusGPa, 1)+" GPa", "doubt", v.Number(2**l.ModulusUGPa, 1)+" GPa")
	}
	a.Wide = template.HTML(`<img src="/sag.svg?` + template.HTMLEscapeString(t.query()) + `" width="500" height="760" alt="` + template.HTMLEscapeString(a.Says) + `">`)
	a.Caption, a.Notes = v.Say("bend.caption"), s.Warnings
	a.Figures = figures(v, s)
	if len(s.Supports) > 0 {
		a.Tables = append(a.Tables, marks(v, s))
	}
	return a
}

func figures(v *shell.Visit, s *answers.Sag) []shell.Figure {
	at := func(p [2]float64) string { return v.Say("bend.at", "x_size", p[0], "y_size", p[1]) }
	list := []shell.Figure{
		{Name: v.Say("bend.peak"), Value: v.Both(s.PeakToValleyMM), Small: v.Say("bend.error", "error", v.Number(math.Ceil(s.ErrorEstimateMM*1e4)/10, 1)+" µm")},
		{Name: v.Say("bend.lowest"), Value: v.Both(s.MinMM), Small: at(s.MinAtMM)},
		{Name: v.Say("bend.stress"), Value: v.Number(s.Stress.MPa, 2) + " N/mm²", Small: v.Say("bend.factor", "times", v.Number(math.Floor(s.Stress.Factor), 0))},
		{Name: v.Say("bend.mass"), Value: v.Mass(s.MassKG)},
	}
	if s.Slip != nil {
		list = append(list, shell.Figure{Name: v.Say("bend.slip", "slip_size", s.Slip.SlipMM), Value: v.Both(s.Slip.CostsMM), Small: v.Say("bend.slip-more")})
	}
	if l := s.Load; l != nil {
		list = append(list, shell.Figure{Name: v.Say("bend.load", "mass", v.Mass(l.KG)), Value: v.Both(l.DeflectionMM)})
	}
	return list
}

// marks are where the supports belong: what is marked on the bench.
func marks(v *shell.Visit, s *answers.Sag) shell.Table {
	t := shell.Table{Title: v.Say("bend.marks"), Caption: v.Say("frame.from-middle"), Heads: shell.Heads(v.Say("bend.support"), v.Say("stone.x"), v.Say("stone.y"), v.Say("frame.carries"))}
	place := func(mm *float64) string {
		if mm == nil {
			return "–"
		}
		return v.Size(*mm)
	}
	for _, f := range s.Supports {
		kind := v.Say("bend.point")
		if f.XMM == nil || f.YMM == nil {
			kind = v.Say("bend.bar")
		}
		carries := v.Number(f.ForceN, 0) + " N"
		if f.LiftsOff {
			carries += " · " + v.Say("bend.lifts", "gap_mm", f.GapMM)
		}
		t.Rows = append(t.Rows, shell.RowOf(kind, place(f.XMM), place(f.YMM), carries))
	}
	return t
}

// pictureMM is how wide the piece is drawn.
const pictureMM = 120

func (r room) picture(v *shell.Visit) error {
	t := typedIn(v)
	s, err := r.answer(v, t)
	if err != nil {
		return err
	}
	o := s.Bent()
	x, y := s.SizeMM[0]/2, s.SizeMM[1]/2
	m := facemap.Map{Title: v.Say("bend.on-" + t.On), About: v.Say("bend.about", "sag_mm", s.PeakToValleyMM), MinX: -x, MaxX: x, MinY: -y, MaxY: y, Words: words(v.Words), Mesh: mesh(o, x, y)}
	for i, q := range o.Supports {
		if o.Carries[i] && len(s.Supports) > 0 {
			m.Readings = append(m.Readings, contour.Point{X: q.X, Y: q.Y})
		}
	}
	var out bytes.Buffer
	if err := m.SVG(&out, pictureMM); err != nil {
		return err
	}
	v.W.Header().Set("Content-Type", "image/svg+xml")
	_, _ = v.W.Write(out.Bytes()) // a browser that has gone cannot be told so
	return nil
}

func mesh(b *plate.Bent, x, y float64) contour.Mesh {
	const cell = 16.0 // mm
	m := contour.Mesh{NX: int(math.Ceil(2*x/cell)) + 1, NY: int(math.Ceil(2*y/cell)) + 1}
	for i := range m.NX {
		for j := range m.NY {
			q := plate.Point{X: -x + 2*x*float64(i)/float64(m.NX-1), Y: -y + 2*y*float64(j)/float64(m.NY-1)}
			m.X, m.Y, m.Z = append(m.X, q.X), append(m.Y, q.Y), append(m.Z, b.Height(q))
		}
	}
	return m
}

// words are those on the picture.
func words(w tongue.Words) facemap.Words {
	return facemap.Words{Head: w.Word("place", "head"), Foot: w.Word("place", "foot"), Left: w.Word("place", "left"), Right: w.Word("place", "right"),
		High: w.Say("stone.picture-high"), Low: w.Say("stone.picture-low"), Height: w.Say("stone.picture-height"), Upper: w.Say("stone.picture-upper"),
		Lower: w.Say("stone.picture-lower"), Read: w.Say("bend.support"), NotRead: w.Say("stone.picture-not-read"), Band: w.Say("stone.picture-band"),
		Below: w.Say("bend.below"), Thou: "thou", Every: w.Say("stone.picture-every", "step", "{n}"), Comma: strings.Contains(w.Number(0.5, 1), ",")}
}
