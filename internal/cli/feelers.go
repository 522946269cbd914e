package cli

import (
	"fmt"
	"io"
	"math"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/judge"
	"slatewright/measure"
	"slatewright/traverse/feelers"
	"slatewright/trouble"
)

// feelersVerb bounds the zone of a face read with a straightedge.
type feelersVerb struct {
	File  string       `arg:"" help:"Readings of feeler strips under a straightedge, CSV; - is standard input."`
	Limit *verb.Length `placeholder:"LENGTH" help:"Say whether the zone of the stations keeps within this limit, such as 0.25mm."`
}

func (feelersVerb) About() verb.About {
	return verb.About{
		Text: `A feeler strip tells two things: it passes, or it stops. So each reading bounds the gap under the edge, and all readings together
			bound how flat the stations can be: the answer is the smallest and the largest minimum zone that agree with every reading. No
			guess lies between them.

			The sheet has the columns line,x,y,passes_mm,stops_mm below '# edge: blocks 2.00 mm' (on two equal blocks, which stand on the first
			and the last station of each line) or '# edge: laid'. Lines that cross at stations which both have hold each other; a line that
			nothing ties leaves the zone without an upper bound. Header lines (strip limits, block limits, edge straightness, edge sag) widen the
			readings.

			Readings that cannot all be true are named, and the next reading that narrows the bounds most. With --limit the exit status is
			the verdict on the zone of the stations.`,
		Examples: []verb.Example{
			{"slatewright feelers edge.csv", "the bounds, for people"},
			{"slatewright feelers edge.csv --limit 0.25mm", "a verdict: 0 conforms, 1 does not, 2 cannot tell"},
			{"slatewright feelers edge.csv --json", "the same as one JSON object"},
		},
	}
}

// feelersReport is the answer. Its names are a contract with other programs.
type feelersReport struct {
	File           string                `json:"file"`
	Stations       int                   `json:"stations"`
	LowMM          *float64              `json:"zone_low_mm"`  // null under a contradiction
	HighMM         *float64              `json:"zone_high_mm"` // null under a contradiction, and where nothing bounds it
	HighIsExact    bool                  `json:"high_is_exact"`
	Straightness   bool                  `json:"straightness"` // all stations lie on one line
	Contradictions []contradictionReport `json:"contradictions"`
	Next           *nextReport           `json:"next"`
	Loose          []string              `json:"loose_lines"`
	OpenRows       []int                 `json:"open_rows"` // readings without an upper bound that leave the zone open
	LimitMM        *float64              `json:"limit_mm"`
	Verdict        *string               `json:"verdict"` // null without a limit
	Warnings       []string              `json:"warnings"`
	status         verb.Outcome
}

type readingReport struct {
	Row      int      `json:"row"` // line of the file
	Line     string   `json:"line"`
	X        float64  `json:"x"`
	Y        float64  `json:"y"`
	PassesMM *float64 `json:"passes_mm"`
	StopsMM  *float64 `json:"stops_mm"`
}

type contradictionReport struct {
	Rows     []int           `json:"rows"`
	Readings []readingReport `json:"readings"`
	Blocks   bool            `json:"blocks"` // that the blocks stand as said is part of it
	What     string          `json:"what"`
}

type nextReport struct {
	What    string   `json:"what"`
	Row     *int     `json:"row"` // null where the step is no strip under a line that was read
	Line    *string  `json:"line"`
	X       *float64 `json:"x"`
	Y       *float64 `json:"y"`
	StripMM *float64 `json:"strip_mm"`
	NowMM   *float64 `json:"width_mm"` // from the low to the high bound now
	Passes  *float64 `json:"width_if_passes_mm"`
	Stops   *float64 `json:"width_if_stops_mm"`
}

// Run bounds the zone.
func (v feelersVerb) Run(s *verb.Session) (verb.Report, error) {
	if v.Limit != nil && v.Limit.MM <= 0 {
		return nil, trouble.Usage("bad-limit", "slatewright feelers", "--limit must be more than 0", "give the largest zone that is good enough, such as 0.25mm")
	}
	set, err := verb.Read(s, v.File, feelers.Read)
	if err != nil {
		return nil, err
	}
	b, err := feelers.Bound(set)
	if err != nil {
		return nil, err
	}
	next, err := b.Next()
	if err != nil {
		return nil, err
	}
	r := &feelersReport{File: set.Name, Stations: b.Stations, LowMM: finite(b.Low), HighMM: finite(b.High), HighIsExact: b.HighIsExact,
		Straightness: b.Straightness, Contradictions: []contradictionReport{}, Loose: append([]string{}, b.Loose...), OpenRows: []int{}, Warnings: b.Warnings}
	for _, k := range b.Open {
		r.OpenRows = append(r.OpenRows, set.Readings[k].Row)
	}
	for _, c := range b.Contradictions {
		r.Contradictions = append(r.Contradictions, contradictionOf(set, c))
	}
	r.advise(set, next)
	r.decide(v.Limit)
	return r, nil
}

func readingOf(s *feelers.Set, k int) readingReport {
	g := s.Readings[k]
	return readingReport{Row: g.Row, Line: s.Lines[g.Line].Mark, X: s.At[g.Place][0], Y: s.At[g.Place][1], PassesMM: finite(g.Passes), StopsMM: finite(g.Stops)}
}

func contradictionOf(s *feelers.Set, c feelers.Contradiction) contradictionReport {
	r := contradictionReport{Rows: []int{}, Readings: []readingReport{}, Blocks: c.Blocks}
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
func (r *feelersReport) advise(s *feelers.Set, next *feelers.Next) {
	switch {
	case len(r.Contradictions) > 0:
		r.Next = &nextReport{What: "read these again: " + r.Contradictions[0].What}
	case len(r.Loose) > 0:
		r.Next = &nextReport{What: "lay the edge across line " + strings.Join(r.Loose, ", ") + " and the others, with stations that both have"}
	case len(r.OpenRows) > 0:
		r.Next = &nextReport{What: fmt.Sprintf("try thicker strips at the reading in line %d until one stops", r.OpenRows[0]), Row: &r.OpenRows[0]}
	case next != nil:
		g := readingOf(s, next.Reading)
		r.Next = &nextReport{Row: &g.Row, Line: &g.Line, X: &g.X, Y: &g.Y, StripMM: &next.Strip, NowMM: &next.Width, Passes: &next.Passes, Stops: &next.Stops,
			What: fmt.Sprintf("under line %s at (%g, %g), try a strip of %s: the bounds, now %s apart, come to %s if it passes and to %s if it stops", g.Line, g.X, g.Y,
				measure.FormatRounded(next.Strip, measure.MM, 2), measure.FormatRounded(next.Width, measure.MM, 3), measure.FormatRounded(next.Passes, measure.MM, 3),
				measure.FormatRounded(next.Stops, measure.MM, 3))}
	}
}

// decide holds the bounds against the limit. Without bounds on both sides the question is not answered, with a limit or without.
func (r *feelersReport) decide(limit *verb.Length) {
	verdict := judge.CannotTell
	if limit == nil {
		if r.LowMM == nil || r.HighMM == nil {
			r.status = verb.CannotTell
		}
		return
	}
	switch {
	case r.LowMM == nil:
	case r.HighMM != nil && *r.HighMM <= limit.MM:
		verdict = judge.Conforms
	case *r.LowMM > limit.MM:
		verdict = judge.DoesNotConform
	}
	words := verdict.String()
	r.LimitMM, r.Verdict, r.status = &limit.MM, &words, verb.OutcomeOf(verdict)
}

func (r *feelersReport) Outcome() verb.Outcome { return r.status }

// Print writes the report for people. Bounds are rounded outwards.
func (r *feelersReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s\n\n", r.File, trouble.Count(r.Stations, "station", "stations"))
	if r.LowMM != nil {
		printLength(w, "at least", math.Floor(*r.LowMM*1e4+1e-4)/1e4, "proven: no face that agrees with every reading is flatter")
		switch {
		case r.HighMM == nil:
			fmt.Fprint(w, "  at most        no bound\n")
		case r.HighIsExact:
			printLength(w, "at most", math.Ceil(*r.HighMM*1e4-1e-4)/1e4, "and a face that agrees with every reading is so uneven")
		default:
			printLength(w, "at most", math.Ceil(*r.HighMM*1e4-1e-4)/1e4, "proven: no face that agrees with every reading is more uneven")
		}
	}
	for _, c := range r.Contradictions {
		fmt.Fprintf(w, "Contradiction: %s\n", c.What)
		for _, g := range c.Readings {
			fmt.Fprintf(w, "  line %d: %s at (%g, %g), passes %s, stops %s\n", g.Row, g.Line, g.X, g.Y, stripOf(g.PassesMM), stripOf(g.StopsMM))
		}
	}
	if r.Next != nil {
		fmt.Fprintf(w, "\n%s", verb.Wrap(r.Next.What, "Next: ", "      ", verb.Width))
	}
	if r.Verdict != nil {
		fmt.Fprintf(w, "\nVerdict: %s (limit %s)\n", *r.Verdict, measure.FormatLength(*r.LimitMM, measure.MM))
	}
	verb.PrintWarnings(w, r.Warnings)
}

func stripOf(mm *float64) string {
	if mm == nil {
		return "nothing"
	}
	return measure.FormatLength(*mm, measure.MM)
}
