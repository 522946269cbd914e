package drilling

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"slatewright/bed/holes/answers"
	"slatewright/bed/holes/cause"
	"slatewright/bed/pattern"
	"slatewright/internal/caution"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
	"slatewright/judge"
)

// loadsOf is the heaviest piece, for the caution about lifting.
func loadsOf(w tongue.Words, p pattern.Pattern) []caution.Load {
	heaviest := caution.Load{}
	for i, piece := range p.Pieces {
		if kg := p.Mass(i, p.Thickness); kg > heaviest.Kg {
			heaviest = caution.Load{Name: pieceName(w, piece.Name), Kg: kg}
		}
	}
	if heaviest.Kg == 0 {
		return nil
	}
	return []caution.Load{heaviest}
}

// kinds are the kinds of features with their words.
var kinds = map[string]string{string(pattern.RailBolt): "drilling.rail-bolt", string(pattern.BedScrew): "drilling.bed-screw", string(pattern.Accessory): "drilling.accessory",
	string(pattern.DowelHole): "drilling.dowel", string(pattern.PocketCut): "drilling.pocket"}

// kindName is the kind of a feature in words; one that only this mill has stays as it is.
func kindName(w tongue.Words, kind string) string {
	if key, ok := kinds[kind]; ok {
		return w.Say(key)
	}
	return kind
}

// causes are the kinds of causes with their words.
var causes = map[string]string{string(cause.None): "holes.none", string(cause.Shift): "holes.shift", string(cause.Turn): "holes.turn", string(cause.ShiftAndTurn): "holes.shift-and-turn",
	string(cause.Scale): "holes.scale", string(cause.Mirrored): "holes.mirrored", string(cause.Pin): "holes.pin", string(cause.Wander): "holes.wander", string(cause.Piece): "holes.one-piece",
	string(cause.OneHole): "holes.one-hole"}

func causeName(w tongue.Words, name string) string {
	if key, ok := causes[name]; ok {
		return w.Say(key)
	}
	return name
}

// amount is a number of a cause by its name; 0 where it has none.
func amount(c answers.Cause, name string) float64 {
	for _, a := range c.Amounts {
		if a.Name == name {
			return a.Value
		}
	}
	return 0
}

// first is the first number of a cause.
func first(c answers.Cause) float64 {
	if len(c.Amounts) == 0 {
		return 0
	}
	return c.Amounts[0].Value
}

// steep writes mm per m, which a reader of inches takes as thousandths too.
func (s checked) steep(x float64) string { return s.Number(x, 2) + "\u00a0mm/m" }

// signedLength writes a length with its sign.
func (s checked) signedLength(mm float64) string {
	text := s.Length(math.Abs(mm))
	if mm < 0 {
		return "−" + text
	}
	return "+" + text
}

// cause says a cause and what undoes it; nothing where there is none.
func (s checked) cause(c answers.Cause) string {
	x, y, turn := s.signedLength(-amount(c, "x")), s.signedLength(-amount(c, "y")), s.steep(math.Abs(amount(c, "turn")))
	way := s.Say("holes.clockwise")
	if amount(c, "turn") < 0 {
		way = s.Say("holes.counter-clockwise")
	}
	switch cause.Kind(c.Name) {
	case cause.Shift:
		return s.Say("holes.cause-shift", "x", x, "y", y)
	case cause.Turn:
		return s.Say("holes.cause-turn", "turn", turn, "way", way)
	case cause.ShiftAndTurn:
		return s.Say("holes.cause-shift-and-turn", "x", x, "y", y, "turn", turn, "way", way)
	case cause.Scale:
		if c.Of == "" {
			return s.Say("holes.cause-scale", "by", s.steep(-amount(c, "scale")))
		}
		return s.Say("holes.cause-scale-axis", "axis", c.Of, "by", s.steep(-amount(c, "scale")))
	case cause.Mirrored:
		return s.Say("holes.cause-mirrored")
	case cause.Pin:
		return s.Say("holes.cause-pin", "stop", s.stop(c.Of), "by", s.signedLength(first(c)))
	case cause.Wander:
		if c.Of == cause.Scatter {
			return s.Say("holes.cause-scatter", "by_mm", first(c))
		}
		return s.Say("holes.cause-wander", "x", s.signedLength(amount(c, "x at the end of the run")), "y", s.signedLength(amount(c, "y at the end of the run")))
	case cause.Piece:
		return s.Say("holes.cause-piece", "piece", pieceName(s.Words, c.Of), "x", s.signedLength(amount(c, "x")), "y", s.signedLength(amount(c, "y")), "turn", s.steep(amount(c, "turn")))
	case cause.OneHole:
		return s.Say("holes.cause-hole", "hole", c.Of, "x", s.signedLength(amount(c, "x")), "y", s.signedLength(amount(c, "y")))
	}
	return ""
}

// stop names a stop of the fixture, with its piece where that is said.
func (s checked) stop(of string) string {
	piece, name, parted := strings.Cut(of, ", ")
	if !parted {
		name = of
	}
	for word, key := range map[string]string{"first stop": "holes.first-stop", "second stop": "holes.second-stop", "third stop": "holes.third-stop"} {
		if name == word {
			name = s.Say(key)
		}
	}
	if parted {
		return pieceName(s.Words, piece) + ", " + name
	}
	return name
}

// figures are the numbers of the whole.
func (s checked) figures() (list []shell.Figure) {
	add := func(name, value, small string) {
		list = append(list, shell.Figure{Name: name, Value: value, Small: small})
	}
	if s.Worst != nil {
		add(s.Say("holes.worst"), s.Length(s.Worst.Deviation), s.Worst.Feature)
	}
	if s.Minimax != nil {
		add(s.Say("holes.best"), s.Length(*s.Minimax), s.Say("holes.best-small"))
	}
	if f := s.Function; f != nil {
		switch {
		case f.Left >= 0:
			add(s.Say("holes.float-left"), s.Length(f.Left), s.Say("holes.float-small", "most_mm", max(f.Most, f.Left), "u_mm", f.U))
		default:
			add(s.Say("holes.float-missing"), s.Length(-f.Left), s.Say("holes.fight", "list", s.held(f.Holding)))
		}
	}
	if z := s.Zones; z != nil {
		switch {
		case z.Fits == nil:
			add(s.Say("holes.zones"), s.Word("verdict", "cannot tell"), s.Say("holes.zones-left", "left_mm", z.Left, "u_mm", z.U))
		case *z.Fits:
			add(s.Say("holes.zones"), s.Say("holes.zones-yes"), s.Say("holes.zones-left", "left_mm", z.Left, "u_mm", z.U))
		default:
			add(s.Say("holes.zones"), s.Say("holes.zones-no"), s.Say("holes.zones-missing", "missing_mm", -z.Most))
		}
	}
	for _, l := range s.Limits {
		small := s.Say("holes.practice")
		if len(l.Beyond) > 0 {
			small = s.few(l.Beyond)
		}
		add(s.Say("holes.within", "limit", l.Name), s.Word("verdict", l.Verdict), small)
	}
	if f := s.Fit; f != nil {
		add(s.Say("holes.frame"), s.signedLength(f.DX)+" · "+s.signedLength(f.DY), s.Say("holes.frame-small", "turn", s.Number(f.Angle, 3)+"\u00a0mm/m"))
	}
	return list
}

// held names those that hold an answer.
func (s checked) held(list []answers.Share) string {
	var names []string
	for _, h := range list {
		names = append(names, h.Name)
	}
	return s.few(names)
}

// few names the first of a list, with a sign where there are more.
func (s checked) few(list []string) string {
	if len(list) > 5 {
		return s.List(list[:5]...) + " …"
	}
	return s.List(list...)
}

// sorted puts those beyond their limit first, then those in doubt, the farthest first.
func sorted(list []answers.Feature) []answers.Feature {
	rank := func(f answers.Feature) int {
		return slices.Index([]string{judge.DoesNotConform.String(), judge.CannotTell.String(), judge.Conforms.String()}, f.Verdict)
	}
	off := func(f answers.Feature) float64 {
		if f.Deviation == nil {
			return 0
		}
		return *f.Deviation
	}
	list = slices.Clone(list)
	slices.SortStableFunc(list, func(a, b answers.Feature) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(off(b), off(a)))
	})
	return list
}

// features are a table of features in the order of a list.
func (s checked) features(list []answers.Feature) shell.Table {
	t := shell.Table{Heads: shell.Heads(s.Say("holes.feature"), s.Say("holes.verdict"), s.Say("holes.off"), s.Say("holes.along-x"), s.Say("holes.along-y"))}
	t.Heads[1].Figure = false
	for _, f := range list {
		row := shell.RowOf(f.Feature)
		var small []string
		switch {
		case f.AtMost != nil:
			small = append(small, s.Say("holes.gauge-in", "most_mm", *f.AtMost))
		case f.AtLeast != nil:
			small = append(small, s.Say("holes.gauge-out", "least_mm", *f.AtLeast))
		}
		if f.Plug != nil {
			small = append(small, s.Say("holes.plug", "verdict", *f.Plug))
		}
		if f.Size != nil && f.Diameter != nil {
			small = append(small, s.Say("holes.size", "diameter_size", *f.Diameter, "verdict", f.Size.Verdict))
		}
		row.Cells = append(row.Cells, shell.Cell{Text: s.Word("verdict", f.Verdict), Small: strings.Join(small, "; ")})
		if f.Deviation != nil {
			row = row.With(s.Length(*f.Deviation), s.Say("holes.limit-u", "limit_mm", f.Limit, "u_mm", *f.U)).With(s.signedLength(*f.DX), "").With(s.signedLength(*f.DY), "")
		} else {
			row = row.With("–", s.Say("holes.limit-only", "limit_mm", f.Limit)).With("–", "").With("–", "")
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// shownGood is how many features that conform stand in the first table; the whole one is behind the picture.
const shownGood = 5

// tables are the features, the bolts, how the pieces stand, and the joints.
func (s checked) tables() (list []shell.Table) {
	worst, good := []answers.Feature{}, 0
	for _, f := range sorted(s.Features) {
		if f.Verdict == judge.Conforms.String() {
			if good++; good > shownGood {
				continue
			}
		}
		worst = append(worst, f)
	}
	t := s.features(worst)
	t.Title = s.Say("holes.features")
	if good > shownGood {
		t.Caption = s.Say("holes.more-good", "n", good-shownGood)
	}
	list = append(list, t)
	if f := s.Function; f != nil && len(f.Bolts) > 0 {
		bolts := slices.Clone(f.Bolts)
		slices.SortStableFunc(bolts, func(a, b answers.Bolt) int { return cmp.Compare(a.Left, b.Left) })
		t := shell.Table{Title: s.Say("holes.bolts"), Caption: s.Say("holes.bolts-about"), Heads: shell.Heads(s.Say("holes.bolt"), s.Say("holes.float"), s.Say("holes.left"))}
		for _, b := range bolts[:min(len(bolts), mostBolts)] {
			left := s.Length(b.Left)
			if b.Left < 0 {
				left = s.signedLength(b.Left)
			}
			t.Rows = append(t.Rows, shell.RowOf(b.Bolt, s.Length(b.Float), left))
		}
		list = append(list, t)
		if t := s.steps(); len(t.Rows) > 0 {
			list = append(list, t)
		}
	}
	if t := s.pieces(); len(t.Rows) > 0 {
		list = append(list, t)
	}
	if t := s.edges(); len(t.Rows) > 0 {
		list = append(list, t)
	}
	return list
}

// mostBolts is how many bolts are listed, the tightest first.
const mostBolts = 8

// steps are how the pieces stand at the joints once all bolts pass.
func (s checked) steps() shell.Table {
	t := shell.Table{Title: s.Say("holes.steps"), Caption: s.Say("holes.steps-about"), Heads: shell.Heads(s.Say("drilling.joint"), s.Say("holes.opens"), s.Say("holes.slides"), s.Say("holes.turns"))}
	for _, j := range s.Function.Steps {
		if j.Opens != 0 || j.Slides != 0 || j.Turns != 0 {
			t.Rows = append(t.Rows, shell.RowOf(j.Joint, s.signedLength(j.Opens), s.signedLength(j.Slides), s.steep(j.Turns)))
		}
	}
	return t
}

// pieces are the fits of pieces that each have a frame of their own.
func (s checked) pieces() shell.Table {
	t := shell.Table{Title: s.Say("holes.own-frames"), Heads: shell.Heads(s.Say("drilling.piece"), s.Say("holes.along-x"), s.Say("holes.along-y"), s.Say("holes.turned"), s.Say("holes.best"))}
	for _, p := range s.Pieces {
		t.Rows = append(t.Rows, shell.RowOf(pieceName(s.Words, p.Piece), s.signedLength(p.Fit.DX), s.signedLength(p.Fit.DY), s.steep(p.Fit.Angle), s.Length(p.Minimax)))
	}
	return t
}

// edges are the edges of the joints, and the gap of each pair pushed together.
func (s checked) edges() shell.Table {
	t := shell.Table{Title: s.Say("holes.joints"), Caption: s.Say("holes.joints-about"), Heads: shell.Heads(s.Say("holes.edge"), s.Say("holes.straight"), s.Say("holes.square"), s.Say("holes.chip"))}
	for _, j := range s.Joints {
		for _, e := range j.Edges {
			row := shell.Row{Cells: []shell.Cell{{Text: e.Edge}, s.judged(&e.Straightness), s.judged(e.Squareness), s.judged(e.Chip)}}
			t.Rows = append(t.Rows, row)
		}
		if j.Gap != nil {
			small := s.Say("holes.gap-least", "least_mm", j.Least.Value)
			if j.Below != nil {
				small += s.Say("holes.gap-below", "below_mm", j.Below.Value)
			}
			t.Rows = append(t.Rows, shell.Row{Cells: []shell.Cell{{Text: j.Joint}, {Text: s.Say("holes.gap", "gap_mm", j.Gap.Value), Figure: true, Small: small}, {Figure: true}, {Figure: true}}})
		}
	}
	return t
}

// judged is a number of an edge with its limit and verdict below it.
func (s checked) judged(j *answers.Judged) shell.Cell {
	if j == nil {
		return shell.Cell{Text: "–", Figure: true}
	}
	c := shell.Cell{Text: s.Length(j.Value), Figure: true, Small: "u = " + s.Length(j.U)}
	if j.Verdict != nil {
		c.Small = s.Say("holes.edge-limit", "u_mm", j.U, "limit_mm", *j.Limit, "verdict", *j.Verdict)
	}
	return c
}
