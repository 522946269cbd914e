package truth

import _ "embed"

// Line is a straight line with certified coefficients.
type Line struct {
	X, Y                             []float64
	Intercept, Slope                 float64
	InterceptSD, SlopeSD, ResidualSD float64
}

// Norris of the Statistical Reference Datasets of the National Institute of Standards and Technology, linear regression, lower difficulty:
// calibration of ozone monitors, 36 observations, certified to 15 digits.
//
//go:embed nist_norris.csv
var nistNorris string

// Norris returns the set.
func Norris() Line {
	l := Line{Intercept: -0.262323073774029, InterceptSD: 0.232818234301152, Slope: 1.00211681802045, SlopeSD: 0.429796848199937e-3, ResidualSD: 0.884796396144373}
	for _, row := range decisionRows(nistNorris) {
		n := decisionNumbers(row[2:])
		l.X, l.Y = append(l.X, n[0]), append(l.Y, n[1])
	}
	return l
}
