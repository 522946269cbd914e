package bench

import (
	"math"
	"net/url"
	"strconv"
	"strings"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/measure"
)

// plan is what the bench's script reads: docs/pages-scripts.md. Lengths are mm. It names no place: the file would carry it beside the
// piece's number, and a lay-up names the piece by its number alone.
type plan struct {
	Piece   string            `json:"piece"`
	Face    string            `json:"face"`
	Size    [2]float64        `json:"size_mm"`
	Points  []point           `json:"points"`
	Gauge   speaking          `json:"gauge"`
	Bench   string            `json:"bench,omitempty"`
	Support string            `json:"support"`
	Station string            `json:"station"`
	Header  [][2]string       `json:"header"`
	Edges   map[string]string `json:"edges"`
	Keys    keys              `json:"keys"`
	SoFar   string            `json:"so_far"`
	After   string            `json:"after"`
	Whole   bool              `json:"whole"`
}

type point struct {
	X   float64 `json:"x_mm"`
	Y   float64 `json:"y_mm"`
	Row string  `json:"row"`
}

type speaking struct {
	Instrument string     `json:"instrument"`
	Says       string     `json:"says"`
	Unit       string     `json:"unit"`
	Range      [2]float64 `json:"range_mm"`
	Jump       float64    `json:"jump_mm"`
	U          float64    `json:"u_mm,omitempty"`
}

type keys struct {
	Next []string `json:"next"`
	Undo []string `json:"undo"`
}

// The agreed grid: no two readings farther apart than a verdict allows, the outer ones just inside the edge band. Joint rows run close to
// the arris. Common practice, no source.
const (
	gridApart = 176.0 // mm
	jointIn   = 10.0  // mm from the arris
	endIn     = 36.0  // mm from the ends of a joint row and of the grid
	besideIn  = 27.0  // mm from the other edges
)

// A reading outside this is a slip; one that lies so far from the one beside it is asked for again. Common practice, no source.
const (
	gaugeRange = 3.0  // mm
	gaugeJump  = 0.25 // mm
)

func round(x float64) float64 { return math.Round(x) }

// planOf is the plan of a face: the grid in the order of walking, then the joint rows.
func planOf(v *shell.Visit, t book.Thing, s *book.PieceState, p measuring, g gaugeOf, asked url.Values) (plan, error) {
	sx, sy := sizeOf(s, bed.NineFoot())
	out := plan{Piece: t.ID, Face: p.Face, Size: [2]float64{sx, sy}, Bench: p.Bench, Support: p.Support, Station: string(book.Bench),
		Gauge: speaking{Instrument: g.ID, Says: g.Sort, Unit: "µm", Range: [2]float64{-gaugeRange, gaugeRange}, Jump: gaugeJump, U: g.U},
		Edges: edgesOf(v, p.Face),
		Keys:  keys{Next: []string{"PageDown", "F8"}, Undo: []string{"PageUp", "F9"}}, SoFar: pathOf(t.ID) + "/so-far", After: shell.Link(t.Ref), Whole: true}
	if v.Words.Units() == tongue.Inch {
		out.Gauge.Unit = "thou"
	}
	out.Points = append(grid(sx, sy), jointRows(sx, sy, p)...)
	if s.Set != "" && s.Pattern != "" {
		out.Header = append(out.Header, [2]string{"turn", "fixed"})
	}
	if p.DrySince != "" {
		out.Header = append(out.Header, [2]string{"dry_since", p.DrySince})
	}
	for i, c := range calipers {
		field := p.Thickness[i].Field
		typed := strings.TrimSpace(asked.Get(field))
		if typed == "" {
			continue
		}
		value, err := thicknessOf(v, field, typed)
		if err != nil {
			return plan{}, err
		}
		out.Header = append(out.Header, [2]string{"thickness", strings.Join([]string{mm(round(c[0] * sx / 2)), mm(round(c[1] * sy / 2)), strconv.FormatFloat(value, 'f', -1, 64)}, " ")})
	}
	return out, nil
}

// thicknessOf reads a thickness as it was typed: a bare number is in the reader's unit, mm or inches.
func thicknessOf(v *shell.Visit, field, typed string) (float64, error) {
	plain := strings.Replace(typed, ",", ".", 1)
	if _, err := strconv.ParseFloat(plain, 64); err == nil && v.Words.Units() == tongue.Inch {
		plain += " in"
	} else if err == nil {
		plain += " mm"
	}
	x, _, err := measure.ParseLengthUnit(plain)
	if err != nil || x < 5 || x > 200 {
		return 0, problem.New("bad-value", field, v.Say("bench.no-length", "typed", typed), v.Say("bench.thickness-next"))
	}
	return x, nil
}

// grid goes up one line and down the next: nobody walks round the piece twice.
func grid(sx, sy float64) (list []point) {
	xs, ys := spread(sx/2-besideIn), spread(sy/2-endIn)
	for i, x := range xs {
		for j := range ys {
			y := ys[j]
			if i%2 == 1 {
				y = ys[len(ys)-1-j]
			}
			list = append(list, point{x, y, ""})
		}
	}
	return list
}

// spread are places from −far to far, no two farther apart than the grid allows.
func spread(far float64) (list []float64) {
	n := int(math.Ceil(2*far/gridApart)) + 1
	for i := range n {
		list = append(list, round(-far+2*far*float64(i)/float64(n-1)))
	}
	return list
}

// jointRows are the readings along the edges that meet another piece; a piece without a place may meet one on either side.
func jointRows(sx, sy float64, p measuring) (list []point) {
	if p.Face != "top" {
		return nil
	}
	ys := spread(sy/2 - endIn)
	if p.Place != "foot" { // the grid ends on this side
		for _, y := range ys {
			list = append(list, point{round(sx/2 - jointIn), y, "joint+"})
		}
	}
	if p.Place != "head" {
		for i := range ys {
			list = append(list, point{round(-sx/2 + jointIn), ys[len(ys)-1-i], "joint-"})
		}
	}
	return list
}
