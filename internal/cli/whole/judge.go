// Package whole has the verb that judges the whole face from a few readings, and learns for that from scans.
//
// It parses, asks package wholeface and shows; what is believed of a face is worked out there, and what to do with
// the piece in package judge/ways. It seals nothing and gives no certificate.
package whole

import (
	"bytes"
	"math"
	"slices"

	"slatewright/face"
	"slatewright/internal/cli/advice"
	"slatewright/internal/cli/verb"
	"slatewright/judge"
	"slatewright/measure"
	"slatewright/trouble"
	"slatewright/wholeface"
	"slatewright/wholeface/scan"
)

// Judge asks what is believed of the whole face, or learns what to believe.
type Judge struct {
	File         string       `arg:"" optional:"" help:"Readings of one face, CSV or PLY; - is standard input."`
	Limit        *verb.Length `placeholder:"LENGTH" help:"The largest zone that is good enough, such as 0.25mm."`
	Prior        string       `placeholder:"FILE" help:"What was learned from scans of this machine; without it the answer is uncalibrated."`
	U            *verb.Length `placeholder:"LENGTH" help:"Standard uncertainty of one reading, instead of the one in the file."`
	Band         *verb.Length `placeholder:"LENGTH" help:"Edge band: so much along each edge does not count (20mm)."`
	BenchBow     *verb.Length `name:"bench-bow" placeholder:"LENGTH" help:"Standard uncertainty of the bench's own bow under the piece."`
	Confidence   float64      `default:"0.95" placeholder:"P" help:"It conforms from this probability on, and does not from one minus this (${default})."`
	MinThickness *verb.Length `name:"min-thickness" placeholder:"LENGTH" help:"The least thickness that is good enough, such as 25.4mm: what a re-grind would leave is held against it."`
	Step         *verb.Length `placeholder:"LENGTH" help:"The largest step over a joint of the piece, as it was measured in a dry lay-up: it has its say in what to do."`
	UStep        *verb.Length `name:"u-step" placeholder:"LENGTH" help:"Standard uncertainty of --step."`
	MaxStep      *verb.Length `name:"max-step" placeholder:"LENGTH" help:"The largest step that is good enough; 0.127mm (0.005 in, the tournament text) if left out."`
	advice.Flags
	Learn  string `placeholder:"DIR" help:"Learn from the dense scans in this folder instead of judging."`
	Out    string `placeholder:"FILE" help:"With --learn: where the prior goes; it is never overwritten."`
	Grid   string `placeholder:"NxM" help:"With --learn: stations along x and y that pieces are read at (9 along the long side, 6 along the short)."`
	Family string `placeholder:"NAME" help:"With --learn: the mill's name for the machine, written into the prior."`

	// How often a scan is read and how many faces are drawn while learning; 0: as usual. Tests are content with less.
	rehearsals, draws int `kong:"-"`
}

// defaultBand is the edge band without a word about it, mm (common practice, no source).
const defaultBand = 20.0

// About is the help of the verb.
func (Judge) About() verb.About {
	return verb.About{
		Text: `A probe touches some fifty points, and the ball rolls over all of them. From the readings this draws 400 whole faces that agree
			with them as far as the doubt of each reading allows, and says how large the zone of the true face is: the middle, the interval that
			holds it in nine cases of ten, and the probability that it keeps within the limit. The true face is the face after a cutoff of
			25 mm and inside the edge band. Nothing is taken away for gravity: the state says what the numbers hold for. The file
			must say how sure a reading is ('# u: 0.012 mm') and how large the piece is.

			What fifty readings miss differs by machine. With --learn this reads the mill's own dense scans and writes what they
			teach; with --prior that is used, and an interval of 90 % then holds the truth in 90 % of the pieces. Without, the answer is marked
			uncalibrated and wider.

			It says what to do with the piece, what that is expected to cost, and what comes next: by the mill's own prices (--costs), or
			ranked by risk. That lets nothing out of the house; a set is shipped by its certificate.

			It names the places where one more reading is expected to settle most. The exit status is the verdict at the stated confidence;
			reading may stop early for a no, but a certificate always needs the agreed grid. A file of more than 600 readings is a scan: its
			true face is filtered, and nothing needs to be guessed.`,
		Examples: []verb.Example{
			{"slatewright judge head.csv --limit 0.25mm", "what is believed of the face, for people"},
			{"slatewright judge head.csv --limit 0.25mm --prior machine-2.json --json", "calibrated, as one JSON object"},
			{"slatewright judge head.csv --limit 0.25mm --min-thickness 25.4mm --costs costs.yaml", "what to do with the piece, by the mill's own prices"},
			{"slatewright judge --learn scans --out machine-2.json --family 'machine 2'", "learns from the scans in a folder"},
		},
	}
}

// Run judges or learns.
func (v Judge) Run(s *verb.Session) (verb.Report, error) {
	usage := func(code, what, next string) error { return trouble.Usage(code, "slatewright judge", what, next) }
	switch {
	case v.Band != nil && !(v.Band.MM >= 0):
		return nil, usage("bad-band", "--band must not be negative", "give the width along each edge that does not count, such as 20mm")
	case v.U != nil && !(v.U.MM > 0):
		return nil, usage("bad-u", "--u must be more than 0", "give the standard uncertainty of one reading, such as 0.012mm")
	case v.Learn != "" && (v.File != "" || v.Limit != nil || v.Prior != "" || v.MinThickness != nil || v.Step != nil || v.Costs != ""):
		return nil, usage("usage", "--learn stands alone: it judges nothing", "leave out the file, --limit, --min-thickness, --step, --costs and --prior")
	case v.Learn != "" && v.Out == "":
		return nil, usage("usage", "--learn needs --out", "say where the prior goes, such as --out machine-2.json")
	case v.Learn != "":
		return v.learn(s)
	case v.Out != "" || v.Grid != "" || v.Family != "":
		return nil, usage("usage", "--out, --grid and --family belong to --learn", "name the folder of the scans with --learn")
	case v.File == "":
		return nil, usage("usage", "not named: FILE", "name the readings of one face, or a folder of scans with --learn")
	case v.Limit == nil || !(v.Limit.MM > 0):
		return nil, usage("bad-limit", "--limit must be given and more than 0", "give the largest zone that is good enough, such as --limit 0.25mm")
	case v.MinThickness != nil && !(v.MinThickness.MM > 0):
		return nil, usage("bad-limit", "--min-thickness must be more than 0", "give the least thickness that is good enough, such as 25.4mm")
	case v.Step != nil && (v.UStep == nil || !(v.UStep.MM > 0) || !(v.Step.MM >= 0)):
		return nil, usage("bad-step", "--step must be 0 or more, and --u-step say how sure it is", "give both, such as --step 0.05mm --u-step 0.01mm")
	case v.Step == nil && (v.UStep != nil || v.MaxStep != nil):
		return nil, usage("usage", "--u-step and --max-step belong to --step", "give the largest step that was measured, such as --step 0.05mm")
	case v.MaxStep != nil && !(v.MaxStep.MM > 0):
		return nil, usage("bad-step", "--max-step must be more than 0", "give the largest step that is good enough, such as 0.127mm")
	case !(v.Confidence > 0.5 && v.Confidence < 1):
		return nil, usage("bad-confidence", "--confidence must lie between 0.5 and 1", "the usual one is 0.95")
	case v.BenchBow != nil && !(v.BenchBow.MM >= 0):
		return nil, usage("bad-bench", "--bench-bow must not be negative", "give a length of 0 or more")
	}
	f, err := verb.Read(s, v.File, face.Read)
	if err != nil {
		return nil, err
	}
	if f, err = f.Centred(); err != nil {
		return nil, err
	}
	if v.U != nil {
		f.U = v.U.MM
	}
	r := &report{File: f.Name, Piece: f.Piece, LimitMM: v.Limit.MM, Confidence: v.Confidence, State: judge.AsRead, Warnings: slices.Clone(f.Warnings)}
	if f.Support.Kind == face.SupportBench {
		r.State = "laid"
	}
	x, y, z := r.faceOnly(f)
	r.BandMM, r.CutoffMM = v.band(), scan.Cutoff
	sized(f, x, y, r)
	if len(z) > wholeface.MostReadings {
		if v.Costs != "" || v.MinThickness != nil || v.Step != nil {
			r.warn("what to do is not recommended for a scan: --costs, --min-thickness and --step were not used")
		}
		return r, r.scanned(f, x, y, z)
	}
	return r, v.judge(s, f, x, y, z, r)
}

func (v Judge) band() float64 {
	if v.Band != nil {
		return v.Band.MM
	}
	return defaultBand
}

// faceOnly leaves readings of joint rows out.
func (r *report) faceOnly(f *face.Face) (x, y, z []float64) {
	left := 0
	for i := range f.Z {
		if f.Row != nil && f.Row[i] != face.NoRow {
			left++
			continue
		}
		x, y, z = append(x, f.X[i]), append(y, f.Y[i]), append(z, f.Z[i])
	}
	if left > 0 {
		r.warn(trouble.Count(left, "reading of a joint row is", "readings of joint rows are") + " not in these numbers: they belong to the joint")
	}
	r.Readings = len(z)
	return x, y, z
}

// sized gives a piece without a size the extent of its readings and the edge band.
func sized(f *face.Face, x, y []float64, r *report) {
	if f.SizeX > 0 || len(x) == 0 {
		return
	}
	f.SizeX = 2 * (math.Max(slices.Max(x), -slices.Min(x)) + r.BandMM)
	f.SizeY = 2 * (math.Max(slices.Max(y), -slices.Min(y)) + r.BandMM)
	r.warn("the size of the piece is not given: it is taken to end one edge band beyond the outermost readings")
}

// judge asks for the whole face from readings.
func (v Judge) judge(s *verb.Session, f *face.Face, x, y, z []float64, r *report) error {
	if f.U == 0 {
		return trouble.Data("no-u", f.Name, "the standard uncertainty of one reading is not given", "add a line such as '# u: 0.012 mm', or give --u")
	}
	q := wholeface.Question{SizeX: f.SizeX, SizeY: f.SizeY, Band: r.BandMM, Cutoff: r.CutoffMM, State: r.State, U: f.U, Seed: seed, CaliperU: judge.CaliperU}
	if v.BenchBow != nil {
		q.Bench.Bow, q.Bench.Twist = v.BenchBow.MM, v.BenchBow.MM
	}
	for i := range z {
		q.Readings = append(q.Readings, wholeface.Reading{X: x[i], Y: y[i], Z: z[i]})
	}
	for _, t := range f.Thickness {
		q.Caliper = append(q.Caliper, wholeface.Thickness{X: t.X, Y: t.Y, T: t.T})
	}
	var p *wholeface.Prior
	if v.Prior != "" {
		text, err := s.Text(v.Prior, wholeface.MostPrior)
		if err != nil {
			return err
		}
		if p, err = wholeface.ParsePrior(v.Prior, bytes.TrimSpace(text)); err != nil {
			return err
		}
		r.Prior = &priorNote{p.Family, p.Scans, p.Digest}
		r.warn(p.Warnings...)
	}
	live, err := wholeface.Start(q, p)
	if err != nil {
		return named(err, f.Name)
	}
	a, err := live.Answer()
	if err != nil {
		return named(err, f.Name)
	}
	r.fill(a)
	if err := v.recommend(s, r, a); err != nil {
		return err
	}
	for _, n := range live.Next(r.LimitMM, advised) {
		r.NextPoints = append(r.NextPoints, [2]float64{measure.Round(n.X, 1), measure.Round(n.Y, 1)})
		r.NextSaves = append(r.NextSaves, measure.Round(n.Saves, 4))
	}
	return nil
}

// seed of all drawing: the same file gives the same answer.
const seed = 1

// advised is how many places to read next are named.
const advised = 3

// named puts the file's name where a reckoning could only say "the face".
func named(err error, file string) error {
	if t, ok := err.(*trouble.Trouble); ok && t.Where == "the face" {
		t.Where = file
	}
	return err
}

// scanned takes the zone of a dense scan: nothing between its points is guessed. Noise makes a zone look larger by up to eight
// standard deviations of a node, four on either side, and hardly ever smaller.
func (r *report) scanned(f *face.Face, x, y, z []float64) error {
	s, err := scan.New(f.SizeX, f.SizeY, 0, r.BandMM)
	if err != nil {
		return named(err, f.Name)
	}
	for i := range z {
		s.Add(x[i], y[i], z[i])
	}
	t, err := s.True()
	if err != nil {
		return named(err, f.Name)
	}
	zone, err := t.Zone()
	if err != nil {
		return err
	}
	r.warn(t.Warnings...)
	if f.U == 0 {
		r.warn("the standard uncertainty of a point of the scan is not given ('# u: 0.02 mm'): the interval counts it as 0")
	}
	noise := s.Noise(f.U)
	r.scan = true
	r.ZoneMedian = measure.Round(math.Max(0, zone-4*noise), 6)
	r.Interval = [2]float64{measure.Round(math.Max(0, zone-8*noise), 6), measure.Round(zone+2*noise, 6)}
	r.Calibrated = t.Filtered
	switch {
	case r.Interval[1] <= r.LimitMM:
		r.Conforms = 1
	case r.Interval[0] > r.LimitMM:
		r.Conforms = 0
	default:
		r.Conforms = 0.5
	}
	for k, v := range wholeface.Terms(t.Nodes, f.SizeX, f.SizeY) {
		value := measure.Round(v, 6)
		*[]*span{&r.BowAlong, &r.BowAcross, &r.Twist}[k] = span{value, [2]float64{value, value}}
	}
	r.Twist.Median = measure.Round(4*r.Twist.Median, 6)
	r.Twist.Interval = [2]float64{r.Twist.Median, r.Twist.Median}
	r.decide()
	return nil
}
