package slabfile

import (
	"encoding/json"
	"fmt"
	"strings"

	"slatewright/cutting/drawing"
)

// A slab as GeoJSON: a FeatureCollection in mm (or in the "unit" that it names) whose features say by the property "is" what they are: slab (a polygon), or crack,
// vein, stain or hole (a line or a polygon) with name, clearance_mm, face and forbids. Beside the features stand the keys of a slab that have no shape.

type collection struct {
	slabJSON
	Type     string `json:"type"`
	Unit     string `json:"unit"`
	Features []struct {
		Geometry   drawing.Geometry `json:"geometry"`
		Properties struct {
			Is        string  `json:"is"`
			Name      string  `json:"name"`
			Clearance float64 `json:"clearance_mm"`
			Face      string  `json:"face"`
			Forbids   string  `json:"forbids"`
		} `json:"properties"`
	} `json:"features"`
}

// units are the lengths in which GeoJSON may be, in mm.
var units = map[string]float64{"": 1, "mm": 1, "cm": 10, "m": 1000}

// isCollection tells a FeatureCollection from the program's own JSON.
func isCollection(text []byte) bool {
	var head struct {
		Type string `json:"type"`
	}
	return json.Unmarshal(text, &head) == nil && head.Type == "FeatureCollection"
}

// readCollection turns features into a slab as the program's own JSON has it.
func readCollection(name string, text []byte) (f *slabJSON, err error) {
	var c collection
	if err := json.Unmarshal(text, &c); err != nil {
		return nil, badJSON(name, text, 0, err)
	}
	mm, ok := units[c.Unit]
	if !ok {
		return nil, bad(name+": unit", fmt.Sprintf("there is no unit %q", c.Unit), "write mm, cm or m")
	}
	if c.Outline != nil || c.Rectangle != nil || c.Flaws != nil {
		return nil, bad(name, "outline and flaws are features here", "write them as features, or take the program's own form")
	}
	f = &c.slabJSON
	for i, g := range c.Features {
		where := fmt.Sprintf("%s: features[%d]", name, i)
		p, area, err := shape(where, g.Geometry, mm)
		if err != nil {
			return nil, err
		}
		if g.Properties.Is == "slab" {
			if !area || f.Outline != nil {
				return nil, bad(where, "a slab is one polygon", "give its outline as one Polygon")
			}
			f.Outline = p
			continue
		}
		w := flawJSON{Name: g.Properties.Name, Kind: g.Properties.Is, Clearance: g.Properties.Clearance, Face: g.Properties.Face, Forbids: g.Properties.Forbids}
		if w.Kind == "" {
			return nil, bad(where, "the feature does not say what it is", `give it the property "is": slab, crack, vein, stain or hole`)
		}
		if w.Line = p; area {
			w.Line, w.Area = nil, p
		}
		f.Flaws = append(f.Flaws, w)
	}
	return f, nil
}

// shape reads a point, a line or the ring of a polygon. What lies in holes of a polygon is a feature of its own.
func shape(where string, g drawing.Geometry, mm float64) (p []point, area bool, err error) {
	parts, ok := g.Parts(mm)
	if !ok || len(parts) != 1 || len(parts[0]) != 1 || strings.HasPrefix(g.Type, "Multi") {
		return nil, false, bad(where, fmt.Sprintf("the geometry %q cannot be used", g.Type), "give a Polygon without holes, a LineString or a Point")
	}
	return corners(parts[0][0]), g.Area(), nil
}

// looksJSON tells whether a text is meant as JSON.
func looksJSON(text []byte) bool {
	t := strings.TrimLeft(strings.TrimPrefix(string(text[:min(len(text), 4096)]), "\xef\xbb\xbf"), " \t\r\n")
	return t == "" || t[0] == '{' || t[0] == '[' || t[0] == '"'
}
