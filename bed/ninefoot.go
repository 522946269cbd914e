package bed

// NineFoot returns the specification used where none is given: a nine-foot bed of 2743 x 1473 mm in three equal pieces,
// with the limits of the tournament text. Each call returns its own copy.
//
// Figures with no other word are common practice without a source; a mill writes its own.
func NineFoot() Spec {
	return Spec{
		Pattern:       "nine-foot",
		Revision:      "1",
		SizeX:         2743, // 108 in
		SizeY:         1473, // 58 in
		SizeTolerance: 1,
		EdgeBand:      20,
		ThicknessMin:  tournamentThickness,
		Density:       2790,  // between two stored data sheets of slate, 2794 and 2810 kg/m³, and the 2700 to 2800 that exporters claim
		Lining:        19,    // medium-density fibreboard
		LiningDensity: 720.8, // 45 lb/ft³, the middle of what board makers state
		Supports: [3][][2]float64{
			sixSupports(380, 520), sixSupports(380, 520), sixSupports(380, 520),
		},
		Shims:        []float64{0.05, 0.1, 0.2, 0.3, 0.5, 1, 2},
		ShimsPerPack: 3,
		Limits: Limits{
			Lengthwise: tournamentLengthwise,
			Across:     tournamentAcross,
			Zone:       0.508, // the mill's own: lengthwise and across are both blind to a twist of the whole bed
			Step:       tournamentStep,
		},
		State:    StateLaid,
		Decision: Decision{Rule: RuleISO14253, Risk: ISO14253Risk},
		Uncertainty: Uncertainty{
			Reading:            0.010, // dial with 0.01 mm graduations, read by hand
			Bench:              0.005, // with Reading: U = 0.022 mm (k = 2), the low end of what a dial on a mapped bench holds
			BetweenPoints:      0.010, // nine by six points miss about 6 % of a smooth face's zone (computed on invented faces)
			JointExtrapolation: 0.030,
		},
		JointRow: JointRow{MaxFromArris: 15, MinStations: 9},
		Levels: []Level{
			{Division: "0.02 mm/m", Rise: 0.02, Over: 1000},
			{Division: "0.0005 in/ft", Rise: 0.0127, Over: 304.8},
		},
	}
}

// sixSupports returns three supports along each joint side of a piece: at ±y and in the middle, ±x from its middle.
func sixSupports(x, y float64) [][2]float64 {
	return [][2]float64{{-x, -y}, {-x, 0}, {-x, y}, {x, -y}, {x, 0}, {x, y}}
}
