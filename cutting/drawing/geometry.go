package drawing

import (
	"encoding/json"
	"strings"
)

// Geometry is the geometry of a feature of GeoJSON (RFC 7946, section 3.1).
type Geometry struct {
	Type        string          `json:"type"`
	Coordinates json.RawMessage `json:"coordinates"`
}

// Area tells whether it bounds areas.
func (g Geometry) Area() bool { return strings.HasSuffix(g.Type, "Polygon") }

// Parts are its parts, one where its type is not Multi…: of a polygon the rings, the outer one first and without its repeated last
// corner, of a line or a point one list of places. Unit is a coordinate's in mm; heights are left out. It is false where the type is not
// one of those, where the coordinates are none of that type, and where a part or a ring is empty.
func (g Geometry) Parts(unit float64) (parts [][][]Point, ok bool) {
	raw, ok := g.raw()
	for _, rings := range raw {
		var part [][]Point
		for _, ring := range rings {
			var line []Point
			for _, p := range ring {
				if len(p) < 2 {
					return nil, false
				}
				line = append(line, Point{unit * p[0], unit * p[1]})
			}
			if n := len(line); g.Area() && n > 1 && line[0] == line[n-1] {
				line = line[:n-1]
			}
			ok = ok && len(line) > 0
			part = append(part, line)
		}
		ok = ok && len(part) > 0
		parts = append(parts, part)
	}
	return parts, ok && len(parts) > 0
}

// raw are the coordinates as those of several polygons: parts of rings of positions.
func (g Geometry) raw() (parts [][][][]float64, ok bool) {
	one := [][][]float64{{nil}}
	var err error
	switch g.Type {
	case "MultiPolygon":
		err = json.Unmarshal(g.Coordinates, &parts)
		return parts, err == nil
	case "MultiLineString":
		var lines [][][]float64
		err = json.Unmarshal(g.Coordinates, &lines)
		for _, l := range lines {
			parts = append(parts, [][][]float64{l})
		}
		return parts, err == nil
	case "Polygon":
		err = json.Unmarshal(g.Coordinates, &one)
	case "LineString":
		err = json.Unmarshal(g.Coordinates, &one[0])
	case "Point":
		err = json.Unmarshal(g.Coordinates, &one[0][0])
	default:
		return nil, false
	}
	return [][][][]float64{one}, err == nil
}
