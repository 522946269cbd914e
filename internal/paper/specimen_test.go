package paper

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// The specimen is an invented set of the invented mill: 9 by 6 readings and two joint rows on each piece of a 9-ft bed.

const (
	bedX, bedY = 2743.0, 1473.0
	pieceX     = bedX / 3
)

// noise is a small generator of our own (SplitMix64; Steele, Lea, Flood 2014), so that specimens never change.
type noise uint64

func (n *noise) next() float64 {
	*n += 0x9E3779B97F4A7C15
	z := uint64(*n)
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return float64((z^z>>31)>>11)/(1<<53) - 0.5
}

// specimenPiece reads an invented face: bow along and across, twist, a ripple of the grinder, a lift, and reading noise.
func specimenPiece(place, serial string, i int, n *noise) PieceMap {
	mid := (float64(i) - 1) * pieceX
	p := PieceMap{Place: place, Serial: serial, Turned: i == 1, MinX: mid - pieceX/2, MaxX: mid + pieceX/2}
	shape := [3][4]float64{{0.045, 0.085, 0.02, -0.02}, {-0.03, 0.11, -0.035, 0.012}, {0.05, 0.06, 0.045, -0.015}}[i]
	read := func(x, y float64) {
		u, v := 2*x/pieceX, 2*y/bedY
		z := shape[3] + shape[0]*(1-u*u) + shape[1]*(1-v*v) + shape[2]*u*v + 0.012*math.Sin(2*math.Pi*y/310+float64(i)) - 0.075
		p.X, p.Y, p.Z = append(p.X, mid+x), append(p.Y, y), append(p.Z, math.Round((z+0.012*n.next())*1000)/1000)
	}
	for a := range 6 {
		for b := range 9 {
			read(-pieceX/2+20+(pieceX-40)*float64(a)/5, -bedY/2+20+(bedY-40)*float64(b)/8)
		}
	}
	for b := range 9 {
		y := -bedY/2 + 20 + (bedY-40)*float64(b)/8
		if i > 0 {
			read(-pieceX/2+10, y)
		}
		if i < 2 {
			read(pieceX/2-10, y)
		}
	}
	return p
}

func specimenMap() BedMap {
	n := noise(7)
	m := BedMap{Title: "Set QH-0007", SizeX: bedX, SizeY: bedY, EdgeBand: 20, StepLimit: 0.127, Demo: true}
	for i, place := range []string{"head", "centre", "foot"} {
		m.Pieces[i] = specimenPiece(place, []string{"QH-P012", "QH-P003", "QH-P009"}[i], i, &n)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range m.Pieces {
		for _, z := range p.Z {
			low, high = math.Min(low, z), math.Max(high, z)
		}
	}
	m.Zone = high - low
	for i := range m.Pieces {
		p := &m.Pieces[i]
		for k := range p.Z {
			p.Z[k] -= (low + high) / 2
			if a := math.Abs(p.Z[k]); a > m.Zone/2-0.012 {
				m.Contacts = append(m.Contacts, Contact{p.X[k], p.Y[k], p.Z[k], p.Z[k] > 0})
			}
		}
	}
	for i := range m.Joints {
		m.Joints[i].X = (float64(i) - 0.5) * pieceX
		for b := range 9 {
			y := -bedY/2 + 20 + (bedY-40)*float64(b)/8
			m.Joints[i].Steps = append(m.Joints[i].Steps, Step{y, at(m.Pieces[i+1], m.Joints[i].X+10, y) - at(m.Pieces[i], m.Joints[i].X-10, y)})
		}
	}
	return m
}

func at(p PieceMap, x, y float64) float64 {
	for k := range p.Z {
		if math.Abs(p.X[k]-x) < 1 && math.Abs(p.Y[k]-y) < 1 {
			return p.Z[k]
		}
	}
	panic("no such reading")
}

const digest = "9f2c5a1e0b7d43f68c1a92e4d5b03f7760c8e1a4b29d3f5807c6e1d2a3b4c5d6"

func ptr(x float64) *float64 { return &x }

func specimenMethod() Method {
	return Method{
		Measuring:  "54 readings on a 9 by 6 grid and 9 readings along each joint row, dial on a bridge over the bench; minimum zone after ISO 1101, orthogonal, all three pieces as one bed",
		Instrument: "dial gauge 0.001 mm, standard uncertainty of one reading 0.004 mm",
		Support:    "two full-width lines at 0.22 of the long side from each end",
		State:      "laid: as the pieces lay on the stated support",
		EdgeBand:   20, PitchX: 174.9, PitchY: 179.1,
		Decision: "guard band after JCGM 106 with a consumer's risk of at most 2.5 %",
		Limits:   "tournament text, read as total peak to valley, the stricter reading; zone of the bed: the mill's own limit",
		Coverage: "k = 2, about 95 %",
	}
}

func specimenResults() []Result {
	return []Result{
		{Name: "lengthwise", Note: "largest straightness of any line along the table, steps included", Value: 0.1713, U: 0.021, Limit: 0.508, Verdict: Conforms, Probability: ptr(1)},
		{Name: "across", Note: "the same across the table", Value: 0.1487, U: 0.018, Limit: 0.254, Verdict: Conforms, Probability: ptr(0.9999)},
		{Name: "zone of the bed", Note: "all readings of all three pieces", Value: 0.1942, U: 0.024, Limit: 0.508, Verdict: Conforms, Probability: ptr(1), Bias: 0.031},
		{Name: "step at joint 1", Note: "head | centre", Value: 0.062, U: 0.011, Limit: 0.127, Verdict: Conforms, Probability: ptr(0.9997)},
		{Name: "step at joint 2", Note: "centre | foot", Value: 0.081, U: 0.011, Limit: 0.127, Verdict: Conforms, Probability: ptr(0.9991)},
		{Name: "stone thickness", Note: "least of 24 places", Value: 25.61, U: 0.03, Limit: 25.4, AtLeast: true, Verdict: Conforms, Probability: ptr(1)},
	}
}

func specimenPieces() [3]Piece {
	return [3]Piece{
		{Place: "head", Serial: "QH-P012", ThicknessMin: 25.61, ThicknessMean: 25.74, ThicknessPoints: 8, TempTop: ptr(20.1), TempBottom: ptr(20.3), DrySince: "2026-09-01", Read: "2026-11-20", Mass: 96.7},
		{Place: "centre", Serial: "QH-P003", Turned: true, ThicknessMin: 25.66, ThicknessMean: 25.79, ThicknessPoints: 8, TempTop: ptr(20.0), TempBottom: ptr(20.1), DrySince: "2026-08-28", Read: "2026-11-20", Mass: 96.9},
		{Place: "foot", Serial: "QH-P009", ThicknessMin: 25.63, ThicknessMean: 25.70, ThicknessPoints: 8, TempTop: ptr(20.2), TempBottom: ptr(20.2), DrySince: "2026-09-01", Read: "2026-11-21", Mass: 96.5},
	}
}

func specimenCertificate() Certificate {
	c := Certificate{Demo: true, Mill: "Quern Hollow", Set: "QH-0007", DateCode: "26K25", Issued: "2026-11-25", Pattern: "9-ft bed in thirds, 2743 by 1473 mm, revision A",
		Verdict: Conforms, Reason: "Every characteristic conforms with the stated risk; nearest to its limit: step at joint 2.",
		Map: specimenMap(), Results: specimenResults(), Pieces: specimenPieces(), Method: specimenMethod(),
		NotChecked: []string{"deflection under a load of 90.7 kg (200 lb) at the centre", "wooden frame at least 19 mm thick under the slate", "fixing by countersunk screws or bolts",
			"size of the playing field, rails, pockets and bed height", "flatness after installation on the customer's frame"},
		Warnings: []string{"the limits of the tournament text are read as total peak to valley"},
		Digest:   digest, KeyID: "demo:3f9a1c77", Program: "slatewright 0.1.0"}
	for i := range 3 {
		for k, y := range []float64{-480, 0, 480} {
			name := string(rune('A' + 3*i + k))
			c.Levels.Marks = append(c.Levels.Marks, LevelMark{name, (float64(i) - 1) * pieceX, y, 0.11 * float64(i-1), -0.0004 * y})
		}
		for _, y := range []float64{-600, 0, 600} {
			for _, x := range []float64{-400, 400} {
				h := 0.2 + 0.1*float64(i) + 0.0001*y
				c.Shims.Shims = append(c.Shims.Shims, Shim{"", c.Pieces[i].Place, (float64(i)-1)*pieceX + x, y, h, math.Round(h/0.05) * 0.05})
			}
		}
	}
	c.Levels.Base = 200
	c.Shims.Outcome = &ShimOutcome{0.211, 0.07, 0.088}
	return c
}

func withLayUp(c Certificate) Certificate {
	c.LayUp = &LayUp{Date: "2026-11-22", Support: "dry on the bench, shimmed at the supports", Instrument: "bridge with dial, 0.001 mm", U: 0.01}
	for i, j := range c.Map.Joints {
		for k, s := range j.Steps {
			if k%2 == 0 {
				c.LayUp.Joints[i] = append(c.LayUp.Joints[i], LayUpStep{s.Y, s.Height, s.Height + 0.004*float64(k-3)})
			}
		}
	}
	return c
}

func specimenRefusal() Refusal {
	r := Refusal{Demo: true, Mill: "Quern Hollow", Set: "QH-0011", Issued: "2026-11-25", Pattern: "9-ft bed in thirds, 2743 by 1473 mm, revision A",
		Verdict: DoesNotConform, Results: specimenResults(), Map: specimenMap(), Pieces: specimenPieces(), Method: specimenMethod(),
		NextStep: "Take 0.06 mm off the top face of QH-P003 (centre), then read it again.",
		NextWhy:  "The step at joint 2 then falls to about 0.09 mm. Re-matching was tried: no other piece in stock closes this joint.",
		Program:  "slatewright 0.1.0"}
	r.Map.Title = "Set QH-0011"
	r.Results[4].Value, r.Results[4].Verdict, r.Results[4].Probability = 0.158, DoesNotConform, ptr(0.0021)
	r.Results[1].Value, r.Results[1].Verdict, r.Results[1].Probability = 0.2487, CannotTell, ptr(0.7182)
	return r
}

func specimenIndex() Index {
	ix := Index{Demo: true, Mill: "Quern Hollow", Title: "Fifteen pieces, five sets", Made: "2026-11-25", Program: "slatewright 0.1.0",
		Summary: []string{"Fifteen pieces were read on a 9 by 6 grid with joint rows. The best sets among all allowed triples and turns were found, judged and certified, or refused with the next step."},
		Groups:  []LinkGroup{{"Readings", []Link{{"QH-P003.csv", "readings/QH-P003.csv"}, {"QH-P009.csv", "readings/QH-P009.csv"}, {"QH-P012.csv", "readings/QH-P012.csv"}}}}}
	c, r := specimenCertificate(), specimenRefusal()
	ix.Sets = append(ix.Sets, IndexSet{Set: c.Set, Verdict: c.Verdict, Reason: c.Reason, Results: c.Results, Coverage: c.Method.Coverage, Map: c.Map,
		Links: []Link{{"certificate, A4 (PDF)", "QH-0007.a4.pdf"}, {"certificate, Letter (PDF)", "QH-0007.letter.pdf"}, {"sealed certificate (JSON)", "QH-0007.json"}, {"map (SVG)", "QH-0007.svg"}}, Warnings: c.Warnings})
	ix.Sets = append(ix.Sets, IndexSet{Set: r.Set, Verdict: r.Verdict, NextStep: r.NextStep, Results: r.Results, Coverage: r.Method.Coverage, Map: r.Map,
		Links: []Link{{"refusal (PDF)", "QH-0011.pdf"}}})
	ix.Sets = append(ix.Sets, ix.Sets[1])
	ix.Sets[2].Set, ix.Sets[2].Verdict, ix.Sets[2].Results = "QH-0012", CannotTell, c.Results
	return ix
}

// TestSpecimens writes everything to the folder named by SPECIMENS, for looking at; without it, to a folder that is thrown away.
func TestSpecimens(t *testing.T) {
	dir := os.Getenv("SPECIMENS")
	if dir == "" {
		dir = t.TempDir()
	}
	write := func(name string, make func(*bytes.Buffer) error) {
		t.Helper()
		var b bytes.Buffer
		if err := make(&b); err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
		if b.Len() < 1000 {
			t.Errorf("%s has only %d bytes", name, b.Len())
		}
		if err := os.WriteFile(filepath.Join(dir, name), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	m := specimenMap()
	write("map.svg", func(b *bytes.Buffer) error { return m.SVG(b) })
	write("index.html", func(b *bytes.Buffer) error { return specimenIndex().HTML(b) })
	for _, size := range []Size{A4, Letter} {
		write("certificate-"+size.String()+".pdf", func(b *bytes.Buffer) error { return specimenCertificate().PDF(b, size) })
		write("layup-"+size.String()+".pdf", func(b *bytes.Buffer) error { return withLayUp(specimenCertificate()).PDF(b, size) })
		write("refusal-"+size.String()+".pdf", func(b *bytes.Buffer) error { return specimenRefusal().PDF(b, size) })
	}
}
