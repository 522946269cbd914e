package gauging

import (
	"fmt"
	"io"

	"slatewright/face"
	"slatewright/gauge/answers"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/trouble"
)

// Bench takes a bench's own map off the readings of a face.
type Bench struct {
	File string       `arg:"" help:"Readings of one face by a dial that rides on the bench, CSV or PLY; - is standard input."`
	Map  string       `required:"" placeholder:"FILE" help:"What the bench adds: x, y, height, u at each crossing of a grid. CSV."`
	U    *verb.Length `placeholder:"LENGTH" help:"Standard uncertainty of one reading without the bench; without it the readings' own '# u:'."`
	Out  string       `placeholder:"FILE" help:"Write the readings without the bench here, as CSV; the file must not be there yet."`
}

// About is the help of the verb.
func (Bench) About() verb.About {
	return verb.About{
		Text: `Subtracts from each reading what the dial would read there over a true plane, bilinear between the crossings of the bench's map, and adds the
			map's doubt to that of the reading. Where the dial's stand rides on the bench, a high place of the bench makes it read low: heights of
			a level walk go into the map with the other sign. Places of the map count from the same origin as those of the face. Errors of the map are common to neighbouring readings: the
			covariance of all heights is in the answer for programs, and '# u:' of the written file is the root mean square of each reading's own
			doubt, which takes them as independent.`,
		Examples: []verb.Example{
			{"slatewright gauge bench head.csv --map bench.csv --out head-flat.csv", "readings without the bench, ready for 'slatewright flatness'"},
			{"slatewright gauge bench head.csv --map bench.csv --u 0.004mm --json", "heights with their covariance"},
		},
	}
}

// benchReport is the answer.
type benchReport struct {
	*answers.Bench
	Out string `json:"out,omitempty"`
}

// Run takes the bench off.
func (v Bench) Run(s *verb.Session) (verb.Report, error) {
	f, err := verb.Read(s, v.File, face.Read)
	if err != nil {
		return nil, err
	}
	list, err := readSheet(s, v.Map)
	if err != nil {
		return nil, err
	}
	u := 0.0
	if v.U != nil {
		u = v.U.MM
	}
	a, err := answers.LessBench(f, list, u)
	if err != nil {
		return nil, err
	}
	r := &benchReport{a, v.Out}
	if v.Out != "" {
		text, err := a.CSV(f)
		if err != nil {
			return nil, err
		}
		return r, verb.WriteNew(verb.NewFile{Path: v.Out, Text: text, Mode: 0o644})
	}
	return r, nil
}

// Outcome is Done.
func (r *benchReport) Outcome() verb.Outcome { return verb.Done }

// Print writes the answer for people.
func (r *benchReport) Print(w io.Writer) {
	um := func(x float64) string { return measure.FormatRounded(x, measure.Micron, 1) }
	fmt.Fprintf(w, "%s less the bench of %s\n", r.File, r.Map)
	fmt.Fprintf(w, "%s; its map goes from %s to %s there\n", trouble.Count(r.Points, "reading", "readings"), um(r.LowMM), um(r.HighMM))
	fmt.Fprintf(w, "Doubt of one height: u %s, of which the reading %s\n", um(r.UMM), um(r.ReadingUMM))
	if r.Out != "" {
		fmt.Fprintf(w, "Written: %s\n", r.Out)
	}
	verb.PrintWarnings(w, r.Warnings)
}
