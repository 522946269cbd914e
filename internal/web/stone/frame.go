package stone

import (
	"bytes"
	"html/template"
	"net/url"
	"strings"

	"slatewright/bed"
	"slatewright/internal/caution"
	"slatewright/internal/measured"
	"slatewright/internal/tongue"
	"slatewright/internal/web/bedplan"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/judge"
	"slatewright/measure"
	"slatewright/seating/levelling"
	"slatewright/seating/levelling/answers"
)

// framePage is how the bed of a set is laid on its frame.
type framePage struct {
	Set     string
	Here    string
	State   string
	Fault   fault
	Wrong   *problem.Problem
	Head    string
	Frames  []frameChoice
	Modulus string
	Screws  string
	Answer  *shell.Answer
}

type frameChoice struct {
	Value, Label string
	Chosen       bool
}

// layingOf reads what the form asks for. What was typed stays in the page when it is wrong.
func layingOf(v *shell.Visit, p *framePage, t measured.Triple) (l measured.Laying, err error) {
	q := v.R.URL.Query()
	l.Triple, l.Frame = t, q.Get("frame")
	p.Modulus, p.Screws = q.Get("modulus"), q.Get("screws")
	p.Frames = []frameChoice{{"", v.Say("frame.own"), l.Frame == ""}}
	for _, f := range levelling.Frames() {
		p.Frames = append(p.Frames, frameChoice{f.Name, v.Say("frame.kind-" + f.Name), l.Frame == f.Name})
	}
	if l.Frame != "" {
		if _, err := levelling.FrameNamed(l.Frame); err != nil {
			return l, err
		}
	}
	if strings.TrimSpace(p.Modulus) != "" {
		if l.Modulus, err = measure.ParseModulus(p.Modulus); err != nil {
			return l, err
		}
	}
	if strings.TrimSpace(p.Screws) != "" {
		l.Screws, err = measure.ParseForce(p.Screws)
	}
	return l, err
}

func (r room) frame(v *shell.Visit) error {
	l, t, err := r.bedOf(v)
	if err != nil {
		return err
	}
	p := framePage{Set: l.thing.ID, Here: v.R.URL.RequestURI()}
	code := 0
	asked, err := layingOf(v, &p, t)
	if err != nil {
		if p.Wrong = shell.Mendable(err); p.Wrong == nil {
			return err
		}
		p.Head, code = v.HeadOf(p.Wrong), p.Wrong.Status
	} else {
		laid := r.measured.AskLaid(asked)
		p.State = laid.State.String()
		switch laid.State {
		case measured.Failed:
			p.Fault = faultOf(laid.Err)
		case measured.Ready:
			if v.R.URL.Query().Get("as") == "json" {
				return v.GiveJSON(l.thing.ID+"-frame.json", laid.Value.Bed)
			}
			a := laidAnswer(v, l.thing.ID, laid.Value)
			p.Answer = &a
		}
	}
	r.again(v, p.State == measured.Computing.String())
	var loads []caution.Load
	for i, piece := range l.pieces {
		line, err := lineOf(v, piece)
		if err != nil {
			return err
		}
		if m := massOf(l.states[i], line); m.Kg > 0 {
			loads = append(loads, caution.Load{Name: piece.ID, Kg: m.Kg})
		}
	}
	return v.Show(shell.Page{Name: "stone/frame", Title: v.Say("frame.asks", "set", l.thing.ID), Here: string(l.thing.Station), Code: code, Data: p,
		Care: caution.OnPage(v.Words, []caution.Topic{caution.Lifting, caution.Placing, caution.Loading}, loads...)})
}

// laidAnswer puts the answer in words, with the map of the bed as it will lie.
func laidAnswer(v *shell.Visit, id string, l *measured.Laid) (a shell.Answer) {
	b := l.Bed
	share := v.Percent(100 * b.Share)
	switch b.Says {
	case judge.Conforms:
		a.Tone, a.Says = "good", v.Say("frame.conforms", "share", share)
	case judge.DoesNotConform:
		a.Tone, a.Says = "bad", v.Say("frame.fails", "share", share)
	default:
		a.Tone, a.Says, a.Next = "doubt", v.Say("frame.open"), v.Say("frame.test")
	}
	if b.ShareBound != nil && a.Next == "" {
		a.Next = v.Say("frame.bound", "share", v.Percent(100**b.ShareBound))
	}
	at := "/set/" + url.PathEscape(id) + "/frame.svg?" + v.R.URL.Query().Encode()
	a.Wide = template.HTML(`<img src="` + template.HTMLEscapeString(at) + `" width="1000" height="760" alt="` + template.HTMLEscapeString(a.Says) + `">`)
	a.Caption = v.Say("frame.caption")
	a.Figures, a.Notes = laidFigures(v, b), b.Warnings
	a.Plan, a.Places = packsPlan(v, l), v.Say("frame.packs-plan", "unit", unitOf(v))
	for n, s := range b.Work {
		a.Tables = append(a.Tables, packTable(v, l, n, s))
		if len(s.Levels) > 0 {
			a.Tables = append(a.Tables, levelTable(v, b, s))
		}
	}
	return a
}

// framePicture is the map of the bed as it will lie.
func (r room) framePicture(v *shell.Visit) error {
	l, t, err := r.bedOf(v)
	if err != nil {
		return err
	}
	asked, err := layingOf(v, &framePage{}, t)
	if err != nil {
		return err
	}
	laid, err := r.measured.Laid(v.R.Context(), asked)
	if err != nil {
		return err
	}
	m := laid.Picture
	m.Title, m.Words = v.Word("kind", "set")+" "+l.thing.ID, v.Words
	var out bytes.Buffer
	if err := m.SVG(&out); err != nil {
		return err
	}
	return picture(v, out.Bytes())
}

func laidFigures(v *shell.Visit, b *answers.Bed) []shell.Figure {
	figure := func(key string, mm float64, spread [2]float64, limit float64) shell.Figure {
		return shell.Figure{Name: v.Say(key), Value: v.Both(mm), Small: v.Say("frame.spread", "low_mm", spread[0], "high_mm", spread[1], "limit_mm", limit)}
	}
	stress := max(b.StressMPa[0], b.StressMPa[1], b.StressMPa[2])
	return []shell.Figure{
		figure("stone.limit-lengthwise", b.LengthwiseMM, b.Range.LengthwiseMM, b.Limits.LengthwiseMM),
		figure("stone.limit-across", b.AcrossMM, b.Range.AcrossMM, b.Limits.AcrossMM),
		figure("stone.limit-zone", b.ZoneMM, b.Range.ZoneMM, b.Limits.ZoneMM),
		figure("frame.step", max(b.StepMM[0], b.StepMM[1]), b.Range.StepMM, b.Limits.StepMM),
		{Name: v.Say("frame.load", "mass", v.Mass(b.LoadKG)), Value: v.Both(b.LoadDeflectionMM), Small: v.Say("frame.load-limit", "limit_mm", b.LoadLimitMM)},
		{Name: v.Say("frame.stress"), Value: v.Number(stress, 2) + " N/mm²"},
	}
}

// packsPlan is the bed from above with the height of each pack where it lies.
func packsPlan(v *shell.Visit, l *measured.Laid) template.HTML {
	spec := bed.NineFoot()
	var at []bedplan.Place
	for _, s := range l.Bed.Shims {
		at = append(at, bedplan.Place{X: bedplan.Middle(spec, placeNumber(s.Piece)) + s.XMM, Y: s.YMM, Words: figureOf(v, s.HeightMM)})
	}
	return bedplan.Draw(v.Words, spec, at, v.Say("frame.packs-plan", "unit", unitOf(v)))
}

// figureOf is a small length without its unit, which stands beside it: mm, or thousandths of an inch.
func figureOf(v *shell.Visit, mm float64) string {
	if v.Words.Units() == tongue.Inch {
		return v.Number(mm/0.0254, 1)
	}
	return v.Number(mm, 3)
}

func unitOf(v *shell.Visit) string {
	if v.Words.Units() == tongue.Inch {
		return "thou"
	}
	return "mm"
}

// packTable is the packs under one piece, as the mechanic lays them.
func packTable(v *shell.Visit, l *measured.Laid, n int, s answers.Stage) shell.Table {
	t := shell.Table{Title: v.Say("frame.lay", "n", n+1, "place", tongue.Key("place."+s.Piece), "piece", l.Pieces[placeNumber(s.Piece)]), Caption: v.Say("frame.from-middle"),
		Heads: shell.Heads(v.Say("stone.x"), v.Say("stone.y"), v.Say("stone.shim-height"), v.Say("stone.shim-pack"), v.Say("frame.carries"))}
	if s.StepMM != nil {
		t.Caption += " " + v.Say("frame.joint", "mm", *s.StepMM)
	}
	for _, shim := range l.Bed.Shims {
		if shim.Piece != s.Piece {
			continue
		}
		var pack []string
		for _, mm := range shim.PackMM {
			pack = append(pack, v.Length(mm))
		}
		made := v.Say("stone.no-shim")
		if len(pack) > 0 {
			made = v.List(pack...)
		}
		carries := v.Number(shim.ForceN, 0) + " N"
		switch {
		case shim.ForceN < 0:
			carries = v.Say("frame.screw", "force", v.Number(-shim.ForceN, 0)+" N")
		case shim.LiftsOff:
			carries = v.Say("frame.lifts", "gap_mm", shim.GapMM)
		}
		t.Rows = append(t.Rows, shell.RowOf(v.Size(shim.XMM), v.Size(shim.YMM), v.Both(shim.HeightMM), made, carries))
	}
	return t
}

func placeNumber(name string) int {
	for i, p := range places {
		if p == name {
			return i
		}
	}
	return 0
}

// levelTable is what a level should read on a piece that was laid.
func levelTable(v *shell.Visit, b *answers.Bed, s answers.Stage) shell.Table {
	t := shell.Table{Caption: v.Say("frame.levels", "base", v.Size(s.Levels[0].BaseMM), "place", tongue.Key("place."+s.Piece)), Heads: shell.Heads(v.Say("stone.y"), v.Say("frame.lies"), "mm/m")}
	for _, k := range b.Question.Spec.Levels {
		t.Heads = append(t.Heads, shell.Cell{Text: k.Division, Figure: true})
	}
	for _, l := range s.Levels {
		row := shell.RowOf(v.Size(l.YMM), v.Word("shape", along(l.Direction)), v.Signed(l.MMPerM, 3))
		for _, d := range l.Divisions {
			row.Cells = append(row.Cells, shell.Cell{Text: v.Signed(d, 1), Figure: true})
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// along is the word for a direction among those of shape.
func along(direction string) string {
	if direction == "along" {
		return "lengthwise"
	}
	return direction
}
