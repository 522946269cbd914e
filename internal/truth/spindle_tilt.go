package truth

import _ "embed"

// SpindleTilt is the hollow that a tilted disc leaves in a track, mm: by the formula delta = (D/2 − √((D/2)² − (w/2)²)) · sin(tilt), recalled from memory
// (handbooks of machining give the same expression; no worked value of a handbook was found), and by brute force, a tilted circle swept along the
// feed. Both columns were worked out, none is published; the second does not know the formula.
type SpindleTilt struct {
	Diameter, Width, Tilt float64 // mm, mm, rad
	Formula, Brute        float64 // mm
}

//go:embed spindle_tilt.csv
var spindleTiltCSV string

// SpindleTilts returns the hollows.
func SpindleTilts() (list []SpindleTilt) {
	for _, row := range decisionRows(spindleTiltCSV) {
		n := decisionNumbers(row)
		list = append(list, SpindleTilt{n[0], n[1], n[2], n[3], n[4]})
	}
	return list
}
