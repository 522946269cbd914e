package truth

import (
	_ "embed"
	"strconv"
	"strings"
)

// PlaneSet is one of NIST's least-squares reference pairs for planes, with the minimum zone that was worked out for it here.
type PlaneSet struct {
	Name    string
	X, Y, Z []float64

	// Published: a point of the least-squares plane (the centroid of the set) and its unit normal, free in sign.
	Centroid, Normal [3]float64

	// Not published by NIST: the exact minimum zone of the decimal coordinates, by enumeration of the hull in rational
	// arithmetic (an independent linear program agrees to 1e-8), its contact criterion and normal (free in sign).
	Zone       float64
	Contact    string // "3-1" or "2-2"
	ZoneNormal [3]float64
}

// The 15 plane sets of the reference pairs for least-squares fitting of the U.S. National Institute of Standards and
// Technology (Algorithm Testing System; C. M. Shakarji, J. Res. Natl. Inst. Stand. Technol. 103, 633, 1998; general method
// ASME B89.4.10): published data, coordinates and fit with all their digits. The columns exact_zone, contact and zone_normal
// were computed for this project, exactly, by rational arithmetic.
var (
	//go:embed nist_plane_points.csv
	nistPlanePoints string
	//go:embed nist_plane_results.csv
	nistPlaneResults string
)

// NISTPlanes returns the plane sets in the order of their numbers.
func NISTPlanes() []PlaneSet {
	var sets []PlaneSet
	place := map[string]int{}
	for _, f := range nistRows(nistPlaneResults, 13) {
		n := nistNumbers(append(append(append([]string{}, f[2:9]...), f[10:]...), f[1]))
		place[f[0]] = len(sets)
		sets = append(sets, PlaneSet{Name: f[0], Centroid: [3]float64(n[:3]), Normal: [3]float64(n[3:6]), Zone: n[6],
			Contact: f[9], ZoneNormal: [3]float64(n[7:10]), X: make([]float64, 0, int(n[10]))})
	}
	for _, f := range nistRows(nistPlanePoints, 4) {
		n := nistNumbers(f[1:])
		s := &sets[place[f[0]]]
		s.X, s.Y, s.Z = append(s.X, n[0]), append(s.Y, n[1]), append(s.Z, n[2])
	}
	for _, s := range sets {
		if len(s.X) != cap(s.X) {
			panic("truth: NIST plane set " + s.Name + " has lost points")
		}
	}
	return sets
}

// nistRows parts a table with a title line into rows of width fields.
func nistRows(table string, width int) [][]string {
	var rows [][]string
	for _, line := range strings.Split(strings.TrimSpace(table), "\n")[1:] {
		f := strings.Split(line, ",")
		if len(f) != width {
			panic("truth: NIST plane table: a row is not as wide as its title: " + line)
		}
		rows = append(rows, f)
	}
	return rows
}

func nistNumbers(fields []string) []float64 {
	var n []float64
	for _, f := range fields {
		x, err := strconv.ParseFloat(f, 64)
		if err != nil {
			panic("truth: NIST plane table: " + err.Error())
		}
		n = append(n, x)
	}
	return n
}
