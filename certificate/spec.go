package certificate

import "slatewright/bed"

// Spec is the specification as it is sealed. Its numbers are rounded as all sealed numbers are, and the rounded ones are
// what is computed with.
type Spec struct {
	Pattern       string            `json:"pattern"`
	Revision      string            `json:"revision"`
	Size          Position          `json:"size_mm"` // along, across
	SizeTolerance Length            `json:"size_tolerance_mm"`
	EdgeBand      Length            `json:"edge_band_mm"`
	JointGap      Length            `json:"joint_gap_mm"`
	ThicknessMin  Length            `json:"thickness_min_mm"`
	Density       Amount            `json:"density_kg_per_m3"`
	Lining        Length            `json:"lining_mm"`
	LiningDensity Amount            `json:"lining_density_kg_per_m3"`
	Supports      [3]List[Position] `json:"supports_mm"` // head, centre, foot
	Shims         List[Length]      `json:"shims_mm"`
	ShimsPerPack  int               `json:"shims_per_pack"`
	Limits        Limits            `json:"limits"`
	State         string            `json:"state"`
	Decision      Decision          `json:"decision"`
	Uncertainty   Uncertainty       `json:"uncertainty"`
	JointRow      JointRow          `json:"joint_row"`
	Levels        List[LevelSpec]   `json:"levels"`
}

// Limits are the largest values that conform.
type Limits struct {
	Lengthwise Length `json:"lengthwise_mm"`
	Across     Length `json:"across_mm"`
	Zone       Length `json:"zone_mm"`
	Step       Length `json:"step_mm"`
}

// Decision is the decision rule.
type Decision struct {
	Rule string `json:"rule"`
	Risk Share  `json:"consumer_risk"`
}

// Uncertainty holds standard uncertainties.
type Uncertainty struct {
	Reading            Length `json:"reading_mm"`
	Bench              Length `json:"bench_mm"`
	BetweenPoints      Length `json:"between_points_mm"`
	JointExtrapolation Length `json:"joint_extrapolation_mm"`
}

// JointRow says when readings count as read at the joint.
type JointRow struct {
	MaxFromArris Length `json:"max_from_arris_mm"`
	MinStations  int    `json:"min_stations"`
}

// LevelSpec is a mechanic's level.
type LevelSpec struct {
	Division string `json:"division"`
	Rise     Length `json:"rise_mm"`
	Over     Length `json:"over_mm"`
}

// spec seals a specification.
func (s *sealer) spec(b bed.Spec) Spec {
	out := Spec{
		Pattern: b.Pattern, Revision: b.Revision,
		Size: s.pair(b.SizeX, b.SizeY), SizeTolerance: s.mm(b.SizeTolerance), EdgeBand: s.mm(b.EdgeBand), JointGap: s.mm(b.JointGap),
		ThicknessMin: s.mm(b.ThicknessMin), Density: s.amount(b.Density), Lining: s.mm(b.Lining), LiningDensity: s.amount(b.LiningDensity),
		Shims: s.list(b.Shims), ShimsPerPack: b.ShimsPerPack,
		Limits:   Limits{s.mm(b.Limits.Lengthwise), s.mm(b.Limits.Across), s.mm(b.Limits.Zone), s.mm(b.Limits.Step)},
		State:    b.State,
		Decision: Decision{b.Decision.Rule, s.share(b.Decision.Risk)},
		Uncertainty: Uncertainty{s.mm(b.Uncertainty.Reading), s.mm(b.Uncertainty.Bench), s.mm(b.Uncertainty.BetweenPoints),
			s.mm(b.Uncertainty.JointExtrapolation)},
		JointRow: JointRow{s.mm(b.JointRow.MaxFromArris), b.JointRow.MinStations},
	}
	for place, list := range b.Supports {
		for _, at := range list {
			out.Supports[place] = append(out.Supports[place], s.pair(at[0], at[1]))
		}
	}
	for _, l := range b.Levels {
		out.Levels = append(out.Levels, LevelSpec{l.Division, s.mm(l.Rise), s.mm(l.Over)})
	}
	return out
}

// Bed returns the specification as the rest of the program knows it.
func (s Spec) Bed() bed.Spec {
	out := bed.Spec{
		Pattern: s.Pattern, Revision: s.Revision,
		SizeX: s.Size[0].Float64(), SizeY: s.Size[1].Float64(), SizeTolerance: s.SizeTolerance.Float64(),
		EdgeBand: s.EdgeBand.Float64(), JointGap: s.JointGap.Float64(),
		ThicknessMin: s.ThicknessMin.Float64(), Density: s.Density.Float64(), Lining: s.Lining.Float64(), LiningDensity: s.LiningDensity.Float64(),
		Shims: floats(s.Shims), ShimsPerPack: s.ShimsPerPack,
		Limits: bed.Limits{Lengthwise: s.Limits.Lengthwise.Float64(), Across: s.Limits.Across.Float64(),
			Zone: s.Limits.Zone.Float64(), Step: s.Limits.Step.Float64()},
		State:    s.State,
		Decision: bed.Decision{Rule: s.Decision.Rule, Risk: s.Decision.Risk.Float64()},
		Uncertainty: bed.Uncertainty{Reading: s.Uncertainty.Reading.Float64(), Bench: s.Uncertainty.Bench.Float64(),
			BetweenPoints: s.Uncertainty.BetweenPoints.Float64(), JointExtrapolation: s.Uncertainty.JointExtrapolation.Float64()},
		JointRow: bed.JointRow{MaxFromArris: s.JointRow.MaxFromArris.Float64(), MinStations: s.JointRow.MinStations},
	}
	for place, list := range s.Supports {
		for _, at := range list {
			out.Supports[place] = append(out.Supports[place], [2]float64{at[0].Float64(), at[1].Float64()})
		}
	}
	for _, l := range s.Levels {
		out.Levels = append(out.Levels, bed.Level{Division: l.Division, Rise: l.Rise.Float64(), Over: l.Over.Float64()})
	}
	return out
}

func floats(list List[Length]) []float64 {
	var out []float64
	for _, l := range list {
		out = append(out, l.Float64())
	}
	return out
}
