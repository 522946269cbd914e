package whole

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/cli/verb"
	"slatewright/internal/rehearsal/families"
	"slatewright/measure"
	"slatewright/wholeface"
)

// written is a face of a family as a file: every point of a grid.
func written(t *testing.T, f families.Family, n int, xs, ys []float64, u float64) string {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, "# size: 914 x 1473 mm\n# u: %g mm\nx,y,z\n", u)
	z := families.New(f, n).Grid(xs, ys)
	for i, x := range xs {
		for j, y := range ys {
			fmt.Fprintf(&b, "%s,%s,%s\n", measure.Decimal(x, 3), measure.Decimal(y, 3), measure.Decimal(z[i*len(ys)+j], 5))
		}
	}
	return b.String()
}

// Learning from files and judging with it, all the way: the answer is calibrated, the same files give the same bytes, and a
// file once written stays.
func TestLearnThenJudge(t *testing.T) {
	dir := t.TempDir()
	scans := filepath.Join(dir, "scans")
	if err := os.Mkdir(scans, 0o755); err != nil {
		t.Fatal(err)
	}
	xs, ys := families.Even(60, families.SizeX, 10), families.Even(97, families.SizeY, 10)
	for n := range 32 {
		if err := os.WriteFile(filepath.Join(scans, fmt.Sprintf("s%02d.csv", n)), []byte(written(t, families.Smooth, n, xs, ys, 0.002)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	s := &verb.Session{Stdin: bytes.NewReader(nil), Stdout: &bytes.Buffer{}, Stderr: &bytes.Buffer{}}
	out := filepath.Join(dir, "prior.json")
	r, err := Judge{Learn: scans, Out: out, Family: "smooth", U: &verb.Length{MM: 0.012}, rehearsals: 2, draws: wholeface.LeastDraws}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	if l := r.(*learned); l.Scans != 32 || l.GridX != 6 || l.GridY != 9 || len(l.Digest) != 64 || !slices.ContainsFunc(l.Warnings, func(w string) bool { return strings.Contains(w, "only 32 scans") }) {
		t.Errorf("learned %+v", l)
	}
	if _, err := (Judge{Learn: scans, Out: out}).Run(s); err == nil {
		t.Error("a prior was overwritten")
	}
	file := filepath.Join(dir, "piece.csv")
	if err := os.WriteFile(file, []byte(written(t, families.Smooth, 5000, families.Even(6, families.SizeX, 20), families.Even(9, families.SizeY, 20), 0.012)), 0o644); err != nil {
		t.Fatal(err)
	}
	r, err = Judge{File: file, Limit: &verb.Length{MM: 0.25}, Prior: out, Confidence: 0.95}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	with := r.(*report)
	r, err = Judge{File: file, Limit: &verb.Length{MM: 0.25}, Confidence: 0.95}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	without := r.(*report)
	if !with.Calibrated || without.Calibrated || with.Prior == nil || with.Prior.Scans != 32 {
		t.Errorf("calibrated with %v, without %v", with.Calibrated, without.Calibrated)
	}
	if with.Interval[1]-with.Interval[0] >= without.Interval[1]-without.Interval[0] {
		t.Errorf("the interval without scans %v is no wider than with them %v", without.Interval, with.Interval)
	}
	if len(with.NextPoints) != advised || with.Conforms <= 0 || with.Conforms >= 1 {
		t.Errorf("next %v, probability %g", with.NextPoints, with.Conforms)
	}
	dense := filepath.Join(scans, "s00.csv")
	r, err = Judge{File: dense, Limit: &verb.Length{MM: 1}, Confidence: 0.95}.Run(s)
	if err != nil {
		t.Fatal(err)
	}
	if d := r.(*report); !d.scan || d.Outcome() != verb.Done {
		t.Errorf("a scan is judged %+v", d)
	}
}

// A prior reads back as it was written, and what was changed in it is refused.
func TestPriorFile(t *testing.T) {
	p := wholeface.Unlearned()
	p.SizeX, p.SizeY, p.CutoffMM, p.BandMM = 914, 1473, 25, 20
	text, err := p.Text()
	if err != nil {
		t.Fatal(err)
	}
	again, err := wholeface.ParsePrior("p.json", text)
	if err != nil {
		t.Fatal(err)
	}
	if back, _ := again.Text(); !bytes.Equal(back, text) {
		t.Error("a prior does not read back as it was written")
	}
	for old, bad := range map[string]string{wholeface.PriorFormat: "another format", `"band_mm": 20`: `"band_mm": -20`, `"scans"`: `"scons"`, `"weights": [`: `"weights": [-1,`} {
		if _, err := wholeface.ParsePrior("p.json", bytes.Replace(text, []byte(old), []byte(bad), 1)); err == nil {
			t.Errorf("%q in place of %q was taken", bad, old)
		}
	}
}

func FuzzParsePrior(f *testing.F) {
	p := wholeface.Unlearned()
	p.SizeX, p.SizeY, p.CutoffMM, p.BandMM = 914, 1473, 25, 20
	text, err := p.Text()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte(`{}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		p, err := wholeface.ParsePrior("p", text)
		if err != nil {
			return
		}
		out, err := p.Text()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := wholeface.ParsePrior("p", out); err != nil {
			t.Fatalf("what was read is refused when written: %v", err)
		}
	})
}
