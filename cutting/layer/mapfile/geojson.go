package mapfile

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"slatewright/cutting/layer"
	"slatewright/trouble"
)

// collection is a GeoJSON FeatureCollection (RFC 7946) in the quarry's own frame, with members of our own.
type collection struct {
	Type       string    `json:"type"`
	Unit       string    `json:"unit"`
	Depth      *float64  `json:"depth_mm"`
	Kerf       *float64  `json:"kerf_mm"`
	Reach      float64   `json:"reach_mm"`
	Margin     float64   `json:"margin_mm"`
	Overlength float64   `json:"overlength_mm"`
	Clear      float64   `json:"clear_mm"`
	Error      float64   `json:"error_mm"`
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
	Features []feature `json:"features"`
}

type feature struct {
	Geometry struct {
		Type        string          `json:"type"`
		Coordinates json.RawMessage `json:"coordinates"`
	} `json:"geometry"`
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

func (m *Map) readGeoJSON(text []byte) error {
	var c collection
	d := json.NewDecoder(bytes.NewReader(text))
	if err := d.Decode(&c); err != nil {
		return trouble.Data("bad-json", m.File, "the file is no GeoJSON: "+err.Error(), "write a FeatureCollection as docs/layer.md shows it").Because(err)
	}
	if c.Type != "FeatureCollection" {
		return trouble.Data("bad-json", m.File, "the file is no FeatureCollection", "write a FeatureCollection as docs/layer.md shows it")
	}
	unit := map[string]float64{"m": 1000, "": 1000, "mm": 1}[c.Unit]
	if unit == 0 {
		return trouble.Data("bad-json", m.File, fmt.Sprintf("coordinates cannot be in %q", c.Unit), "write m or mm as its unit")
	}
	if c.Unit == "" {
		m.note("the file does not say the unit of its coordinates: metres in the quarry's own frame are taken")
	}
	if c.Depth == nil || c.Kerf == nil {
		return trouble.Data("no-header", m.File, "the file lacks depth_mm or kerf_mm", "add both beside the features")
	}
	m.Depth, m.Margin, m.Saw.Kerf, m.Saw.Reach, m.Saw.Runs = *c.Depth, c.Margin, *c.Kerf, c.Reach, layer.Runs(strings.ToLower(c.Runs))
	switch len(c.Directions) {
	case 0:
	case 3:
		m.Saw.From, m.Saw.To, m.Saw.By = c.Directions[0], c.Directions[1], c.Directions[2]
	default:
		return trouble.Data("bad-json", m.File, "directions_deg are not three numbers", "write from, to and by, such as [-3, 3, 0.5]")
	}
	if c.Least != nil {
		m.Least = *c.Least
	}
	if c.Density != nil {
		m.Density = *c.Density
	}
	for _, b := range c.Blocks {
		m.Sizes = append(m.Sizes, layer.Size{Name: b.Name, Length: b.Length + c.Overlength, Width: b.Width + c.Overlength, Value: b.Value, Most: b.Most, Turn: b.Turn})
	}
	of := frameOf{bearing: c.Bearing, clear: c.Clear, errorMM: c.Error}
	for i, f := range c.Features {
		if err := m.feature(f, of, unit, fmt.Sprintf("%s: feature %d", m.File, i+1)); err != nil {
			return err
		}
	}
	return nil
}

// feature takes an outline, a stain, a joint or a vein.
func (m *Map) feature(f feature, of frameOf, unit float64, where string) error {
	kind := strings.ToLower(f.Properties.Kind)
	if f.Geometry.Type == "" {
		return trouble.Data("bad-feature", where, "a feature has no geometry", "give it a Polygon, a LineString or a Point")
	}
	bad := trouble.Data("bad-feature", where, fmt.Sprintf("a %s cannot be a %q", f.Geometry.Type, f.Properties.Kind), "an outline or a stain is a Polygon, a crack or a vein a LineString, or a Point with dip_deg, toward_deg and length_mm")
	var rings [][][]float64
	switch f.Geometry.Type {
	case "Polygon":
		if json.Unmarshal(f.Geometry.Coordinates, &rings) != nil || len(rings) == 0 {
			return bad
		}
	case "LineString":
		rings = make([][][]float64, 1)
		if json.Unmarshal(f.Geometry.Coordinates, &rings[0]) != nil || len(rings[0]) < 2 {
			return bad
		}
	case "Point":
		rings = [][][]float64{make([][]float64, 1)}
		if json.Unmarshal(f.Geometry.Coordinates, &rings[0][0]) != nil {
			return bad
		}
	}
	var lines [][]layer.Point
	for _, ring := range rings {
		var line []layer.Point
		for _, p := range ring {
			if len(p) < 2 {
				return bad
			}
			line = append(line, layer.Point{X: unit * p[0], Y: unit * p[1]})
		}
		if n := len(line); f.Geometry.Type == "Polygon" && n > 1 && line[0] == line[n-1] {
			line = line[:n-1]
		}
		lines = append(lines, line)
	}
	p := f.Properties
	clear := 0.0
	if p.Clear != nil {
		clear = *p.Clear
	}
	switch {
	case kind == "outline" && f.Geometry.Type == "Polygon":
		if m.Outline != nil {
			return trouble.Data("bad-feature", where, "there are two outlines", "plan one layer at a time")
		}
		m.Outline = lines[0]
		for _, hole := range lines[1:] {
			m.Areas = append(m.Areas, layer.Area{Name: "hole", Ring: hole, Clear: m.Margin})
		}
	case kind == "stain" && f.Geometry.Type == "Polygon":
		m.Areas = append(m.Areas, layer.Area{Name: p.Name, Ring: lines[0], Clear: clear})
	case (kind == "crack" || kind == "joint" || kind == "vein") && (f.Geometry.Type == "LineString" || f.Geometry.Type == "Point"):
		return m.add(found{p.Name, p.Photo, lines[0], p.Stance, p.Dip, p.Toward, p.Length, p.Chance, p.Error, p.Clear}, of, where)
	default:
		return bad
	}
	return nil
}
