package cutplan

import (
	"math"

	"slatewright/cutting/sawing"
	"slatewright/cutting/slab"
	"slatewright/internal/tongue"
)

// Line is a row of a sawing order in the words and units of its reader, as pages and papers show it.
type Line struct {
	Number  string
	Part    string // what lies on the saw
	Way     string // along or across, with the angle of the cut on the slab
	Turn    string // against the cut before; empty: none
	Fence   string
	From    string // which edge the fence lies at, sawn or raw
	Setting string
	In, Out string // where the kerf meets stone first and last
	Falls   [2]string
	Air     bool // no stone lies there: it need not be sawn
}

// Columns are the heads of what Line has, in its order: number, part, way, fence, setting, in, out, what falls.
func Columns(w tongue.Words) [8]string {
	return [8]string{w.Say("sawing.cut"), w.Say("sawing.part"), w.Say("sawing.way"), w.Say("sawing.fence"), w.Say("sawing.setting"), w.Say("sawing.in"), w.Say("sawing.out"), w.Say("sawing.falls")}
}

// edges say where a fence lies: at a sawn edge, or at the slab's own.
var edges = map[sawing.Side][2]string{
	sawing.Left:  {"sawing.from-left", "sawing.from-left-raw"},
	sawing.Right: {"sawing.from-right", "sawing.from-right-raw"},
	sawing.Lower: {"sawing.from-lower", "sawing.from-lower-raw"},
	sawing.Upper: {"sawing.from-upper", "sawing.from-upper-raw"},
}

// sides name what falls at the lower or left side of a cut, and at the other: across the frame, and along it.
var sides = [2][2]string{{"sawing.left", "sawing.right"}, {"sawing.lower", "sawing.upper"}}

// Lines says the rows of an order.
func Lines(w tongue.Words, s *slab.Slab, p *slab.Plan, o *sawing.Order) (list []Line) {
	place := func(q slab.Point) string { return w.Number(q.X+0, 0) + ", " + w.Number(q.Y+0, 0) }
	if w.Units() == tongue.Inch {
		place = func(q slab.Point) string { return w.Number(q.X/25.4+0, 1) + ", " + w.Number(q.Y/25.4+0, 1) }
	}
	for _, r := range o.Rows {
		l := Line{Number: w.Number(float64(r.Number), 0), Part: r.Part.Name, Fence: w.Size(r.Fence), Setting: w.Size(r.Setting), In: place(r.In), Out: place(r.Out), Air: r.Length == 0}
		key, side, from := "sawing.across", sides[0], edges[r.From][1]
		if r.Along {
			key, side = "sawing.along", sides[1]
		}
		if r.Sawn {
			from = edges[r.From][0]
		}
		l.Way, l.From = w.Say(key, "angle", Degrees(w, r.Angle)), w.Say(from)
		if r.Turn {
			l.Turn = w.Say("sawing.turn")
		}
		for i, part := range []*sawing.Part{r.Low, r.High} {
			l.Falls[i] = w.Say("sawing.falls-at", "where", w.Say(side[i]), "what", falls(w, s, p, part))
		}
		list = append(list, l)
	}
	return list
}

// falls says what a part is.
func falls(w tongue.Words, s *slab.Slab, p *slab.Plan, part *sawing.Part) string {
	switch {
	case part == nil:
		return w.Say("sawing.sliver")
	case part.Use == sawing.Kept:
		return w.Say("sawing.piece", "number", part.Name, "name", s.Types[p.Pieces[part.Piece].Kind].Name)
	case part.Use == sawing.Cut:
		return w.Say("sawing.again", "part", part.Name)
	case part.Use == sawing.Air:
		return w.Say("sawing.air")
	}
	return w.Say("sawing.offcut", "sides", Sides(w, part.X2-part.X1, part.Y2-part.Y1))
}

// Degrees writes an angle with the decimals that it needs, at most two.
func Degrees(w tongue.Words, angle float64) string {
	d := 0
	for d < 2 && math.Abs(angle*math.Pow10(d)-math.Round(angle*math.Pow10(d))) > 1e-6 {
		d++
	}
	return w.Number(angle+0, d)
}

// Sides writes the sides of a rectangle with their unit once.
func Sides(w tongue.Words, along, across float64) string {
	if w.Units() == tongue.Inch {
		return w.Number(along/25.4, 1) + " × " + w.Number(across/25.4, 1) + "\u00a0in"
	}
	return w.Number(along, 0) + " × " + w.Number(across, 0) + "\u00a0mm"
}

// Names are the pieces of a plan with their numbers at the saw, for a picture beside an order.
func Names(s *slab.Slab, p *slab.Plan, o *sawing.Order) (list []string) {
	for i, q := range p.Pieces {
		list = append(list, o.Pieces[i].Name+" · "+s.Types[q.Kind].Name)
	}
	return list
}

// Lifted writes a mass for lifting, which was rounded up already: whole kilograms, or whole pounds, up again.
func Lifted(w tongue.Words, kg float64) string {
	if w.Units() == tongue.Inch {
		return w.Number(math.Ceil(kg/0.45359237-1e-9), 0) + "\u00a0lb"
	}
	return w.Number(math.Ceil(kg-1e-9), 0) + "\u00a0kg"
}
