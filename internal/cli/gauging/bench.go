package gauging

import (
	"bytes"
	"fmt"
	"io"
	"math"

	"slatewright/face"
	"slatewright/gauge"
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

// benchReport is the answer. Its names are a contract with other programs.
type benchReport struct {
	File       string       `json:"file"`
	Map        string       `json:"map"`
	Points     int          `json:"points"`
	Heights    [][4]float64 `json:"heights"` // x, y, z, u in mm
	Covariance [][]float64  `json:"covariance_mm2"`
	UMM        float64      `json:"u_mm"`
	ReadingUMM float64      `json:"reading_u_mm"`
	LowMM      float64      `json:"map_low_mm"`
	HighMM     float64      `json:"map_high_mm"`
	Out        string       `json:"out,omitempty"`
	Warnings   []string     `json:"warnings"`
}

// mostReadings bounds the covariance, which has the square of that.
const mostReadings = 3000

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
	m, warnings, err := gauge.ReadBenchMap(list)
	if err != nil {
		return nil, at(list.Name, err)
	}
	u, err := v.doubt(f)
	if err != nil {
		return nil, err
	}
	places := make([][2]float64, f.Len())
	for i := range places {
		places[i] = [2]float64{f.X[i], f.Y[i]}
	}
	z, covariance, err := m.Subtract(places, f.Z, u)
	if err != nil {
		return nil, at(f.Name, err)
	}
	r := &benchReport{File: f.Name, Map: list.Name, Points: f.Len(), Covariance: covariance, ReadingUMM: u, Out: v.Out, LowMM: math.Inf(1), HighMM: math.Inf(-1), Warnings: append(append([]string{}, f.Warnings...), warnings...)}
	for i := range z {
		r.Heights = append(r.Heights, [4]float64{f.X[i], f.Y[i], z[i], math.Sqrt(covariance[i][i])})
		r.UMM += covariance[i][i] / float64(len(z))
		r.LowMM, r.HighMM = min(r.LowMM, f.Z[i]-z[i]), max(r.HighMM, f.Z[i]-z[i])
	}
	r.UMM = math.Sqrt(r.UMM)
	if v.Out != "" {
		f.U = measure.Round(r.UMM, 6)
		for i := range z {
			f.Z[i] = measure.Round(z[i], 6)
		}
		f.Other = append(f.Other, face.KeyValue{Value: "bench map taken off: " + list.Name})
		var text bytes.Buffer
		if err := f.WriteCSV(&text); err != nil {
			return nil, err
		}
		if err := verb.WriteNew(verb.NewFile{Path: v.Out, Text: text.Bytes(), Mode: 0o644}); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// doubt is that of one reading without the bench.
func (v Bench) doubt(f *face.Face) (float64, error) {
	u := f.U
	if v.U != nil {
		u = v.U.MM
	}
	switch {
	case !(u > 0):
		return 0, trouble.Data("no-u", f.Name, "the doubt of one reading is not given", "write '# u: 0.004 mm' into the readings, or give --u; 'slatewright gauge budget' works it out")
	case f.Len() > mostReadings:
		return 0, trouble.Data("too-many-points", f.Name, fmt.Sprintf("%d readings: a dial on a bench reads %d at most", f.Len(), mostReadings), "a scan is not read from a bench with a map")
	}
	return u, nil
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
