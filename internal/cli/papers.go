package cli

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/paper"
	"slatewright/measure"
)

// This file puts what a certificate holds into the structs from which papers are made. Nothing is computed here but where
// the readings lie in the bed.

// papers holds a composed certificate on its way to paper.
type papers struct {
	body  certificate.Body
	faces [3]*face.Face // centred, in the order given
}

func newPapers(b certificate.Body) (*papers, error) {
	q, err := b.Given.Seating()
	if err != nil {
		return nil, err
	}
	p := &papers{body: b}
	for k, f := range q.Faces {
		if p.faces[k], err = f.Centred(); err != nil {
			return nil, err
		}
	}
	return p, nil
}

// pattern is the table pattern with its revision.
func (p *papers) pattern() string {
	s := p.body.Given.Spec
	return s.Pattern + ", revision " + s.Revision
}

// verdictOf is a certificate's verdict in the words of the paper, which are the standard's.
func verdictOf(words string) paper.Verdict { return paper.Verdict(words) }

// certificate is the paper of a set that conforms.
func (p *papers) certificate(seal certificate.Seal) paper.Certificate {
	b := p.body
	c := paper.Certificate{
		Demo: b.Demo(), Mill: b.Mill, Set: b.Set, DateCode: b.DateCode, Issued: b.Issued, Pattern: p.pattern(),
		Verdict: verdictOf(b.Found.Verdict), Reason: p.margin(), Map: p.bedMap(), Results: p.results(), Pieces: p.pieces(),
		Method: p.method(), Shims: p.shims(), Levels: p.levels(), LayUp: p.layUp(), Warnings: b.Found.Warnings,
		Digest: seal.Digest, KeyID: seal.KeyID, Program: b.Program,
	}
	for _, n := range b.Found.NotChecked {
		c.NotChecked = append(c.NotChecked, n.Subject+": "+n.Demand)
	}
	return c
}

// refusal is the paper of a set that gets no certificate.
func (p *papers) refusal() paper.Refusal {
	b := p.body
	r := paper.Refusal{
		Demo: b.Demo(), Mill: b.Mill, Set: b.Set, Issued: b.Issued, Pattern: p.pattern(), Verdict: verdictOf(b.Found.Verdict),
		Results: p.results(), Map: p.bedMap(), Pieces: p.pieces(), Method: p.method(), LayUp: p.layUp(),
		NextStep: b.Found.Next.Text, NextWhy: b.Found.Next.Reason, Warnings: b.Found.Warnings, Program: b.Program,
	}
	for _, h := range b.Found.Hindrances {
		r.Reasons = append(r.Reasons, h.Of+": "+h.Reason)
	}
	return r
}

// indexSet is the set's entry on the page that shows a folder.
func (p *papers) indexSet(links []paper.Link) paper.IndexSet {
	b := p.body
	return paper.IndexSet{Set: b.Set, Verdict: verdictOf(b.Found.Verdict), Reason: sentence(b.Found.Basis) + " " + p.reason(),
		NextStep: b.Found.Next.Text, Results: p.compared(), Coverage: coverage, Map: p.bedMap(), Links: links, Warnings: b.Found.Warnings}
}

// sentence makes a phrase a sentence.
func sentence(phrase string) string { return strings.ToUpper(phrase[:1]) + phrase[1:] + "." }

// deciding is the result that decides.
func (p *papers) deciding() certificate.Result {
	for _, r := range p.body.Found.Results {
		if r.Name == p.body.Found.DecidedBy {
			return r
		}
	}
	return certificate.Result{Name: p.body.Found.DecidedBy}
}

// margin says how far the deciding result is from where it would not have been proven.
func (p *papers) margin() string {
	r := p.deciding()
	return fmt.Sprintf("%s decides: it keeps %s (%s) inside what the decision rule accepts.", inWords(r.Name),
		measure.FormatRounded(r.Margin.Float64(), measure.MM, 3), measure.FormatRounded(r.Margin.Float64(), measure.Thou, 1))
}

// reason is one sentence on what decided.
func (p *papers) reason() string {
	r := p.deciding()
	switch p.body.Found.Verdict {
	case string(paper.Conforms):
		return p.margin()
	case string(paper.DoesNotConform):
		over := math.Abs(r.Value.Float64() - r.Limit.Float64())
		return fmt.Sprintf("%s decides: it misses its limit by %s (%s).", inWords(r.Name), measure.FormatRounded(over, measure.MM, 3),
			measure.FormatRounded(over, measure.Thou, 1))
	}
	if r.Reason != "" {
		return inWords(r.Name) + " cannot be told: " + r.Reason
	}
	return inWords(r.Name) + " is too near to its limit for its uncertainty."
}

// resultWords are the names and notes of the results on paper.
var resultWords = map[string][2]string{
	"lengthwise":       {"Lengthwise", "straightness of the worst line along the table, steps included"},
	"across":           {"Across", "straightness of the worst line across the table"},
	"zone":             {"Zone of the bed", "all readings of all three pieces between two planes"},
	"step-head-centre": {"Step at joint 1", "head | centre, largest of the joint"},
	"step-centre-foot": {"Step at joint 2", "centre | foot, largest of the joint"},
	"thickness":        {"Thickness of stone", "least caliper reading of the three pieces"},

	certificate.LaidUpPrefix + "step-head-centre": {"Joint 1, laid up", "head | centre, largest step measured on the dry set"},
	certificate.LaidUpPrefix + "step-centre-foot": {"Joint 2, laid up", "centre | foot, largest step measured on the dry set"},
}

func inWords(name string) string {
	if w, ok := resultWords[name]; ok {
		return w[0]
	}
	return name
}

const coverage = "k = 2, about 95 %"

// results are the rows of the table. Uncertainties are expanded; the bias is what the value was corrected by.
func (p *papers) results() []paper.Result {
	var out []paper.Result
	for _, r := range p.body.Found.Results {
		probability := r.Probability.Float64()
		row := paper.Result{Name: inWords(r.Name), Note: resultWords[r.Name][1], Value: r.Value.Float64(), U: 2 * r.U.Float64(), Limit: r.Limit.Float64(),
			AtLeast: r.AtLeast, Verdict: verdictOf(r.Verdict), Probability: &probability, Bias: r.Read.Float64() - r.Value.Float64()}
		if r.AtLeast {
			row.Bias = 0
		}
		if row.Withheld = p.withheld(r); row.Withheld {
			row.Probability = nil
		}
		if r.Missing {
			row.Value, row.U, row.Probability = math.NaN(), math.NaN(), nil
		}
		out = append(out, row)
	}
	return out
}

// withheld tells whether a hindrance keeps the result from being told.
func (p *papers) withheld(r certificate.Result) bool {
	return r.Verdict == string(paper.CannotTell) && slices.ContainsFunc(p.body.Found.Hindrances,
		func(h certificate.Hindrance) bool { return slices.Contains(h.On, r.Name) })
}

// compared are the results as a table of several sets shows them: one for each characteristic, steps as measured where the
// set was laid up.
func (p *papers) compared() []paper.Result {
	var out []paper.Result
	given := p.body.Found.Results
	for i, r := range p.results() {
		if name, measured := strings.CutPrefix(given[i].Name, certificate.LaidUpPrefix); measured {
			for k := range out {
				if given[k].Name == name {
					r.Name = out[k].Name
					out[k] = r
				}
			}
			continue
		}
		out = append(out, r)
	}
	return out
}

// middles are the bed frame's x of the middles of the three places.
func (p *papers) middles() [3]float64 {
	var half [3]float64
	for place, piece := range p.body.Found.Pieces {
		half[place] = p.faces[piece.Reading].SizeX / 2
	}
	gap := p.body.Given.Spec.JointGap.Float64()
	return [3]float64{-(half[0] + gap + half[1]), 0, half[1] + gap + half[2]}
}

func (p *papers) bedMap() paper.BedMap {
	b := p.body
	m := paper.BedMap{Title: "Set " + b.Set, SizeY: b.Given.Spec.Size[1].Float64(), EdgeBand: b.Given.Spec.EdgeBand.Float64(),
		Zone: b.Found.Seating.Zone.Float64(), StepLimit: b.Given.Spec.Limits.Step.Float64(), Demo: b.Demo()}
	middle := p.middles()
	for place, piece := range b.Found.Pieces {
		m.Pieces[place] = p.pieceMap(piece, middle[place])
		m.SizeX = max(m.SizeX, 2*m.Pieces[place].MaxX)
	}
	for j, joint := range b.Found.Seating.Joints {
		m.Joints[j] = p.jointMap(j, joint, (m.Pieces[j].MaxX+m.Pieces[j+1].MinX)/2)
	}
	for _, c := range b.Found.Seating.Contacts {
		m.Contacts = append(m.Contacts, paper.Contact{X: c.Point[0].Float64(), Y: c.Point[1].Float64(), Z: c.Point[2].Float64(), Upper: c.Upper})
	}
	return m
}

// pieceMap is one piece with its readings moved into the bed frame.
func (p *papers) pieceMap(piece certificate.Piece, middle float64) paper.PieceMap {
	f := p.faces[piece.Reading]
	m := paper.PieceMap{Place: piece.Place.String(), Serial: piece.Piece, Turned: piece.Turned, MinX: middle - f.SizeX/2, MaxX: middle + f.SizeX/2}
	sign := 1.0
	if piece.Turned {
		sign = -1
	}
	h, tx, ty := piece.Height.Float64(), piece.TiltX.Float64(), piece.TiltY.Float64()
	for i, z := range f.Z {
		x, y := sign*f.X[i], sign*f.Y[i]
		m.X, m.Y, m.Z = append(m.X, middle+x), append(m.Y, y), append(m.Z, z+h+tx*x+ty*y)
	}
	return m
}

func (p *papers) jointMap(j int, joint certificate.Joint, x float64) paper.JointMap {
	m := paper.JointMap{X: x, NotMeasured: joint.Measured != [2]bool{true, true}}
	if laidUp := p.body.Found.LaidUp; laidUp != nil {
		m.NotMeasured = false
		for _, s := range laidUp.Joints[j] {
			m.Steps = append(m.Steps, paper.Step{Y: s.Y.Float64(), Height: s.Measured.Float64()})
			m.Predicted = append(m.Predicted, s.Predicted.Float64())
		}
		return m
	}
	for _, s := range joint.Stations {
		m.Steps = append(m.Steps, paper.Step{Y: s[0].Float64(), Height: s[1].Float64()})
	}
	return m
}

func (p *papers) pieces() (out [3]paper.Piece) {
	for place, piece := range p.body.Found.Pieces {
		out[place] = paper.Piece{Place: piece.Place.String(), Serial: piece.Piece, Turned: piece.Turned, ThicknessPoints: piece.Thickness.Points,
			TempTop: amount(piece.TempTop), TempBottom: amount(piece.TempBottom), DrySince: piece.DrySince, Read: piece.Date}
		if t := piece.Thickness.Least; t != nil {
			out[place].ThicknessMin = t.Float64()
		}
		if t := piece.Thickness.Mean; t != nil {
			out[place].ThicknessMean = t.Float64()
		}
		if m := piece.Mass; m != nil {
			out[place].Mass = m.Float64()
		}
	}
	return out
}

func amount(a *certificate.Amount) *float64 {
	if a == nil {
		return nil
	}
	x := a.Float64()
	return &x
}

func (p *papers) method() paper.Method {
	b := p.body
	m := paper.Method{Instrument: p.instruments(), Support: p.supports(), State: b.Found.Support.State, EdgeBand: b.Given.Spec.EdgeBand.Float64(),
		Coverage: coverage, Limits: bed.TournamentReading}
	var grids []string
	for _, f := range p.faces {
		xs, ys, ok := f.Grid()
		grid := fmt.Sprintf("%d readings", len(f.Z))
		if ok {
			grid = fmt.Sprintf("a grid of %d by %d readings", len(xs), len(ys))
			m.PitchX, m.PitchY = max(m.PitchX, pitch(xs)), max(m.PitchY, pitch(ys))
		}
		grids = once(grids, grid)
	}
	m.Measuring = strings.Join(grids, ", ") + " a piece. " + b.Found.Method[0]
	for _, s := range b.Found.Method {
		if rest, ok := strings.CutPrefix(s, "Decision rule: "); ok {
			m.Decision = rest
		}
	}
	return m
}

// pitch is the mean distance between stations.
func pitch(at []float64) float64 {
	if len(at) < 2 {
		return 0
	}
	return (at[len(at)-1] - at[0]) / float64(len(at)-1)
}

// instruments names what read the faces, once each.
func (p *papers) instruments() string {
	var words []string
	for _, piece := range p.body.Found.Pieces {
		u := p.body.Found.Doubt.ReadingU[piece.Reading].Float64()
		words = once(words, fmt.Sprintf("%s (standard uncertainty of one reading %s)", stated(piece.Instrument), measure.FormatLength(u, measure.MM)))
	}
	return strings.Join(words, "; ")
}

func (p *papers) supports() string {
	var words []string
	for _, piece := range p.body.Found.Pieces {
		words = once(words, stated(piece.SupportText))
	}
	return strings.Join(words, "; ")
}

// once appends a word that is not there yet.
func once(words []string, word string) []string {
	if slices.Contains(words, word) {
		return words
	}
	return append(words, word)
}

func stated(s string) string {
	if s == "" {
		return "not stated"
	}
	return s
}

func (p *papers) shims() paper.ShimCard {
	f := p.body.Found
	card := paper.ShimCard{NotComputed: f.Shims.NotGiven}
	middle := p.middles()
	for _, s := range f.Shims.Shims {
		pack := 0.0
		for _, t := range s.Pack {
			pack += t.Float64()
		}
		card.Shims = append(card.Shims, paper.Shim{Place: s.Place.String(), X: middle[s.Place] + s.At[0].Float64(), Y: s.At[1].Float64(),
			Height: s.Height.Float64(), Pack: pack})
	}
	if r := f.Shims.Rounded; r != nil {
		card.Outcome = &paper.ShimOutcome{Zone: r.Zone.Float64(), Step1: r.Steps[0].Float64(), Step2: r.Steps[1].Float64()}
	}
	return card
}

// levels joins the readings along and across at one place to one mark.
func (p *papers) levels() paper.LevelCard {
	var card paper.LevelCard
	for _, l := range p.body.Found.Levels {
		x, y, slope := l.At[0].Float64(), l.At[1].Float64(), 1000*l.Slope.Float64()
		card.Base = l.Base.Float64()
		n := len(card.Marks)
		if n == 0 || card.Marks[n-1].X != x || card.Marks[n-1].Y != y {
			card.Marks = append(card.Marks, paper.LevelMark{Name: string(rune('A' + n)), X: x, Y: y})
			n++
		}
		if l.Along {
			card.Marks[n-1].SlopeX = slope
		} else {
			card.Marks[n-1].SlopeY = slope
		}
	}
	return card
}

func (p *papers) layUp() *paper.LayUp {
	given, found := p.body.Given.LayUp, p.body.Found.LaidUp
	if given == nil || found == nil {
		return nil
	}
	out := &paper.LayUp{Date: given.Date, Support: given.Support, Instrument: given.Instrument, U: 2 * given.U.Float64()}
	for j, stations := range found.Joints {
		for _, s := range stations {
			out.Joints[j] = append(out.Joints[j], paper.LayUpStep{Y: s.Y.Float64(), Predicted: s.Predicted.Float64(), Measured: s.Measured.Float64()})
		}
	}
	return out
}
