package answers_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/chance"
	"slatewright/face"
	"slatewright/plate"
	"slatewright/sheet"
	"slatewright/surfacing/cleanup"
	"slatewright/surfacing/cleanup/answers"
	"slatewright/surfacing/cleanup/rough"
	"slatewright/trouble"
)

const sizeX, sizeY = 914, 1473

func u(x float64) float64 { return 2 * x / sizeX }
func v(y float64) float64 { return 2 * y / sizeY }

// The slab of most tests: a crown on top, a twist below.
func top(x, y float64) float64    { return 30 + 0.4*(1-u(x)*u(x)) + 0.2*(1-v(y)*v(y)) }
func bottom(x, y float64) float64 { return 0.1 * u(x) * v(y) }

// given reads a face of nx by ny readings, whose z at a place of the file is z.
func given(t *testing.T, side, head string, nx, ny int, z func(x, y float64) float64) *face.Face {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, "# size: %d x %d mm\n# face: %s\n%sx,y,z\n", sizeX, sizeY, side, head)
	for j := range ny {
		for i := range nx {
			x, y := 440*(2*float64(i)/float64(nx-1)-1), 720*(2*float64(j)/float64(ny-1)-1)
			fmt.Fprintf(&b, "%g,%g,%.12f\n", x, y, z(x, y))
		}
	}
	f, err := face.Read(side+".csv", strings.NewReader(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func calipers(n int) string {
	var b strings.Builder
	for _, q := range [][2]float64{{-440, -720}, {440, -720}, {0, 720}, {440, 0}, {-440, 0}}[:n] {
		fmt.Fprintf(&b, "# thickness: %g %g %.12f\n", q[0], q[1], top(q[0], q[1])-bottom(q[0], q[1]))
	}
	return b.String()
}

func ask(t *testing.T, a, b *face.Face) answers.Question {
	t.Helper()
	q := answers.Usual()
	q.Top, q.Bottom = a, b
	return q
}

func of(t *testing.T, q answers.Question) *answers.Slab {
	t.Helper()
	r, err := answers.Of(q)
	if err != nil {
		t.Fatal(err)
	}
	if !r.ProofOK || r.Proof.Passes > 6 {
		t.Errorf("proof %+v", r.Proof)
	}
	return r
}

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if !(math.Abs(got-want) <= by) {
		t.Errorf("%s: %.12g, not %.12g", what, got, want)
	}
}

// outward is the bottom as it is read: turned over about y, z out of it, from a zero that nobody knows.
func outward(tilted bool) func(x, y float64) float64 {
	return func(x, y float64) float64 {
		z := -bottom(-x, y)
		if tilted {
			z += 4.1 + 0.003*x - 0.002*y
		}
		return z
	}
}

// TestEveryTieGivesTheSameSlab ties the same faces by calipers, by zeros and by the piece frame.
func TestEveryTieGivesTheSameSlab(t *testing.T) {
	const want = 30 - 0.1*440*720/(sizeX/2.)/(sizeY/2.) // corner over corner, less what the crown leaves there
	corner := want + 0.4*(1-u(440)*u(440)) + 0.2*(1-v(720)*v(720))
	cases := map[string][2]*face.Face{
		"thickness": {given(t, "top", calipers(5), 11, 15, top), given(t, "bottom", "", 11, 15, outward(true))},
		"in the other file": {given(t, "top", "", 11, 15, top),
			given(t, "bottom", strings.NewReplacer("-440", "440", " 440", " -440").Replace(calipers(5)), 11, 15, outward(true))},
		"zero": {given(t, "top", "# zero: 15 mm\n", 11, 15, func(x, y float64) float64 { return top(x, y) - 30 }),
			given(t, "bottom", "# zero: 15 mm\n", 11, 15, outward(false))},
		"frame": {given(t, "top", "", 11, 15, top), given(t, "bottom", "# frame: piece\n", 11, 15, bottom)},
	}
	for name, c := range cases {
		r := of(t, ask(t, c[0], c[1]))
		near(t, name, r.ThicknessMM, corner, 1e-6)
		near(t, name+", off the top", r.OffTop.Max, top(0, 0)-top(440, 720), 1e-6)
		near(t, name+", off the bottom", r.OffBottom.Max, 2*bottom(440, 720), 1e-6)
		near(t, name+", least", r.OffTop.Min+r.OffBottom.Min, 0, 1e-9)
		if len(r.Governing) == 0 || r.Verdict != "possible" || r.Top.State != "as read" {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

// TestContract holds the keys that programs read.
func TestContract(t *testing.T) {
	r := of(t, ask(t, given(t, "top", calipers(4), 6, 9, top), given(t, "bottom", "", 6, 9, outward(true))))
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Thickness *float64                          `json:"thickness_mm"`
		Top       struct{ Min, Max, Mean *float64 } `json:"off_top_mm"`
		Bottom    struct{ Min, Max, Mean *float64 } `json:"off_bottom_mm"`
		Governing [][3]any                          `json:"governing"`
		Proof     *bool                             `json:"proof_ok"`
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if got.Thickness == nil || got.Top.Min == nil || got.Top.Max == nil || got.Bottom.Mean == nil || got.Proof == nil || !*got.Proof || len(got.Governing) < 2 {
		t.Errorf("%s", text)
	}
	if f, ok := got.Governing[0][2].(string); !ok || f != "top" {
		t.Errorf("%v", got.Governing)
	}
}

// TestGravityComesOff bends a slab on bars, reads both faces as they lie, and finds the free slab again.
func TestGravityComesOff(t *testing.T) {
	thick := given(t, "top", calipers(5), 2, 2, top).Thickness
	mean := 0.0
	for _, c := range thick {
		mean += c.T / float64(len(thick))
	}
	p := plate.Piece{Outline: plate.Rectangle(sizeX, sizeY), Thickness: plate.Even(mean), Elastic: plate.Isotropic(48000, 0.2), Density: 2790}
	b, err := plate.Bend(p, plate.Under{Lines: []plate.Line{{Axis: 'y', At: -700}, {Axis: 'y', At: 700}}}, 0)
	if err != nil {
		t.Fatal(err)
	}
	sag := func(x, y float64) float64 { return b.Height(plate.Point{X: x, Y: y}) }
	const head = "# support: lines y -700; y 700\n"
	free := of(t, ask(t, given(t, "top", calipers(5), 11, 15, top), given(t, "bottom", "", 11, 15, outward(true))))
	q := ask(t, given(t, "top", head+calipers(5), 11, 15, func(x, y float64) float64 { return top(x, y) + sag(x, y) }),
		given(t, "bottom", head, 11, 15, func(x, y float64) float64 { return outward(true)(x, y) + sag(x, y) }))
	r := of(t, q)
	near(t, "freed", r.ThicknessMM, free.ThicknessMM, 1e-5)
	if r.Top.State != "free" || r.Top.GravityMM == nil || *r.Top.GravityMM < 0.2 || r.IntervalMM[1]-r.IntervalMM[0] < 0.05 {
		t.Errorf("%+v, %v", r.Top, r.IntervalMM)
	}
	q.AsRead = true
	if got := of(t, q); math.Abs(got.ThicknessMM-free.ThicknessMM) < 0.1 || got.Top.State != "as read" {
		t.Errorf("with gravity on both faces the slab is %.3f mm, without %.3f", got.ThicknessMM, free.ThicknessMM)
	}
	// A large map looks gravity up in a table.
	large := ask(t, given(t, "top", head+calipers(5), 300, 180, func(x, y float64) float64 { return top(x, y) + sag(x, y) }),
		given(t, "bottom", head, 300, 180, func(x, y float64) float64 { return outward(true)(x, y) + sag(x, y) }))
	near(t, "a large map", of(t, large).ThicknessMM, free.ThicknessMM, 2e-4)
	// A bench hides what it pressed flat.
	q = ask(t, given(t, "top", "# support: bench\n"+calipers(5), 11, 15, top), given(t, "bottom", "# support: bench\n", 11, 15, outward(true)))
	r = of(t, q)
	near(t, "on a bench", r.ThicknessMM, free.ThicknessMM, 1e-12)
	if !strings.Contains(strings.Join(r.Warnings, "\n"), "gravity was not taken off both faces: a bench") {
		t.Errorf("%q", r.Warnings)
	}
}

func TestVerdicts(t *testing.T) {
	a, b := given(t, "top", "# u: 0.004 mm\n"+calipers(5), 11, 15, top), given(t, "bottom", "# u: 0.004 mm\n", 11, 15, outward(true))
	for _, c := range []struct {
		limits  cleanup.Limits
		verdict string
		words   string
	}{
		{cleanup.Limits{}, "possible", ""},
		{cleanup.Limits{Finish: 29, DamageTop: 0.3, DamageBottom: 0.3}, "possible", ""},
		{cleanup.Limits{Finish: 29.5, DamageTop: 0.3, DamageBottom: 0.3}, "not possible", ""},
		{cleanup.Limits{Finish: 29.95}, "cannot tell", ""},
		{cleanup.Limits{Least: 29, Reserve: 0.2}, "possible", "it leaves 0.9"},
		{cleanup.Limits{Least: 29.9}, "cannot tell", "last cut"},
		{cleanup.Limits{Finish: 29, Least: 28.9, Reserve: 0.2}, "not possible", "keeps a reserve of 0.200 mm"},
	} {
		q := ask(t, a, b)
		q.Limits = c.limits
		r := of(t, q)
		if r.Verdict != c.verdict || c.words != "" && !strings.Contains(r.Left.Words, c.words) {
			t.Errorf("%+v: %s, %+v", c.limits, r.Verdict, r.Left)
		}
		if c.verdict == "not possible" && c.words == "" && (r.MissingMM == nil || *r.MissingMM < 0.1 || len(r.Governing) == 0) {
			t.Errorf("%+v: what is missing, and where? %+v", c.limits, r)
		}
	}
}

func TestRefused(t *testing.T) {
	plain, under := given(t, "top", "", 6, 9, top), given(t, "bottom", "", 6, 9, outward(true))
	tied := given(t, "top", calipers(5), 6, 9, top)
	for code, q := range map[string]answers.Question{
		"not-tied":           ask(t, plain, under),
		"few-calipers":       ask(t, given(t, "top", calipers(2), 6, 9, top), under),
		"wrong-face":         ask(t, under, tied),
		"no-faces":           ask(t, nil, nil),
		"half-zero":          ask(t, given(t, "top", "# zero: 15 mm\n", 6, 9, top), under),
		"calipers-on-a-line": ask(t, given(t, "top", "# thickness: -440 -720 30\n# thickness: 0 -720 30\n# thickness: 440 -720 30\n", 6, 9, top), under),
	} {
		_, err := answers.Of(q)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != code {
			t.Errorf("%s: %v", code, err)
		}
	}
	for code, change := range map[string]func(q *answers.Question){
		"bad-length": func(q *answers.Question) { q.Limits.DamageTop = -1 },
		"bad-stone":  func(q *answers.Question) { q.Modulus = 0 },
		"no-least":   func(q *answers.Question) { q.Limits.Reserve = 1 },
	} {
		q := ask(t, tied, under)
		change(&q)
		_, err := answers.Of(q)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != code || told.Kind != trouble.KindUsage {
			t.Errorf("%s: %v", code, err)
		}
	}
}

// TestZerosThatAreWrong are told by the calipers.
func TestZerosThatAreWrong(t *testing.T) {
	a := given(t, "top", "# zero: 15 mm\n"+calipers(4), 11, 15, func(x, y float64) float64 { return top(x, y) - 30 })
	right := of(t, ask(t, a, given(t, "bottom", "# zero: 15 mm\n", 11, 15, outward(false))))
	wrong := of(t, ask(t, a, given(t, "bottom", "# zero: 15.4 mm\n", 11, 15, outward(false))))
	const text = "look whether the zeros are right"
	if strings.Contains(strings.Join(right.Warnings, "\n"), text) || !strings.Contains(strings.Join(wrong.Warnings, "\n"), text) {
		t.Errorf("%q\n%q", right.Warnings, wrong.Warnings)
	}
	near(t, "by the zeros", wrong.ThicknessMM-right.ThicknessMM, 0.4, 1e-9)
}

func TestOneFace(t *testing.T) {
	r := of(t, ask(t, given(t, "top", "# u: 0.004 mm\n"+calipers(5), 11, 15, top), nil))
	if !r.OneFace || r.UnseenMM == nil || r.Bottom != nil || r.IntervalMM[0] > r.ThicknessMM-*r.UnseenMM {
		t.Errorf("%+v", r)
	}
	q := ask(t, nil, given(t, "bottom", strings.NewReplacer("-440", "440", " 440", " -440").Replace(calipers(5)), 11, 15, outward(true)))
	said := 0.3
	q.Unseen = &said
	r = of(t, q)
	if !r.OneFace || r.Top != nil || *r.UnseenMM != 0.3 || r.IntervalMM[0] > r.ThicknessMM-0.3 {
		t.Errorf("%+v", r)
	}
}

func TestSetAndStock(t *testing.T) {
	var slabs []*answers.Slab
	r := chance.NewStream(6)
	for i := range 3 {
		less := 0.4 * float64(i)
		low := func(x, y float64) float64 { return top(x, y) - less + 0.002*r.Normal() }
		q := ask(t, given(t, "top", calipers(5), 11, 15, low), given(t, "bottom", "", 11, 15, outward(true)))
		for k := range q.Top.Thickness {
			q.Top.Thickness[k].T -= less
		}
		q.Name, q.Limits = fmt.Sprint("piece ", i), cleanup.Limits{Least: 28}
		slabs = append(slabs, of(t, q))
	}
	set, err := answers.OfSet(slabs)
	if err != nil {
		t.Fatal(err)
	}
	if set.HeldBy != "piece 2" || set.Verdict != "possible" || set.CommonMM != slabs[2].AvailableMM {
		t.Errorf("%+v", set)
	}
	for i, p := range set.Pieces {
		near(t, "finish", p.FinishMM, set.CommonMM, 1e-12)
		if i < 2 && !p.Equal || p.Left == nil || math.Abs(p.Left.LeftMM-(set.CommonMM-28)) > 1e-9 {
			t.Errorf("piece %d: %+v", i, p)
		}
	}
	if _, err := answers.OfSet(slabs[:1]); err == nil {
		t.Error("a set of one piece")
	}
	stock, err := answers.OfStock(slabs, []float64{30, 22, 29.4, 22})
	if err != nil || len(stock.SizesMM) != 3 || *stock.Slabs[0].BestMM != 29.4 || *stock.Slabs[2].BestMM != 22 || stock.Slabs[0].Gives[2] != "not possible" {
		t.Errorf("%+v, %v", stock, err)
	}
	if stock.Answer() != cleanup.Possible {
		t.Error(stock.Answer())
	}
	if _, err := answers.OfStock(slabs, []float64{-1}); err == nil {
		t.Error("a finish below nothing")
	}
}

func TestRough(t *testing.T) {
	s, err := sheet.Read("rough.csv", strings.NewReader("# size: 914 x 1473 mm\nslab,head left,head right,foot left,foot right,top middle along\nR-1,31,31,31,31,+0.2\n"))
	if err != nil {
		t.Fatal(err)
	}
	list, err := rough.Read(s)
	if err != nil {
		t.Fatal(err)
	}
	r, err := answers.OfRough(list, cleanup.Limits{}, nil)
	if err != nil || len(r.Slabs) != 1 || r.Slabs[0].Interval[0] != nil || r.Answer() != cleanup.Unsure || r.Slabs[0].Gives[3] != "cannot tell" {
		t.Errorf("%+v, %v", r, err)
	}
	if text, err := json.Marshal(r); err != nil || strings.Contains(string(text), "Inf") {
		t.Errorf("%s, %v", text, err)
	}
}
