package surfacing

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"slatewright/face"
	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/surfacing/cleanup"
	"slatewright/surfacing/cleanup/answers"
)

// The pages of a clean-up: one slab, the pieces of a set, and slabs at the rough stage.
const (
	onCleanup = at + "/cleanup"
	onSet     = onCleanup + "/set"
	onRough   = onCleanup + "/rough"
)

// mostMapped is how many readings of a face a page takes; the verb takes more.
const mostMapped = 100000

// cleanupCare is what can hurt in the work that a clean-up leads to.
func cleanupCare() []caution.Topic {
	return []caution.Topic{caution.Lifting, caution.Dust, caution.Machines, caution.Wet}
}

// cleanupSlab asks how much must come off which face of one slab.
func cleanupSlab() shell.Question {
	return shell.Question{Path: onCleanup, File: "cleanup", Care: cleanupCare(), Longest: 20 * time.Second,
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("cleanup.asks"), About: v.Say("cleanup.about"),
				Form: shell.ListForm{Fields: []shell.ListField{{Name: "top", Label: v.Say("cleanup.top"), Hint: v.Say("cleanup.top-hint")},
					{Name: "bottom", Label: v.Say("cleanup.bottom"), Hint: v.Say("cleanup.bottom-hint")}}, More: limitFields(v)},
				Links: []shell.Anchor{{Path: onSet, Says: v.Say("cleanup.set-asks")}, {Path: onRough, Says: v.Say("cleanup.rough-asks")}, {Path: onCleanup + "/thin", Says: v.Say("cleanup.thin-example")}}}
		},
		Examples: []shell.Example{
			{Files: map[string]string{"top": "cleanup-top.csv", "bottom": "cleanup-bottom.csv"}, Plain: map[string]string{"finish": "25.4 mm", "damage": "0.3 mm"}},
			{Path: onCleanup + "/thin", Files: map[string]string{"top": "cleanup-top.csv", "bottom": "cleanup-bottom.csv"}, Plain: map[string]string{"least": "26.4 mm", "damage": "0.3 mm"}}},
		Answer: answerCleanup}
}

// limitFields are the plain fields of what is asked of a clean-up, but for those that are left out.
func limitFields(v *shell.Visit, without ...string) []shell.ListChoice {
	list := []shell.ListChoice{
		{Name: "finish", Label: v.Say("cleanup.finish"), Hint: v.Say("cleanup.finish-hint")},
		{Name: "least", Label: v.Say("cleanup.least"), Hint: v.Say("cleanup.least-hint")},
		{Name: "reserve", Label: v.Say("cleanup.reserve"), Hint: v.Say("cleanup.reserve-hint")},
		{Name: "damage", Label: v.Say("cleanup.damage"), Hint: v.Say("cleanup.damage-hint")},
		{Name: "movement", Label: v.Say("cleanup.movement"), Hint: v.Say("cleanup.movement-hint")}}
	return slices.DeleteFunc(list, func(f shell.ListChoice) bool { return slices.Contains(without, f.Name) })
}

// limitsIn reads them.
func limitsIn(a shell.Asked) (l cleanup.Limits, err error) {
	for _, f := range []struct {
		name string
		to   *float64
	}{{"finish", &l.Finish}, {"least", &l.Least}, {"reserve", &l.Reserve}, {"damage", &l.DamageTop}, {"movement", &l.Movement}} {
		if *f.to, _, err = a.LengthIn(f.name); err != nil {
			return l, err
		}
	}
	l.DamageBottom = l.DamageTop
	if l.Reserve > 0 && l.Least == 0 {
		return l, problem.New("bad-value", "reserve", a.Say("cleanup.no-least"), a.Say("cleanup.no-least-next"))
	}
	return l, nil
}

// slabIn answers for the slab of two fields; the second may be empty.
func slabIn(a shell.Asked, name, top, bottom string, l cleanup.Limits) (*answers.Slab, error) {
	q := answers.Usual()
	q.Name, q.Limits = name, l
	given, err := a.List(top)
	if err != nil {
		return nil, err
	}
	if q.Top, err = face.Read(given.Name, given.Reader()); err != nil {
		return nil, err
	}
	if under := a.Lists.Lists[bottom]; !under.Empty() {
		if q.Bottom, err = face.Read(under.Name, under.Reader()); err != nil {
			return nil, err
		}
	} else if q.Top.Side == face.Bottom {
		q.Top, q.Bottom = nil, q.Top
	}
	for _, f := range []*face.Face{q.Top, q.Bottom} {
		if f == nil {
			continue
		}
		if f.Len() > mostMapped {
			return nil, problem.New("too-large", top, a.Say("cleanup.too-many", "most", mostMapped), a.Say("cleanup.too-many-next", "command", "slatewright cleanup TOP BOTTOM"))
		}
		if q.Name == "" {
			q.Name = f.Piece
		}
	}
	return shell.Once(a, "cleanup "+top+" "+q.Name, func(func() bool) (*answers.Slab, error) { return answers.Of(q) })
}

func answerCleanup(a shell.Asked) (shell.Reply, error) {
	l, err := limitsIn(a)
	if err != nil {
		return shell.Reply{}, err
	}
	r, err := slabIn(a, "", "top", "bottom", l)
	if err != nil {
		return shell.Reply{}, err
	}
	s := cleaned{a.Words, r}
	out := shell.Reply{JSON: r}
	out.Tone, out.Says, out.Next = tones[r.Answer()], s.says(), s.next()
	out.Wide, out.Narrow = chart.Both(s.picture)
	out.Caption, out.Behind, out.Figures = s.Say("cleanup.caption"), s.behind(), s.figures()
	out.Tables = []shell.Table{s.governing()}
	if len(r.Tie.Left) > 0 {
		out.Tables = append(out.Tables, s.calipers())
	}
	out.Notes = r.Warnings
	return out, nil
}

var tones = map[cleanup.Answer]string{cleanup.Possible: "good", cleanup.Impossible: "bad", cleanup.Unsure: "doubt"}

// cleaned is an answered slab on its way to a page.
type cleaned struct {
	tongue.Words
	*answers.Slab
}

// thick writes a thickness: to 0.001 mm, or to 0.0001 in.
func thick(w tongue.Words, mm float64) string {
	if w.Units() == tongue.Inch {
		return w.Number(mm/25.4, 4) + "\u00a0in"
	}
	return w.Length(mm)
}

// between writes limits of 95 %; nothing, where there is no doubt.
func between(w tongue.Words, in [2]float64) string {
	if in[0] == in[1] {
		return w.Say("cleanup.no-doubt")
	}
	return w.Say("cleanup.between", "low", thick(w, in[0]), "high", thick(w, in[1]))
}

func (s cleaned) says() string {
	available := thick(s.Words, s.AvailableMM)
	if s.NeedMM == nil {
		if s.Answer() == cleanup.Possible {
			return s.Say("cleanup.possible", "available", available)
		}
		return s.Say("cleanup.nothing-left")
	}
	need := thick(s.Words, *s.NeedMM)
	switch {
	case s.Answer() == cleanup.Possible:
		return s.Say("cleanup.possible-at", "need", need, "available", available)
	case s.Answer() == cleanup.Unsure:
		return s.Say("cleanup.unsure", "need", need, "low", thick(s.Words, s.AvailableIn[0]), "high", thick(s.Words, s.AvailableIn[1]))
	case s.MissingMM == nil && s.Left != nil:
		return s.Say("cleanup.not-allowed", "why", s.InWords(s.Left.Words))
	}
	missing := 0.0
	if s.MissingMM != nil {
		missing = *s.MissingMM
	}
	return s.Say("cleanup.impossible", "need", need, "missing_mm", missing)
}

func (s cleaned) next() string {
	switch s.Answer() {
	case cleanup.Impossible:
		return s.Say("cleanup.where")
	case cleanup.Unsure:
		return s.Say("cleanup.settle")
	}
	key := "cleanup.off-each"
	if s.Equal {
		key = "cleanup.off-equal"
	}
	text := s.Say(key, "top_mm", s.OffTop.Mean, "bottom_mm", s.OffBottom.Mean)
	if s.Slab.Left != nil && s.LastCut {
		text += " " + s.Say("cleanup.last-cut")
	}
	return text
}

func (s cleaned) figures() []shell.Figure {
	w := s.Words
	list := []shell.Figure{{Name: w.Say("cleanup.planes"), Value: thick(w, s.ThicknessMM), Small: between(w, s.IntervalMM)}}
	if less := s.Allowances.DamageTop + s.Allowances.DamageBottom + s.Allowances.Movement; less > 0 {
		list = append(list, shell.Figure{Name: w.Say("cleanup.can-be-left"), Value: thick(w, s.AvailableMM), Small: between(w, s.AvailableIn)})
	}
	if s.Answer() != cleanup.Impossible {
		for _, f := range []struct {
			key string
			off answers.Off
		}{{"cleanup.off-top", s.OffTop}, {"cleanup.off-bottom", s.OffBottom}} {
			list = append(list, shell.Figure{Name: w.Say(f.key), Value: w.Both(f.off.Mean), Small: w.Say("cleanup.from-to", "low_mm", f.off.Min, "high_mm", f.off.Max)})
		}
	}
	if l := s.Slab.Left; l != nil && s.Answer() != cleanup.Impossible {
		f := shell.Figure{Name: w.Say("cleanup.stays"), Value: w.Both(l.LeftMM)}
		if l.HereMM != nil {
			f.Value, f.Small = w.Both(*l.HereMM), w.Say("cleanup.stays-at", "x_size", *l.XMM, "y_size", *l.YMM, "u_mm", 1.96**l.UMM)
		}
		list = append(list, f)
	}
	proof := w.Say("cleanup.proven")
	if !s.ProofOK {
		proof = w.Say("cleanup.not-proven", "low", thick(w, s.Proof.LowMM), "high", thick(w, s.Proof.HighMM))
	}
	return append(list, shell.Figure{Name: w.Say("cleanup.proof"), Value: proof, Small: w.Say("cleanup.passes", "n", s.Proof.Passes)})
}

// faceName is a face in the reader's language.
func faceName(w tongue.Words, face string) string { return w.Word("face", face) }

// governing are the readings that hold the planes.
func (s cleaned) governing() shell.Table {
	t := shell.Table{Title: s.Say("cleanup.governing"), Caption: s.Say("cleanup.governing-about"), Heads: shell.Heads(s.Say("cleanup.which-face"), s.Say("stone.x"), s.Say("stone.y"), s.Say("cleanup.costs"))}
	for i, c := range s.Governing {
		t.Rows = append(t.Rows, shell.RowOf(faceName(s.Words, c.Face), s.Size(c.X), s.Size(c.Y), s.Length(s.CostsMM[i])))
	}
	return t
}

// calipers are the thicknesses beside the maps.
func (s cleaned) calipers() shell.Table {
	t := shell.Table{Title: s.Say("cleanup.calipers"), Caption: s.Say("cleanup.calipers-about"),
		Heads: shell.Heads(s.Say("stone.x"), s.Say("stone.y"), s.Say("cleanup.read"), s.Say("cleanup.more"))}
	for _, c := range s.Tie.Left {
		t.Rows = append(t.Rows, shell.RowOf(s.Size(c.X), s.Size(c.Y), thick(s.Words, c.T), s.Signed(c.ReadsMore, 3)))
	}
	return t
}

// behind is what the picture shows, in words.
func (s cleaned) behind() shell.Table {
	t := shell.Table{Caption: s.Say("cleanup.caption"), Heads: shell.Heads(s.Say("cleanup.place"), faceName(s.Words, "top"), faceName(s.Words, "bottom"))}
	top, bottom := s.cells(0), s.cells(1)
	for j := range cellsAcross {
		for i := range cellsAlong {
			x, y := cellMiddle(s.extent(), i, j)
			write := func(c cellOff) string {
				if !c.known {
					return "–"
				}
				return s.Length(c.off)
			}
			t.Rows = append(t.Rows, shell.RowOf(strings.TrimSpace(fmt.Sprintf("%s, %s", s.Number(x, 0), s.Number(y, 0))), write(top[j*cellsAlong+i]), write(bottom[j*cellsAlong+i])))
		}
	}
	return t
}
