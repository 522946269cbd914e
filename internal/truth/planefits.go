package truth

import _ "embed"

// CircleFit is a set of points with the circle that is nearest to them (orthogonal least squares). The points of ggs6 and their result to four
// digits are those of W. Gander, G. H. Golub and R. Strebel, BIT 34, 1994, 558–578, from memory; the points of ggs8 were seen in a public toolbox. The other digits were worked out again.
type CircleFit struct {
	Name      string
	Points    [][2]float64
	X, Y, R   float64
	Squares   float64
	Published [4]float64 // X, Y, R, Squares to four digits; NaN where nothing is published
}

//go:embed circle_fit_points.csv
var circlePointsCSV string

//go:embed circle_fit_results.csv
var circleResultsCSV string

// CircleFits returns the sets of points.
func CircleFits() (list []CircleFit) {
	place := map[string]int{}
	for _, row := range decisionRows(circlePointsCSV) {
		k, ok := place[row[0]]
		if !ok {
			k = len(list)
			place[row[0]] = k
			list = append(list, CircleFit{Name: row[0]})
		}
		xy := decisionNumbers(row[2:4])
		list[k].Points = append(list[k].Points, [2]float64{xy[0], xy[1]})
	}
	for _, row := range decisionRows(circleResultsCSV) {
		if row[1] != "geometric (orthogonal least squares)" {
			continue
		}
		c := &list[place[row[0]]]
		n := decisionNumbers(row[3:5])
		for i, quantity := range []string{"cx", "cy", "r", "sum_sq"} {
			if row[2] == quantity {
				*[]*float64{&c.X, &c.Y, &c.R, &c.Squares}[i] = n[1]
				c.Published[i] = n[0]
			}
		}
	}
	return list
}

// RigidFit is a set of points before and after a motion, with what a rigid fit by least squares finds. The points were seen in the test data of a
// general numeric library; the fits were worked out two ways.
type RigidFit struct {
	Name     string
	From, To [][2]float64
	// Degrees, X and Y are the motion and Squares the sum of squares; NaN where only RMS is known.
	Degrees, X, Y, Squares float64
	RMS                    float64
}

//go:embed rigid_fit_2d.csv
var rigidPointsCSV string

//go:embed rigid_fit_2d_results.csv
var rigidResultsCSV string

// RigidFits returns the sets of points.
func RigidFits() (list []RigidFit) {
	place := map[string]int{}
	for _, row := range decisionRows(rigidPointsCSV) {
		k, ok := place[row[0]]
		if !ok {
			k = len(list)
			place[row[0]] = k
			none := decisionNumbers([]string{""})[0]
			list = append(list, RigidFit{Name: row[0], Degrees: none, X: none, Y: none, Squares: none, RMS: none})
		}
		n := decisionNumbers(row[2:6])
		list[k].From = append(list[k].From, [2]float64{n[0], n[1]})
		list[k].To = append(list[k].To, [2]float64{n[2], n[3]})
	}
	for _, row := range decisionRows(rigidResultsCSV) {
		f := &list[place[row[0]]]
		v := decisionNumbers(row[2:3])[0]
		switch row[1] {
		case "rotation deg (rigid, no scale, no mirror)":
			f.Degrees = v
		case "translation x":
			f.X = v
		case "translation y":
			f.Y = v
		case "sum of squared residuals":
			f.Squares = v
		case "rms residual", "rms residual of rigid fit without mirror or scale":
			f.RMS = v
		}
	}
	return list
}
