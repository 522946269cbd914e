package answers

import (
	"math"

	"slatewright/gauge/study"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Study is how well an instrument repeats in the hands of people.
type Study struct {
	File             string           `json:"file"`
	Unit             string           `json:"unit"` // of mean, sd and range: mm for every length
	Parts            int              `json:"parts"`
	People           int              `json:"people"`
	Trials           int              `json:"trials"` // of a person on a part, mostly
	Readings         int              `json:"readings"`
	Gaps             []string         `json:"gaps"`   // where there are more or fewer
	Nested           bool             `json:"nested"` // every part was read by one person only
	Mean             float64          `json:"mean"`
	Confidence       float64          `json:"confidence"`
	Tolerance        *float64         `json:"tolerance"`
	Sources          []StudySource    `json:"anova"`
	Pooled           bool             `json:"interaction_pooled"`
	Components       []StudyComponent `json:"components"`
	Categories       int              `json:"categories"`
	CategoriesExact  float64          `json:"categories_exact"`
	CategoriesWithin [2]float64       `json:"categories_interval"`
	Ranges           *StudyRanges     `json:"ranges"`
	Warnings         []string         `json:"warnings"`

	Pooling string          `json:"-"` // the rule and what came of it
	List    []study.Reading `json:"-"`
}

// StudySource is one line of the analysis of variance.
type StudySource struct {
	Name string   `json:"source"`
	SS   float64  `json:"sum_of_squares"`
	DoF  float64  `json:"degrees_of_freedom"`
	MS   float64  `json:"mean_square"`
	F    *float64 `json:"f"`
	P    *float64 `json:"p"`
}

// StudyComponent is one cause of spread.
type StudyComponent struct {
	Name        string      `json:"component"`
	SD          float64     `json:"sd"`
	Within      [2]float64  `json:"sd_interval"`
	OfVariance  float64     `json:"of_variance"`
	OfStudy     float64     `json:"of_study"`
	StudyWithin [2]float64  `json:"of_study_interval"`
	OfTolerance *float64    `json:"of_tolerance"`
	ToleranceIn *[2]float64 `json:"of_tolerance_interval"`
	Negative    bool        `json:"estimate_was_negative"`
}

// StudyRanges is the same study by average and range.
type StudyRanges struct {
	MeanRange     float64  `json:"mean_range"`
	Repeatability float64  `json:"repeatability_sd"`
	Persons       float64  `json:"persons_sd"`
	Gauge         float64  `json:"gauge_sd"`
	Part          float64  `json:"part_sd"`
	Total         float64  `json:"total_sd"`
	OfStudy       float64  `json:"of_study"`
	OfTolerance   *float64 `json:"of_tolerance"`
	Categories    int      `json:"categories"`
}

// OfReadings answers a list of readings; a tolerance (mm) that is not 0 takes the place of the list's own.
func OfReadings(table *sheet.Sheet, tolerance float64) (*Study, error) {
	list, err := study.Read(table)
	if err != nil {
		return nil, err
	}
	if tolerance > 0 && list.Unit != "mm" {
		return nil, trouble.Usage("no-tolerance", table.Name, "the values are no lengths but "+list.Unit, "write '# tolerance:' into the list")
	}
	if tolerance == 0 {
		tolerance = list.Tolerance
	}
	st, err := study.New(list.Readings)
	if err != nil {
		return nil, at(list.Name, err)
	}
	a := st.Analyse(study.Options{Confidence: Confidence, Tolerance: tolerance, Seed: seed})
	r := &Study{File: list.Name, Unit: list.Unit, Parts: len(st.Parts), People: len(st.People), Trials: st.Trials,
		Readings: st.Readings, Gaps: append([]string{}, st.Gaps...), Nested: st.Nested, Mean: a.Mean, Confidence: Confidence,
		Pooled: a.Pooled, Pooling: a.Pooling, List: list.Readings, Categories: whole(a.Categories.Value), CategoriesExact: a.Categories.Value,
		CategoriesWithin: [2]float64{a.Categories.Low, a.Categories.High}, Warnings: append(append([]string{}, list.Warnings...), a.Warnings...)}
	if tolerance > 0 {
		r.Tolerance = &tolerance
	}
	for _, s := range a.Sources {
		r.Sources = append(r.Sources, StudySource{s.Name, s.SS, s.DoF, s.MS, number(s.F), number(s.P)})
	}
	for _, c := range a.Components {
		d := StudyComponent{Name: c.Name, SD: c.SD.Value, Within: [2]float64{c.SD.Low, c.SD.High}, OfVariance: c.OfVariance, OfStudy: c.OfStudy.Value,
			StudyWithin: [2]float64{c.OfStudy.Low, c.OfStudy.High}, OfTolerance: number(c.OfTolerance.Value), Negative: c.Negative}
		if d.OfTolerance != nil {
			d.ToleranceIn = &[2]float64{c.OfTolerance.Low, c.OfTolerance.High}
		}
		r.Components = append(r.Components, d)
	}
	if g := a.Ranges; g != nil {
		r.Ranges = &StudyRanges{g.MeanRange, g.Repeatability, g.Persons, g.Gauge, g.Part, g.Total, g.OfStudy, number(g.OfTolerance), whole(g.Categories)}
	}
	return r, nil
}

// whole cuts to a whole number, as is the custom for classes.
func whole(x float64) int { return int(math.Trunc(x)) }
