package truth

import _ "embed"

// WoodMoisture is one equilibrium moisture content of wood at a temperature and humidity. Published is that of the table in the USDA Wood Handbook
// (mark "memory": its 70 °F row, recalled) or of pages that quote table or equation ("quoted", seen: one compares within 0.5, those which
// give the moisture first and round the humidity within 0.7); NaN where only the equation was worked out ("computed").
type WoodMoisture struct {
	Fahrenheit, Humidity float64
	Published, Equation  float64 // %
	Mark                 string
}

// Band is a range of moisture contents of particleboard and fibreboard at a humidity, %.
type Band struct{ Humidity, Low, High float64 }

// Bilayer is a strip of two layers with its curvature for a mismatch of strain, worked out by Timoshenko's formula of 1925 and by the equilibrium of a
// composite beam, which agree to 4.4e-16. Published is the end deflection of a cantilever of that length, mm, as a public example prints it
// (seen; NaN for a constructed case, whose modulus of board is assumed).
type Bilayer struct {
	T1, E1, T2, E2, Strain, Length float64 // mm, N/mm²
	Curvature                      float64 // 1/mm
	Published                      float64
}

var (
	//go:embed wood_moisture.csv
	woodMoistureCSV string
	//go:embed lining_bands.csv
	liningBandsCSV string
	//go:embed bilayer.csv
	bilayerCSV string
)

// WoodMoistures returns the moisture contents of wood.
func WoodMoistures() (list []WoodMoisture) {
	for _, row := range decisionRows(woodMoistureCSV) {
		n := decisionNumbers(row[:4])
		list = append(list, WoodMoisture{n[0], n[1], n[2], n[3], row[4]})
	}
	return list
}

// BoardBands returns the moisture contents of boards by humidity: facts booklet of the Engineered Wood Products Association of Australasia (seen).
func BoardBands() (list []Band) {
	for _, row := range decisionRows(liningBandsCSV) {
		n := decisionNumbers(row)
		list = append(list, Band{n[0], n[1], n[2]})
	}
	return list
}

// BoardGrowths are the growths of fibreboard in its plane for 1 % of water, mm/m, as three texts give them (seen): the facts booklet from 9 to 12 % and from 12
// to 16 %, and a European association's 0.05 % for 1 %.
func BoardGrowths() []float64 { return []float64{1.0 / 3, 1.0 / 4, 0.5} }

// Bilayers returns the strips of two layers.
func Bilayers() (list []Bilayer) {
	for _, row := range decisionRows(bilayerCSV) {
		n := decisionNumbers(row)
		list = append(list, Bilayer{n[0], n[1], n[2], n[3], n[4], n[5], n[6], n[7]})
	}
	return list
}
