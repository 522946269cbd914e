package mapfile

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"slatewright/cutting/drawing"
	"slatewright/cutting/layer"
	"slatewright/trouble"
)

// collection is a GeoJSON FeatureCollection (RFC 7946) in the quarry's own frame, with members of our own.
type collection struct {
	Type       string    `json:"type"`
	Unit       string    `json:"unit"`
	Depth      *float64  `json:"depth_mm"`
	Kerf       *float64  `json:"kerf_mm"`
	Reach      *float64  `json:"reach_mm"`
	Margin     *float64  `json:"margin_mm"`
	Overlength *float64  `json:"overlength_mm"`
	Clear      *float64  `json:"clear_mm"`
	Error      *float64  `json:"error_mm"`
	Directions []float64 `json:"directions_deg"`
	Runs       string    `json:"runs"`
	Bearing    *float64  `json:"bearing_deg"`
	Least      *float64  `json:"least_chance"`
	Density    *float64  `json:"density_kg_per_m3"`
	Blocks     []struct {
		Name   string  `json:"name"`
		Length float64 `json:"length_mm"`
		Width  float64 `json:"width_mm"`
		Value  float64 `json:"value"`
		Most   int     `json:"most"`
		Turn   bool    `json:"turn"`
	} `json:"blocks"`
	Frame    json.RawMessage `json:"crs"`
	Features []feature       `json:"features"`
}

type feature struct {
	Geometry   drawing.Geometry `json:"geometry"`
	Properties struct {
		Kind   string   `json:"kind"`
		Name   string   `json:"name"`
		Stance string   `json:"stance"`
		Photo  string   `json:"photo"`
		Dip    *float64 `json:"dip_deg"`
		Toward *float64 `json:"toward_deg"`
		Length float64  `json:"length_mm"`
		Chance *float64 `json:"chance"`
		Error  *float64 `json:"error_mm"`
		Clear  *float64 `json:"clear_mm"`
	} `json:"properties"`
}

// members are those of a collection that are read or may stand there for others.
var members = []string{"type", "unit", "depth_mm", "kerf_mm", "reach_mm", "margin_mm", "overlength_mm", "clear_mm", "error_mm", "directions_deg", "runs", "bearing_deg", "least_chance", "density_kg_per_m3",
	"blocks", "features", "crs", "bbox", "name", "note", "title", "description"}

// terms are those that the collection has.
func (c collection) terms() terms {
	t := terms{depth: c.Depth, kerf: c.Kerf, reach: c.Reach, margin: c.Margin, over: c.Overlength, clear: c.Clear, errorMM: c.Error, bearing: c.Bearing, least: c.Least, density: c.Density,
		directions: c.Directions, runs: strings.ToLower(c.Runs), unit: strings.ToLower(c.Unit)}
	for _, b := range c.Blocks {
		t.sizes = append(t.sizes, layer.Size{Name: b.Name, Length: b.Length, Width: b.Width, Value: b.Value, Most: b.Most, Turn: b.Turn})
	}
	return t
}

func (m *Map) readGeoJSON(text []byte, beside terms) error {
	var c collection
	if err := json.Unmarshal(text, &c); err != nil {
		return trouble.Data("bad-json", m.File, "the file is no GeoJSON: "+err.Error(), "write a FeatureCollection as docs/layer.md shows it").Because(err)
	}
	if c.Type != "FeatureCollection" {
		return trouble.Data("bad-json", m.File, "the file is no FeatureCollection", "write a FeatureCollection as docs/layer.md shows it")
	}
	t := c.terms()
	t.fill(beside)
	if err := m.conditions(t); err != nil {
		return err
	}
	m.unknown(text)
	unit, err := m.unit(c, t.unit)
	if err != nil {
		return err
	}
	m.settle(t)
	for i, f := range c.Features {
		if err := m.feature(f, unit, fmt.Sprintf("%s: feature %d", m.File, i+1)); err != nil {
			return err
		}
	}
	if m.tiny() {
		return trouble.Data("geographic", m.File, "the layer is smaller than a hand: its coordinates look like degrees of longitude and latitude", "give metres in the quarry's own frame, from the beginning of the base line")
	}
	return nil
}

// conditions holds the terms of a survey that is no list.
func (m *Map) conditions(t terms) error {
	if t.depth == nil || t.kerf == nil {
		return trouble.Data("no-header", m.File, "the file lacks depth_mm or kerf_mm", "add both beside the features, or as header lines of a list of blocks")
	}
	if n := len(t.directions); n != 0 && n != 3 {
		return trouble.Data("bad-json", m.File, "directions_deg are not three numbers", "write from, to and by, such as [-3, 3, 0.5]")
	}
	if t.bearing != nil && !bearingOK(*t.bearing) {
		return trouble.Data("bad-json", m.File, fmt.Sprintf("bearing_deg: %g is no bearing", *t.bearing), "write degrees from north by east, 0 to 360")
	}
	if t.density != nil && !densityOK(*t.density) {
		return trouble.Data("bad-json", m.File, fmt.Sprintf("density_kg_per_m3: %g is no density of stone", *t.density), "write that of the wet stone, about 2850")
	}
	return nil
}

// unknown warns of members that nobody reads.
func (m *Map) unknown(text []byte) {
	var all map[string]json.RawMessage
	if json.Unmarshal(text, &all) != nil {
		return
	}
	for _, name := range slices.Sorted(maps.Keys(all)) {
		if !slices.Contains(members, name) {
			m.note(fmt.Sprintf("the member %q is not known and was not read", name))
		}
	}
}

// unit is that of the coordinates, in mm. By its standard a file that does not say it is in degrees.
func (m *Map) unit(c collection, unit string) (float64, error) {
	const next = `give metres in the quarry's own frame, from the beginning of the base line, and write "unit": "m"`
	frame := strings.ToUpper(string(c.Frame))
	for _, degrees := range []string{"4326", "CRS84", "WGS 84", "WGS84\""} {
		if strings.Contains(frame, degrees) {
			return 0, trouble.Data("geographic", m.File, "the coordinates are longitudes and latitudes", next)
		}
	}
	mm := map[string]float64{"m": 1000, "mm": 1}[unit]
	switch {
	case unit == "":
		return 0, trouble.Data("no-unit", m.File, "the file does not say the unit of its coordinates, and without one they are longitudes and latitudes", next)
	case mm == 0:
		return 0, trouble.Data("bad-json", m.File, fmt.Sprintf("coordinates cannot be in %q", unit), "write m or mm as its unit")
	}
	return mm, nil
}

// tiny tells whether the outline is smaller than any block: 0.1 m.
func (m *Map) tiny() bool {
	var wide float64
	for _, p := range m.Outline {
		wide = max(wide, math.Abs(p.X-m.Outline[0].X), math.Abs(p.Y-m.Outline[0].Y))
	}
	return len(m.Outline) > 2 && wide < 100
}

// feature takes an outline, a stain, a joint or a vein; of a geometry of several parts each.
func (m *Map) feature(f feature, unit float64, where string) error {
	kind := strings.ToLower(f.Properties.Kind)
	if f.Geometry.Type == "" {
		return trouble.Data("bad-feature", where, "a feature has no geometry", "give it a Polygon, a LineString or a Point")
	}
	bad := trouble.Data("bad-feature", where, fmt.Sprintf("a %s cannot be a %q", f.Geometry.Type, f.Properties.Kind), "an outline or a stain is a Polygon, a crack or a vein a LineString, or a Point with dip_deg, toward_deg and length_mm")
	areas := kind == "outline" || kind == "stain"
	lines := kind == "crack" || kind == "joint" || kind == "vein"
	parts, ok := f.Geometry.Parts(unit)
	if !ok || areas != f.Geometry.Area() || !areas && !lines {
		return bad
	}
	p := f.Properties
	for i, rings := range parts {
		var shapes [][]layer.Point
		for _, r := range rings {
			shapes = append(shapes, placesOf(r))
		}
		switch {
		case strings.HasSuffix(f.Geometry.Type, "LineString") && len(shapes[0]) < 2:
			return bad
		case areas:
			if err := m.area(kind, p.Name, p.Clear, shapes, where); err != nil {
				return err
			}
		default:
			name := p.Name
			if len(parts) > 1 && name != "" {
				name = fmt.Sprintf("%s/%d", name, i+1)
			}
			if err := m.add(found{name, p.Photo, shapes[0], p.Stance, p.Dip, p.Toward, p.Length, p.Chance, p.Error, p.Clear}, where); err != nil {
				return err
			}
		}
	}
	return nil
}

// area takes an outline or a stain with the rings of its holes.
func (m *Map) area(kind, name string, clear *float64, rings [][]layer.Point, where string) error {
	off := 0.0
	if clear != nil {
		off = *clear
	}
	if kind == "stain" {
		if len(rings) > 1 {
			return trouble.Data("bad-feature", where, "a stain has a hole", "draw it without, or as several stains")
		}
		m.Areas = append(m.Areas, layer.Area{Name: name, Ring: rings[0], Clear: off})
		return nil
	}
	if m.Outline != nil {
		return trouble.Data("bad-feature", where, "there are two outlines", "plan one layer at a time")
	}
	m.Outline = rings[0]
	for _, hole := range rings[1:] {
		m.Areas = append(m.Areas, layer.Area{Name: "hole", Ring: hole, Clear: m.Margin})
	}
	return nil
}
