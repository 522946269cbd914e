package paper

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"slatewright/internal/picture/bedmap"
	"slatewright/judge"
)

// The specimen is an invented set of the invented mill: 9 by 6 readings and two joint rows on each piece of a 9-ft bed.

const (
	bedX, bedY = 2743.0, 1473.0
	pieceX     = bedX / 3

	banner    = "invented data, not a real certificate"
	predicted = "predicted from three pieces"
	measured  = "laid up and measured"
)

// specimenMap reads the map of the invented set.
func specimenMap() bedmap.Map {
	text, err := os.ReadFile("testdata/bed.json")
	if err != nil {
		panic(err)
	}
	var m bedmap.Map
	if err := json.Unmarshal(text, &m); err != nil {
		panic(err)
	}
	return m
}

const digest = "9f2c5a1e0b7d43f68c1a92e4d5b03f7760c8e1a4b29d3f5807c6e1d2a3b4c5d6"

func ptr(x float64) *float64 { return &x }

func specimenMethod() Method {
	return Method{
		Readings:   "a grid of 6 by 9 readings a piece",
		Instrument: "dial gauge 0.001 mm, standard uncertainty of one reading 0.004 mm",
		Support:    "two full-width lines at 0.22 of the long side from each end",
		State:      "laid",
		EdgeBand:   20, PitchX: 174.9, PitchY: 179.1,
		Coverage: "k = 2, about 95 %",
		Statement: []string{
			"The three rigid pieces are moved by height and two tilts each until the zone of the bed is smallest while no step is larger than 0.127 mm, and where " +
				"that leaves a choice, until the steps and then the moves are smallest; the best of 8 arrangements of places and half turns is shown.",
			"The zone of the bed is the distance between two parallel planes that hold all readings of the seated bed but those in the outer 20 mm of each piece: " +
				"from the lowest reading to the highest.",
			"Straightness lengthwise and across is that of the worst of all lines of readings along and across the table: the distance between two parallel " +
				"straight lines that hold it whole, over all three pieces and their joints lengthwise.",
			"A step is the height of the piece nearer the foot less that of the piece nearer the head, at one place of a joint, so it is positive where the piece " +
				"nearer the foot stands proud; of each joint the largest step of either sign is judged.",
			"The thickness of the stone is the least of the caliper readings of all three pieces, taken with a standard uncertainty of 0.0125 mm.",
			"The results hold for the laid state, which is the state promised: each piece lay on a full bench that carried the whole of its back, and a piece that " +
				"lies otherwise has another shape.",
			"The uncertainty of zone, straightness and steps comes from seating the bed 400 times with other errors of readings and bench, drawn from the seed 24; " +
				"what errors of the readings are expected to have added to a value is taken off, what may lie between the readings is put on, and both are parts " +
				"of the uncertainty.",
			"By the decision rule of ISO 14253-1:2017, at 95 % one-sided, a result conforms if it lies inside its limit by 1.644854 standard uncertainties or more, " +
				"does not conform if it lies beyond it by more than that and what was put on for caution, and cannot be told between.",
			"Limits of the tournament text are read as the total, peak to valley: the stricter reading (copies of the text print a plus sign).",
		},
	}
}

func specimenResults() []Result {
	return []Result{
		{Name: "Lengthwise", Note: "largest straightness of any line along the table, steps included", Value: 0.1713, U: 0.021, Limit: 0.508, Verdict: judge.Conforms, Probability: ptr(1)},
		{Name: "Across", Note: "the same across the table", Value: 0.1487, U: 0.018, Limit: 0.254, Verdict: judge.Conforms, Probability: ptr(0.9999)},
		{Name: "Zone of the bed", Note: "all readings of all three pieces", Value: 0.1942, U: 0.024, Limit: 0.508, Verdict: judge.Conforms, Probability: ptr(1), Bias: 0.031},
		{Name: "Step at joint 1", Note: "head | centre", Value: 0.062, U: 0.011, Limit: 0.127, Verdict: judge.Conforms, Probability: ptr(0.9997)},
		{Name: "Step at joint 2", Note: "centre | foot", Value: 0.081, U: 0.011, Limit: 0.127, Verdict: judge.Conforms, Probability: ptr(0.9991)},
		{Name: "Stone thickness", Note: "least of 24 places", Value: 25.61, U: 0.03, Limit: 25.4, AtLeast: true, Verdict: judge.Conforms, Probability: ptr(1)},
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
	c := Certificate{Mark: banner, Mill: "Quern Hollow", Set: "QH-0007", DateCode: "26K25", Issued: "2026-11-25", Pattern: "9-ft bed in thirds, 2743 by 1473 mm, revision A",
		Verdict: judge.Conforms, Basis: predicted, Reason: "Every characteristic conforms with the stated risk; nearest to its limit: step at joint 2.",
		Map: specimenMap(), Results: specimenResults(), Pieces: specimenPieces(), Method: specimenMethod(),
		NotChecked: []string{"frame: wooden frame under the slate at least 19.05 mm (3/4 in) thick", "fixing: slate fixed to the base by countersunk screws or bolts",
			"load: at most 0.762 mm (0.030 in) more deflection under 90.7 kg (200 lb) at the centre",
			"installed joints: joints in one plane within 0.127 mm (0.005 in) after levelling and shimming on the table",
			"playing field: 2540 x 1270 mm (100 x 50 in) or 2336.8 x 1168.4 mm (92 x 46 in) between the cushion noses, to 3.175 mm (1/8 in)",
			"height: bed 742.95 to 787.4 mm (29 1/4 to 31 in) above the floor", "rails: rails, cushions, sights and rail bolts", "pockets: pocket mouths, cut angles and shelves"},
		Warnings: []string{"the limits of the tournament text are read as total peak to valley"},
		Digest:   digest, KeyID: "demo:3f9a1c77", Program: "slatewright 0.1.0"}
	for i := range 3 {
		for k, y := range []float64{-480, 0, 480} {
			name := string(rune('A' + 3*i + k))
			c.Levels.Marks = append(c.Levels.Marks, LevelMark{name, (float64(i) - 1) * pieceX, y, reading(0.11 * float64(i-1)), reading(-0.0004 * y)})
		}
		for _, y := range []float64{-600, 0, 600} {
			for _, x := range []float64{-400, 400} {
				h := 0.2 + 0.1*float64(i) + 0.0001*y
				c.Shims.Shims = append(c.Shims.Shims, Shim{"", c.Pieces[i].Place, (float64(i)-1)*pieceX + x, y, h, math.Round(h/0.05) * 0.05})
			}
		}
	}
	c.Levels.Base, c.Levels.Divisions = 200, []string{"0.02 mm/m", "0.0005 in/ft"}
	c.Shims.Outcome = &ShimOutcome{0.211, 0.07, 0.088}
	return c
}

// reading is what the two usual levels read on a slope of so many mm per m: divisions of 0.02 mm/m, and of 0.0005 in in 12 in.
func reading(slope float64) LevelReading {
	return LevelReading{Slope: slope, Divisions: []float64{slope / 0.02, slope * 12 / 0.5}}
}

func withLayUp(c Certificate) Certificate {
	c.Method.Statement = append(c.Method.Statement, "The set was laid up dry, on what is stated as \"bench\", and its steps were read at 7 and 7 places of the two joints; "+
		"the standard uncertainty of a step is 0.005 mm.",
		"The measured steps are judged besides the predicted ones, and the worse counts; a joint where the two differ by more than their uncertainties allow, "+
			"after the straight line that another lie of rigid pieces makes is taken off, cannot be told.")
	c.Basis, c.LayUp = measured, &LayUp{Date: "2026-11-22", Support: "dry on the bench, shimmed at the supports", Instrument: "bridge with dial, 0.001 mm", U: 0.01}
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
	r := Refusal{Mark: banner, Mill: "Quern Hollow", Set: "QH-0011", Issued: "2026-11-25", Pattern: "9-ft bed in thirds, 2743 by 1473 mm, revision A",
		Verdict: judge.DoesNotConform, Basis: predicted, Results: specimenResults(), Map: specimenMap(), Pieces: specimenPieces(), Method: specimenMethod(),
		NextStep: "Take 0.06 mm off the top face of QH-P003 (centre), then read it again.",
		NextWhy:  "The step at joint 2 then falls to about 0.09 mm. Re-matching was tried: no other piece in stock closes this joint.",
		Program:  "slatewright 0.1.0"}
	r.Map.Title = "Set QH-0011"
	r.Results[4].Value, r.Results[4].Verdict, r.Results[4].Probability = 0.158, judge.DoesNotConform, ptr(0.0021)
	r.Results[1].Value, r.Results[1].Verdict, r.Results[1].Probability = 0.2487, judge.CannotTell, ptr(0.7182)
	return r
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
	for _, size := range []Size{A4, Letter} {
		write("certificate-"+size.String()+".pdf", func(b *bytes.Buffer) error { return specimenCertificate().PDF(b, Form{Size: size}) })
		write("layup-"+size.String()+".pdf", func(b *bytes.Buffer) error { return withLayUp(specimenCertificate()).PDF(b, Form{Size: size}) })
		write("refusal-"+size.String()+".pdf", func(b *bytes.Buffer) error { return specimenRefusal().PDF(b, Form{Size: size}) })
	}
}
