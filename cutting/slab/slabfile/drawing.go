package slabfile

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"slatewright/trouble"
)

// A slab as a drawing (DXF in ASCII): lines, polylines and points on layers that say what they are: OUTLINE, CRACK, VEIN, STAIN or HOLE; a number behind the name
// is the clearance in mm (CRACK_15). FLAWS is what the program itself writes: open lines are cracks, closed ones holes. Other layers are left alone.

// entity is a shape of a drawing.
type entity struct {
	kind, layer string
	points      []point
	closed      bool
	line        int
}

// looksDrawing tells whether a text is a drawing: a zero, and SECTION or a remark (999).
func looksDrawing(text []byte) bool {
	code, rest, _ := strings.Cut(string(text[:min(len(text), 200)]), "\n")
	code = strings.TrimSpace(code)
	return code == "999" || code == "0" && strings.HasPrefix(strings.TrimSpace(rest), "SECTION")
}

// drawingUnits are the lengths of $INSUNITS that are known, in mm.
var drawingUnits = map[string]float64{"0": 1, "1": 25.4, "2": 304.8, "4": 1, "5": 10, "6": 1000}

// readDrawing turns a drawing into a slab as the program's own JSON has it.
func readDrawing(name string, text []byte) (*slabJSON, error) {
	list, unit, err := entities(name, text)
	if err != nil {
		return nil, err
	}
	f := &slabJSON{}
	for _, e := range list {
		for i := range e.points {
			e.points[i][0] *= unit
			e.points[i][1] *= unit
		}
		what, clearance := layerName(e.layer)
		if n := len(e.points); n > 2 && e.points[0] == e.points[n-1] {
			e.points, e.closed = e.points[:n-1], true
		}
		switch what {
		case "outline":
			if f.Outline != nil || !e.closed {
				return nil, bad(fmt.Sprintf("%s:%d", name, e.line), "the outline is one closed polyline", "join its lines, and keep other shapes off the layer OUTLINE")
			}
			f.Outline = e.points
			continue
		case "flaws":
			if what = "crack"; e.closed {
				what = "hole"
			}
		case "crack", "vein", "stain", "hole":
		default:
			continue
		}
		w := flawJSON{Kind: what, Clearance: clearance}
		if w.Line = e.points; e.closed {
			w.Line, w.Area = nil, e.points
		}
		f.Flaws = append(f.Flaws, w)
	}
	if f.Outline == nil {
		return nil, bad(name, "the drawing has no outline", "draw the slab as one closed polyline on the layer OUTLINE")
	}
	return f, nil
}

var numbered = regexp.MustCompile(`^([a-z]+)[ _-]?([0-9]+(?:\.[0-9]+)?)?$`)

// layerName parts a layer's name from the clearance behind it.
func layerName(layer string) (what string, clearance float64) {
	m := numbered.FindStringSubmatch(strings.ToLower(strings.TrimSpace(layer)))
	if m == nil {
		return "", 0
	}
	if m[2] != "" {
		clearance, _ = strconv.ParseFloat(m[2], 64) // the pattern is a number
	}
	return strings.TrimSuffix(m[1], "s") + map[bool]string{true: "s"}[m[1] == "flaws"], clearance
}

// entities reads the shapes of a drawing and its unit in mm.
func entities(name string, text []byte) (list []entity, unit float64, err error) {
	unit = 1
	lines := bytes.Split(text, []byte("\n"))
	var e *entity // the shape being read; vertices add to it
	var variable, section string
	for i := 0; i+1 < len(lines); i += 2 {
		code := strings.TrimSpace(string(lines[i]))
		value := strings.TrimSpace(string(lines[i+1]))
		wrong := func(what string) error {
			return trouble.Data("bad-drawing", fmt.Sprintf("%s:%d", name, i+1), what, "save the drawing as DXF in ASCII again")
		}
		if _, err := strconv.Atoi(code); err != nil {
			return nil, 0, wrong(fmt.Sprintf("%q is no group code", code))
		}
		switch {
		case code == "9":
			variable = value
		case code == "70" && variable == "$INSUNITS":
			known := false
			if unit, known = drawingUnits[value]; !known {
				return nil, 0, wrong("the unit of the drawing is not known")
			}
			variable = ""
		case code == "2" && section == "":
			section = value
		case code == "0":
			switch value {
			case "SECTION":
				section, e = "", nil
			case "VERTEX":
				if e != nil {
					e.points = append(e.points, point{})
				}
			case "SEQEND", "ENDSEC":
				e = nil
			case "POLYLINE", "LWPOLYLINE", "LINE", "POINT":
				if e = nil; section == "ENTITIES" {
					list = append(list, entity{kind: value, line: i + 1})
					e = &list[len(list)-1]
				}
			default:
				e = nil
			}
		case e != nil:
			if err := e.take(code, value); err != nil {
				return nil, 0, wrong(err.Error())
			}
		}
	}
	return list, unit, nil
}

// take reads one pair of a shape.
func (e *entity) take(code, value string) error {
	switch code {
	case "8":
		if e.layer == "" { // that of the shape, not of its corners
			e.layer = value
		}
	case "70":
		if flags, err := strconv.Atoi(value); err == nil && (e.kind == "POLYLINE" || e.kind == "LWPOLYLINE") && len(e.points) == 0 {
			e.closed = flags&1 == 1
		}
	case "10", "11", "20", "21":
		v, err := strconv.ParseFloat(value, 64)
		if err != nil {
			return fmt.Errorf("%q is no number", value)
		}
		if (code == "10" && e.kind != "POLYLINE") || code == "11" {
			e.points = append(e.points, point{})
		}
		if n := len(e.points); n > 0 {
			e.points[n-1][int(code[0]-'1')] = v
		}
	}
	return nil
}
