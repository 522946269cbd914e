package truth

import _ "embed"

// OneWay is a one-way layout of the Statistical Reference Datasets: values by treatment, and certified results.
type OneWay struct {
	Name      string
	Treatment []string
	Value     []float64
	Certified map[string]float64 // df_between, ss_between, ms_between, F, df_within, ss_within, ms_within, r_squared, residual_sd
}

// Statistical Reference Datasets of the National Institute of Standards and Technology, analysis of variance: SiRstv and AtmWtAg (observed),
// SmLs01 and SmLs04 (generated, of lower and average difficulty); certified to 15 digits. And GEAR of the NIST/SEMATECH e-Handbook of
// Statistical Methods (doi 10.18434/M32189), section 1.3.5.4: diameters of ten batches of ten gears.
var (
	//go:embed nist_anova_data.csv
	nistAnovaData string
	//go:embed nist_anova_certified.csv
	nistAnovaCertified string
	//go:embed nist_gear.csv
	nistGear string
)

// NISTOneWays returns the certified sets.
func NISTOneWays() []OneWay {
	var list []OneWay
	place := map[string]int{}
	for _, row := range decisionRows(nistAnovaCertified) {
		i, ok := place[row[0]]
		if !ok {
			i = len(list)
			place[row[0]] = i
			list = append(list, OneWay{Name: row[0], Certified: map[string]float64{}})
		}
		list[i].Certified[row[1]] = decisionNumbers(row[2:])[0]
	}
	for _, row := range decisionRows(nistAnovaData) {
		set := &list[place[row[0]]]
		set.Treatment = append(set.Treatment, row[2])
		set.Value = append(set.Value, decisionNumbers(row[3:])[0])
	}
	return list
}

// Gear returns the gears. The figures are the handbook's analysis of variance, recalled from memory, rounded there to the last digit given.
func Gear() OneWay {
	set := OneWay{Name: "GEAR", Certified: map[string]float64{"ss_between": 0.000729, "ss_within": 0.003174, "F": 2.2969, "df_between": 9, "df_within": 90}}
	for _, row := range decisionRows(nistGear) {
		set.Treatment = append(set.Treatment, row[2])
		set.Value = append(set.Value, decisionNumbers(row[3:])[0])
	}
	return set
}
