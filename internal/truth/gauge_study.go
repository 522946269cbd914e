package truth

import (
	_ "embed"
	"strconv"
)

// StudyReading is one reading of the gauge study: who, which part, which trial.
type StudyReading struct {
	Appraiser, Part string
	Trial           int
	Value           float64
}

// The study of ten parts, three appraisers and three trials in Measurement Systems Analysis, 4th edition, Automotive Industry Action Group,
// 2010, seen in five public test files, with its results by average and range and by analysis of variance. Mark: "seen" in public test
// files that quote the book, "memory" recalled, "computed" not published; all were worked out again for the column Computed.
var (
	//go:embed gauge_study_readings.csv
	gaugeStudyReadings string
	//go:embed gauge_study.csv
	gaugeStudyResults string
)

// GaugeStudyReadings returns the 90 readings.
func GaugeStudyReadings() []StudyReading {
	var list []StudyReading
	for _, row := range decisionRows(gaugeStudyReadings) {
		n := decisionNumbers(row[2:])
		list = append(list, StudyReading{Appraiser: row[0], Part: row[1], Trial: int(n[0]), Value: n[1]})
	}
	return list
}

// GaugeStudyFigure returns a result of the study with its mark; published is NaN where the book's figure is not known.
func GaugeStudyFigure(quantity string) (mark string, published, computed float64) {
	for _, row := range decisionRows(gaugeStudyResults) {
		if row[0] == quantity {
			n := decisionNumbers(row[2:])
			return row[1], n[0], n[1]
		}
	}
	panic("truth: no figure " + strconv.Quote(quantity) + " of the gauge study")
}
