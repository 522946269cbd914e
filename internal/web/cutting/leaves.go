package cutting

import (
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"

	"slatewright/cutting/leaves/answers"
	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

const onLeaves = at + "/leaves"

// usualShare is the share of the pieces that must clean up where nobody says another.
const usualShare = 0.95

// leafed asks how a block is cut into leaves.
func leafed() shell.Question {
	return shell.Question{Path: onLeaves, File: "leaves", Care: sawCare(),
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("leaves.asks"), About: v.Say("leaves.about"),
				Form: shell.ListForm{
					Fields: []shell.ListField{{Name: "block", Label: v.Say("leaves.block"), Hint: v.Say("leaves.block-hint")}, {Name: "history", Label: v.Say("leaves.history"), Hint: v.Say("leaves.history-hint")}},
					More: []shell.ListChoice{{Name: "layer", Label: v.Say("leaves.layer"), Hint: v.Say("leaves.layer-hint")},
						{Name: "share", Label: v.Say("leaves.share"), Hint: v.Say("leaves.share-hint")}}},
				Links: []shell.Anchor{{Path: onLeaves + "/cleaned", Says: v.Say("leaves.cleaned-example")}}}
		},
		Examples: []shell.Example{{Files: map[string]string{"block": "block.csv", "history": "needs.csv"}, Plain: map[string]string{"layer": "14"}},
			{Path: onLeaves + "/cleaned", Files: map[string]string{"block": "block.csv", "history": "cleaned.json"}, Plain: map[string]string{"layer": "14"}}},
		Answer: answerLeaves}
}

func answerLeaves(a shell.Asked) (shell.Reply, error) {
	list, err := a.Sheet("block")
	if err != nil {
		return shell.Reply{}, err
	}
	q, err := answers.Read(list)
	if err != nil {
		return shell.Reply{}, err
	}
	share, err := shareOf(a)
	if err != nil {
		return shell.Reply{}, err
	}
	var needs []float64
	past, layer := a.Lists.Lists["history"], strings.TrimSpace(a.Plain.Get("layer"))
	switch {
	case !past.Empty():
		h, err := answers.ReadHistory(past.Name, past.Reader(), layer)
		if err != nil {
			return shell.Reply{}, err
		}
		needs, q.Warnings = h.Needs, append(q.Warnings, h.Warnings...)
	case layer != "":
		return shell.Reply{}, problem.New("missing", "history", a.Say("leaves.no-history"), a.Say("leaves.no-history-next"))
	}
	got, err := answers.Of(q, needs, share)
	if err != nil {
		return shell.Reply{}, err
	}
	s := leaved{a.Words, got, q}
	out := shell.Reply{JSON: got}
	out.Tone, out.Says, out.Next = s.tone(), s.says(), s.next()
	out.Wide, out.Narrow = chart.Both(func(width float64) template.HTML { return s.draw(width) })
	out.Caption, out.Behind = a.Say("leaves.caption"), s.behind()
	out.Figures, out.Tables, out.Notes = s.figures(), s.tables(), got.Warnings
	if got.LeafKg != nil {
		out.Loads = []caution.Load{{Name: a.Say("leaves.heaviest"), Kg: *got.LeafKg}}
	}
	return out, nil
}

// shareOf reads the share of the pieces: per cent, or a number below 1.
func shareOf(a shell.Asked) (float64, error) {
	if a.Typed("share") == "" {
		return usualShare, nil
	}
	x, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(a.Typed("share"), "%")), 64)
	if x > 1 {
		x /= 100
	}
	if err != nil || !(x >= 0.5 && x <= 0.999) {
		return 0, problem.New("bad-value", "share", a.Say("leaves.no-share", "typed", a.Plain.Get("share")), a.Say("leaves.no-share-next"))
	}
	return x, nil
}

// leaved is an answered block on its way to a page.
type leaved struct {
	tongue.Words
	*answers.Answer
	asked *answers.Question
}

func (s leaved) tone() string {
	switch {
	case len(s.Leaves) == 0:
		return "bad"
	case !s.Told():
		return "doubt"
	}
	return "good"
}

func (s leaved) says() string {
	switch {
	case len(s.Leaves) == 0:
		return s.Say("leaves.none")
	case !s.Told():
		return s.Say("leaves.plan-untold", "n", len(s.Leaves), "value", s.Number(s.Value, 2))
	}
	return s.Say("leaves.plan", "n", len(s.Leaves), "value", s.Number(s.Value, 2))
}

func (s leaved) next() string {
	if n := s.Next; n != nil {
		return s.Say("leaves.next", "allowance_mm", n.Allowance, "n", n.Leaves, "value", s.Number(n.Value, 2))
	}
	return ""
}

func (s leaved) behind() shell.Table {
	t := shell.Table{Heads: shell.Heads(s.Say("leaves.leaf"), s.Say("leaves.from"), s.Say("leaves.to"), s.Say("leaves.rough"), s.Say("leaves.finished"))}
	for _, l := range s.Leaves {
		t.Rows = append(t.Rows, shell.RowOf(l.Name, s.Length(l.From), s.Length(l.To), s.Length(l.Rough), s.Length(l.Finished)))
	}
	return t
}

func (s leaved) figures() []shell.Figure {
	list := []shell.Figure{{Name: s.Say("leaves.allowance"), Value: s.Length(s.Allowance), Small: s.Say("leaves.by", "what", s.from())}}
	if n := s.Need; n != nil {
		small := s.Say("leaves.cannot-tell-most")
		if n.Low != nil && n.High != nil {
			small = s.Say("leaves.between", "low_mm", *n.Low, "high_mm", *n.High)
		} else if n.High != nil {
			small = s.Say("leaves.at-most", "high_mm", *n.High)
		}
		list = append(list, shell.Figure{Name: s.Say("leaves.need", "share", s.Percent(100*n.Quantile), "n", n.Pieces), Value: s.Length(n.At), Small: small},
			shell.Figure{Name: s.Say("leaves.paid"), Value: s.Length(n.Paid), Small: s.Say("leaves.paid-small")})
	}
	list = append(list, shell.Figure{Name: s.Say("leaves.becomes"), Value: s.Percent(math.Round(100 * s.Finished)), Small: s.Say("leaves.left", "left_mm", s.Left)},
		shell.Figure{Name: s.Say("leaves.one-less"), Value: s.more(s.Less), Small: s.each(s.Less)},
		shell.Figure{Name: s.Say("leaves.kerf-less"), Value: s.more(s.Kerfs), Small: s.each(s.Kerfs)})
	if s.LeafKg != nil {
		list = append(list, shell.Figure{Name: s.Say("leaves.heaviest"), Value: s.Mass(*s.LeafKg), Small: s.Say("leaves.heaviest-small")})
	}
	return list
}

// from says where the allowance comes from.
func (s leaved) from() string {
	switch s.From {
	case answers.FromHistory:
		return s.Say("leaves.from-history")
	case answers.FromMill:
		return s.Say("leaves.from-mill")
	}
	return s.Say("leaves.from-practice")
}

func (s leaved) more(w answers.Worth) string {
	switch {
	case w.Leaves == 0 && w.Value == 0:
		return s.Say("leaves.no-more")
	case w.Leaves == 0:
		return s.Say("leaves.more-value", "value", s.Signed(w.Value, 2))
	}
	return s.Say("leaves.more", "n", w.Leaves, "value", s.Signed(w.Value, 2))
}

// each is what a millimetre of one leaf is.
func (s leaved) each(w answers.Worth) string {
	var parts []string
	if w.Kg != nil {
		parts = append(parts, s.Number(*w.Kg, 1)+unbroken+"kg")
	}
	if w.Minutes != nil {
		parts = append(parts, s.Number(*w.Minutes, 1)+unbroken+"min")
	}
	if parts == nil {
		return ""
	}
	return s.Say("leaves.a-leaf", "what", strings.Join(parts, ", "))
}

// tables are the order, where there is one.
func (s leaved) tables() []shell.Table {
	o := s.Order
	if o == nil {
		return nil
	}
	proof := s.Say("leaves.no-fewer", "n", o.Blocks)
	if o.Blocks > o.Bound {
		proof = s.Say("leaves.at-least", "n", o.Blocks, "bound", fmt.Sprint(o.Bound))
	}
	t := shell.Table{Title: s.Say("leaves.order"), Caption: proof, Heads: shell.Heads(s.Say("leaves.cut-so"), s.Say("leaves.blocks"))}
	for _, p := range o.Patterns {
		var names []string
		for i := 0; i < len(p.Leaves); {
			n := 1
			for i+n < len(p.Leaves) && p.Leaves[i+n].Name == p.Leaves[i].Name {
				n++
			}
			names = append(names, fmt.Sprintf("%d × %s", n, p.Leaves[i].Name))
			i += n
		}
		t.Rows = append(t.Rows, shell.RowOf(strings.Join(names, ", "), fmt.Sprint(p.Blocks)))
	}
	return []shell.Table{t}
}
