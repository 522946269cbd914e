package answers

import (
	"fmt"
	"strings"

	"slatewright/judge"
	"slatewright/measure"
	"slatewright/traverse/feelers"
)

// Feelers is the answer to a sheet of feeler strips. Its names are a contract with other programs.
type Feelers struct {
	File           string          `json:"file"`
	Stations       int             `json:"stations"`
	LowMM          *float64        `json:"zone_low_mm"`  // null under a contradiction
	HighMM         *float64        `json:"zone_high_mm"` // null under a contradiction, and where nothing bounds it
	HighIsExact    bool            `json:"high_is_exact"`
	Straightness   bool            `json:"straightness"` // all stations lie on one line
	Contradictions []Contradiction `json:"contradictions"`
	Next           *Next           `json:"next"`
	Loose          []string        `json:"loose_lines"`
	OpenRows       []int           `json:"open_rows"` // readings without an upper bound that leave the zone open
	LimitMM        *float64        `json:"limit_mm"`
	Verdict        *string         `json:"verdict"` // null without a limit
	Warnings       []string        `json:"warnings"`

	Says   judge.Verdict   `json:"-"` // the verdict; it means nothing without a limit
	Set    *feelers.Set    `json:"-"`
	Bounds *feelers.Bounds `json:"-"`
	Strip  *feelers.Next   `json:"-"` // the strip to try next; nil where something else comes next
}

// Reading is one reading of the sheet.
type Reading struct {
	Row      int      `json:"row"` // line of the file
	Line     string   `json:"line"`
	X        float64  `json:"x"`
	Y        float64  `json:"y"`
	PassesMM *float64 `json:"passes_mm"`
	StopsMM  *float64 `json:"stops_mm"`
}

// Contradiction is readings that cannot all be true.
type Contradiction struct {
	Rows     []int     `json:"rows"`
	Readings []Reading `json:"readings"`
	Blocks   bool      `json:"blocks"` // that the blocks stand as said is part of it
	What     string    `json:"what"`
}

// Next is what to do next.
type Next struct {
	What    string   `json:"what"`
	Row     *int     `json:"row"` // null where the step is no strip under a line that was read
	Line    *string  `json:"line"`
	X       *float64 `json:"x"`
	Y       *float64 `json:"y"`
	StripMM *float64 `json:"strip_mm"`
	NowMM   *float64 `json:"width_mm"` // from the low to the high bound now
	Passes  *float64 `json:"width_if_passes_mm"`
	Stops   *float64 `json:"width_if_stops_mm"`
	Proven  *bool    `json:"widths_proven"` // of proven bounds; false: the high one is over the worst shapes of the face that were found
}

// OfFeelers answers a sheet. With a limit, mm, it says whether the zone of the stations keeps within it. The error is a *trouble.Trouble.
func OfFeelers(s *feelers.Set, limit *float64) (*Feelers, error) {
	b, err := feelers.Bound(s)
	if err != nil {
		return nil, err
	}
	next, err := b.Next()
	if err != nil {
		return nil, err
	}
	r := &Feelers{File: s.Name, Stations: b.Stations, LowMM: finite(b.Low), HighMM: finite(b.High), HighIsExact: b.HighIsExact,
		Straightness: b.Straightness, Contradictions: []Contradiction{}, Loose: append([]string{}, b.Loose...), OpenRows: []int{}, Warnings: b.Warnings,
		Set: s, Bounds: b}
	for _, k := range b.Open {
		r.OpenRows = append(r.OpenRows, s.Readings[k].Row)
	}
	for _, c := range b.Contradictions {
		r.Contradictions = append(r.Contradictions, contradictionOf(s, c))
	}
	r.advise(s, next)
	r.decide(limit)
	return r, nil
}

func readingOf(s *feelers.Set, k int) Reading {
	g := s.Readings[k]
	return Reading{Row: g.Row, Line: s.Lines[g.Line].Mark, X: s.At[g.Place][0], Y: s.At[g.Place][1], PassesMM: finite(g.Passes), StopsMM: finite(g.Stops)}
}

func contradictionOf(s *feelers.Set, c feelers.Contradiction) Contradiction {
	r := Contradiction{Rows: []int{}, Readings: []Reading{}, Blocks: c.Blocks}
	for _, k := range c.Readings {
		g := readingOf(s, k)
		r.Rows, r.Readings = append(r.Rows, g.Row), append(r.Readings, g)
	}
	switch {
	case len(r.Rows) == 0:
		r.What = "the blocks cannot all stand as they are said to"
	case len(r.Rows) == 1 && !c.Blocks:
		r.What = fmt.Sprintf("the reading in line %d cannot be true: a thicker strip passes than one that stops", r.Rows[0])
	case len(r.Rows) == 1:
		r.What = fmt.Sprintf("the reading in line %d cannot be true if the blocks stand as they are said to", r.Rows[0])
	default:
		r.What = fmt.Sprintf("the readings in lines %s cannot all be true", rowsOf(r.Rows))
		if c.Blocks {
			r.What += " if the blocks stand as they are said to"
		}
	}
	return r
}

// advise says what to do next.
func (r *Feelers) advise(s *feelers.Set, next *feelers.Next) {
	switch {
	case len(r.Contradictions) > 0:
		r.Next = &Next{What: "read these again: " + r.Contradictions[0].What}
	case r.Bounds.Twist:
		r.Next = &Next{What: "lay the edge along a diagonal, with stations that it shares with two of the other lines: until then a twist of the face does not show"}
	case len(r.Loose) > 0:
		r.Next = &Next{What: "lay the edge across line " + strings.Join(r.Loose, ", ") + " and the others, with stations that both have"}
	case len(r.OpenRows) > 0:
		r.Next = &Next{What: fmt.Sprintf("try thicker strips at the reading in line %d until one stops", r.OpenRows[0]), Row: &r.OpenRows[0]}
	case next != nil:
		g := readingOf(s, next.Reading)
		r.Strip = next
		r.Next = &Next{Row: &g.Row, Line: &g.Line, X: &g.X, Y: &g.Y, StripMM: &next.Strip, NowMM: &next.Width, Passes: &next.Passes, Stops: &next.Stops,
			Proven: &next.Proven, What: fmt.Sprintf("under line %s at (%g, %g), try a strip of %s: the bounds, now %s apart, come to %s if it passes and to %s if it stops", g.Line, g.X, g.Y,
				measure.FormatRounded(next.Strip, measure.MM, 2), measure.FormatRounded(next.Width, measure.MM, 3), measure.FormatRounded(next.Passes, measure.MM, 3),
				measure.FormatRounded(next.Stops, measure.MM, 3))}
	}
}

// decide holds the bounds against the limit.
func (r *Feelers) decide(limit *float64) {
	verdict := judge.CannotTell
	if limit == nil {
		return
	}
	switch {
	case r.LowMM == nil:
	case r.HighMM != nil && *r.HighMM <= *limit:
		verdict = judge.Conforms
	case *r.LowMM > *limit:
		verdict = judge.DoesNotConform
	}
	words := verdict.String()
	r.LimitMM, r.Verdict, r.Says = limit, &words, verdict
}

// mostRows is how many lines of a file are listed.
const mostRows = 8

// rowsOf lists lines of a file, the first few.
func rowsOf(rows []int) string {
	text := ""
	for i, row := range rows {
		if i == mostRows {
			return text + ", …"
		}
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprint(row)
	}
	return text
}
