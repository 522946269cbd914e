package revision

import (
	"fmt"
	"math"

	"slatewright/bed/pattern"
	"slatewright/measure"
)

// said is one value of a feature, by the file's key, as a person would write it.
type said struct{ key, value string }

// feature is anything in a pattern that has a name.
type feature struct {
	of, name, base string
	placed         bool
	x, y           float64
	says           []said
}

func mm(v float64) string { return measure.FormatLength(measure.Round(v, 6), measure.MM) }

func degrees(a float64) string { return measure.Decimal(a*180/math.Pi, 3) + "°" }

func number(v float64) string { return fmt.Sprintf("%g", v) }

// features lists everything in a pattern that can differ.
func features(p pattern.Pattern) []feature {
	list := []feature{{of: "bed", name: "bed", base: "bed", says: bedSays(p)}}
	for _, piece := range p.Pieces {
		list = append(list, feature{of: "piece", name: piece.Name, base: piece.Name, says: []said{{"length", mm(piece.To - piece.From)}}})
	}
	for _, piece := range p.Pieces {
		for _, s := range piece.Supports { // supports have no names: their place in the piece is theirs
			list = append(list, feature{of: "support", name: fmt.Sprintf("%s [%s, %s]", piece.Name, mm(s[0]), mm(s[1])), base: piece.Name})
		}
	}
	for _, k := range p.Pockets {
		list = append(list, feature{of: "pocket", name: k.Name, base: k.Base, placed: true, x: k.X, y: k.Y, says: pocketSays(k)})
	}
	for _, h := range p.Holes {
		list = append(list, feature{of: "hole", name: h.Name, base: h.Base, placed: true, x: h.X, y: h.Y, says: holeSays(h)})
	}
	for _, j := range p.Joints {
		list = append(list, feature{of: "joint", name: j.Name, base: "joints", placed: true, x: j.X, says: []said{{"joint_gap", mm(j.Gap)},
			{"top_chamfer", mm(j.TopChamfer)}, {"bottom_chamfer", mm(j.BottomChamfer)}, {"placing", mm(j.Placing)}, {"straightness", mm(j.Straightness)}, {"squareness", mm(j.Squareness)}, {"chip", mm(j.Chip)}}})
	}
	for _, j := range p.Joints {
		for _, d := range j.Dowels {
			list = append(list, feature{of: "dowel", name: d.Name, base: d.Base, placed: true, x: j.X, y: d.Y,
				says: append([]said{{"diameter", mm(d.Diameter)}, {"depth", mm(d.Depth)}, {"below", mm(d.Below)}}, toleranceSays(d.Tolerance, "diameter")...)})
		}
	}
	for _, s := range p.Strips {
		list = append(list, feature{of: "strip", name: s.Name, base: s.Name, placed: true, x: (s.X0 + s.X1) / 2, y: (s.Y0 + s.Y1) / 2,
			says: []said{{"size", mm(s.X1-s.X0) + " x " + mm(s.Y1-s.Y0)}, {"thickness", mm(s.Thickness)}}})
	}
	return list
}

func toleranceSays(t pattern.Tolerance, size string) []said {
	return []said{{"tolerance.position", mm(t.Position)}, {"tolerance." + size, mm(t.Diameter)}, {"tolerance.depth", mm(t.Depth)}}
}

func holeSays(h pattern.Hole) []said {
	depth, counter := "through", "none"
	if !h.Through() {
		depth = mm(h.Depth)
	}
	if c := h.Counter; c != nil && c.Angle > 0 {
		counter = fmt.Sprintf("countersink %s, %s, from the %s", mm(c.Diameter), degrees(c.Angle), c.From)
	} else if c != nil {
		counter = fmt.Sprintf("counterbore %s, %s deep, from the %s", mm(c.Diameter), mm(c.Depth), c.From)
	}
	return append([]said{{"kind", string(h.Kind)}, {"diameter", mm(h.Diameter)}, {"depth", depth}, {"from", h.From.String()}, {"counter", counter}, {"chamfer", mm(h.Chamfer)},
		{"bolt", mm(h.Bolt)}, {"mating", mm(h.Mating)}}, toleranceSays(h.Tolerance, "diameter")...)
}

func pocketSays(k pattern.Pocket) []said {
	drop := "round, radius " + mm(k.Radius)
	if k.Radius == 0 { // drawn freely: told by its size
		low, high := k.Outline.Moved(-k.Out, 0, 0).Bounds()
		drop = fmt.Sprintf("drawn, %s x %s, %s mm²", mm(high.X-low.X), mm(high.Y-low.Y), measure.Decimal(k.Outline.Area(), 3))
	}
	shelf := "not known"
	if k.HasShelf {
		shelf = mm(k.Shelf)
	}
	return append([]said{{"drop", drop}, {"flare", degrees(k.Flare)}, {"mouth", mm(k.Mouth)}, {"shelf", shelf}, {"cut_angle", degrees(k.CutAngle)}, {"back_draft", degrees(k.Draft)}, {"edge", mm(k.Edge)}},
		toleranceSays(k.Tolerance, "radius")...)
}

// bedSays lists what is said of the bed as a whole.
func bedSays(p pattern.Pattern) []said {
	s, c := p.Promise, p.Clearances
	return []said{
		{"pattern", p.Name}, {"revision", p.Revision}, {"approved.by", p.Approved.By}, {"approved.on", p.Approved.On}, {"claims", p.Claim}, {"symmetry", string(p.Symmetry)},
		{"size", mm(p.SizeX) + " x " + mm(p.SizeY)}, {"field", mm(p.FieldX) + " x " + mm(p.FieldY)}, {"pieces", fmt.Sprint(len(p.Pieces))},
		{"size_tolerance", mm(s.SizeTolerance)}, {"edge_band", mm(s.EdgeBand)}, {"thickness_min", mm(s.ThicknessMin)}, {"density", number(s.Density) + " kg/m3"},
		{"lining", mm(s.Lining)}, {"lining_density", number(s.LiningDensity) + " kg/m3"}, {"shims", fmt.Sprint(s.Shims)}, {"shims_per_pack", fmt.Sprint(s.ShimsPerPack)},
		{"limits.lengthwise", mm(s.Limits.Lengthwise)}, {"limits.across", mm(s.Limits.Across)}, {"limits.zone", mm(s.Limits.Zone)}, {"limits.step", mm(s.Limits.Step)},
		{"state", s.State}, {"decision.rule", s.Decision.Rule}, {"decision.consumer_risk", number(s.Decision.Risk)},
		{"uncertainty.reading", mm(s.Uncertainty.Reading)}, {"uncertainty.bench", mm(s.Uncertainty.Bench)}, {"uncertainty.between_points", mm(s.Uncertainty.BetweenPoints)},
		{"uncertainty.joint_extrapolation", mm(s.Uncertainty.JointExtrapolation)}, {"joint_row.max_from_arris", mm(s.JointRow.MaxFromArris)},
		{"joint_row.min_stations", fmt.Sprint(s.JointRow.MinStations)}, {"levels", fmt.Sprint(s.Levels)},
		{"chamfers.top", mm(p.Chamfers.Top)}, {"chamfers.bottom", mm(p.Chamfers.Bottom)},
		{"clearances.edge", mm(c.Edge)}, {"clearances.joint", mm(c.Joint)}, {"clearances.pocket", mm(c.Pocket)}, {"clearances.hole", mm(c.Hole)}, {"clearances.web", mm(c.Web)},
		{"clearances.dowel", mm(c.Dowel)}, {"clearances.support", mm(c.Support)},
	}
}
