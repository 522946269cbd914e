package answers

import (
	"fmt"
	"math"

	"slatewright/face"
	"slatewright/measure"
	"slatewright/surfacing/cleanup"
	"slatewright/trouble"
)

// tie lays the two faces over each other, or makes the unread one of the calipers.
func (s *slab) tie() error {
	top, bottom := s.q.Top, s.q.Bottom
	if top == nil || bottom == nil {
		return s.oneFace()
	}
	switch {
	case bottom.InPiece:
		s.r.Tie.By = "frame"
	case top.Zero != nil && bottom.Zero != nil:
		s.r.Tie.By = "zero"
	case top.Zero != nil || bottom.Zero != nil:
		with, without := top.Name, bottom.Name
		if top.Zero == nil {
			with, without = bottom.Name, top.Name
		}
		if len(s.calipers) < cleanup.LeastCalipers {
			return trouble.Data("half-zero", without, "the height of the gauge's zero stands in "+with+" only", "write '# zero: N mm' in both files, or give at least three caliper thicknesses")
		}
		s.warn("the height of the gauge's zero stands in one of the two files only and is not used")
		fallthrough
	default:
		return s.byCalipers()
	}
	s.checkCalipers()
	return nil
}

// byCalipers ties the maps by the thicknesses.
func (s *slab) byCalipers() error {
	if len(s.calipers) == 0 {
		return trouble.Data("not-tied", s.q.Bottom.Name, "nothing ties the heights of the two faces: after turning the slab over, one height and two tilts between the maps are not known",
			"measure the thickness by caliper at three places or more that are not on one line, best 4 to 8 near the corners and edges, and write each as '# thickness: x y t'; "+
				"or write '# zero: N mm' in both files, or '# frame: piece' where the heights of the bottom are in the piece frame")
	}
	// The zero of one file alone is a height that the tie takes up.
	t, err := cleanup.Tie(s.body, s.calipers, s.u())
	if err != nil {
		return in(s.q.Top.Name, err)
	}
	s.passes++
	s.tied, s.body.Lift, s.r.Tie.By = t, t.Lift, "thickness"
	s.r.Tie.Calipers, s.r.Tie.Spare, s.r.Tie.Fit = len(s.calipers), t.Spare, t.Fit
	s.r.Tie.left = t.Left
	switch {
	case t.Spare == 0:
		s.warn("three caliper thicknesses tie the maps and nothing checks them: a slip of one is in the answer in full; take 4 to 8")
	case t.Fit > 1:
		w := t.Worst()
		s.warn(fmt.Sprintf("the calipers agree worse with the maps than their uncertainty allows, so the doubt was made larger %s times; look first at the one at (%.0f, %.0f), which reads %s mm %s",
			measure.Decimal(t.Fit, 1), s.calipers[w].X, s.calipers[w].Y, measure.Decimal(math.Abs(t.Left[w]), 3), moreOrLess(t.Left[w])))
	}
	return nil
}

func moreOrLess(d float64) string {
	if d < 0 {
		return "too little"
	}
	return "too much"
}

// u are the uncertainties of the readings.
func (s *slab) u() cleanup.U {
	u := cleanup.U{Caliper: s.q.UCaliper}
	if s.q.Top != nil {
		u.Top = s.q.Top.U
	}
	if s.q.Bottom != nil {
		u.Bottom = s.q.Bottom.U
	}
	return u
}

// checkCalipers holds thicknesses against faces that are tied without them.
func (s *slab) checkCalipers() {
	s.r.Tie.Calipers = len(s.calipers)
	if len(s.calipers) < cleanup.LeastCalipers {
		return
	}
	t, err := cleanup.Tie(s.body, s.calipers, s.u())
	if err != nil {
		return
	}
	s.passes++
	worst, at := 0.0, 0
	for i, c := range s.calipers {
		d := t.Left[i] - t.Lift.At(c.X, c.Y) // the caliper beside the maps as they are
		s.r.Tie.left = append(s.r.Tie.left, d)
		if math.Abs(d) > math.Abs(worst) {
			worst, at = d, i
		}
	}
	if math.Abs(worst) > 3*math.Hypot(s.q.UCaliper, math.Hypot(s.u().Top, s.u().Bottom))+1e-9 {
		s.warn(fmt.Sprintf("the heights are tied by '# %s:', and the caliper at (%.0f, %.0f) reads %s mm %s: look whether the zeros are right", s.r.Tie.By, s.calipers[at].X, s.calipers[at].Y,
			measure.Decimal(math.Abs(worst), 3), moreOrLess(worst)))
	}
}

// oneFace makes the face that nobody read of the caliper points under the one that was.
func (s *slab) oneFace() error {
	name := ""
	for _, f := range []*face.Face{s.q.Top, s.q.Bottom} {
		if f != nil {
			name = f.Name
		}
	}
	spots, err := cleanup.Opposite(s.readFace(), s.known[0], s.calipers, s.u())
	if err != nil {
		return in(name, err)
	}
	s.passes++
	s.r.Tie.By, s.r.Tie.Calipers, s.r.OneFace = "thickness", len(s.calipers), true
	unread := "bottom"
	if s.known[0] {
		s.body.Bottom = spots
	} else {
		s.body.Top, unread = spots, "top"
	}
	if s.q.Unseen == nil {
		s.warn(fmt.Sprintf("the %s is known at %s only: between them it is taken to hide up to twice as much as the face that was read hides between them; read it, or say how much it may hide", unread, trouble.Count(len(s.calipers), "caliper place", "caliper places")))
	}
	return nil
}

// readFace is the face that was read, of one-face slabs.
func (s *slab) readFace() cleanup.Points {
	if s.known[0] {
		return s.body.Top
	}
	return s.body.Bottom
}

// unseen is what the face that nobody read may take off the thickness, beyond what its caliper points show: what the caller says, or twice what as few places
// hide of the face that was read.
func (s *slab) unseen(p *cleanup.Planes) float64 {
	if !s.r.OneFace {
		return 0
	}
	least := 2 * cleanup.Hidden(s.body, p, s.known[0], s.calipers)
	if s.q.Unseen != nil {
		least = *s.q.Unseen
	}
	s.r.UnseenMM = &least
	return least
}

// doubt is what is not known of the slab.
func (s *slab) doubt() cleanup.Doubt {
	d := cleanup.Doubt{U: s.u(), Tied: s.tied}
	if s.r.OneFace { // each of its places is a caliper's
		if s.known[0] {
			d.U.Bottom = math.Hypot(d.U.Top, s.q.UCaliper)
		} else {
			d.U.Top = math.Hypot(d.U.Bottom, s.q.UCaliper)
		}
	}
	for _, g := range s.freed {
		if g != nil {
			d.GravityShare = max(d.GravityShare, g.share)
		}
	}
	if d.GravityShare > 0 {
		d.Gravity = func(top bool, x, y float64) float64 {
			g := s.freed[1]
			if top {
				g = s.freed[0]
			}
			if g == nil {
				return 0
			}
			return g.turn * g.down(g.turn*x, y)
		}
	}
	return d
}
