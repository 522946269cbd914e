package answers_test

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"slatewright/sheet"
	"slatewright/surfacing/disc"
	"slatewright/surfacing/disc/answers"
	"slatewright/surfacing/disc/wear"
	"slatewright/trouble"
)

func open(t *testing.T, name string) *sheet.Sheet {
	t.Helper()
	f, err := os.Open("../../../docs/examples/surfacing/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, err := sheet.Read(name, f)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func ask(t *testing.T, name string, q answers.Question) *answers.Balance {
	t.Helper()
	l, err := disc.Read(open(t, name))
	if err != nil {
		t.Fatal(err)
	}
	b, err := answers.OfDisc(name, l, q)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// keys are the names of an answer, the contract with other programs.
func keys(t *testing.T, answer any, want string) {
	t.Helper()
	text, err := json.Marshal(answer)
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	for _, k := range strings.Fields(want) {
		if _, there := got[k]; !there {
			t.Errorf("no %s in %.300s", k, text)
		}
		delete(got, k)
	}
	for k := range got {
		t.Errorf("%s is in no contract", k)
	}
}

const contract = "file state state_before before_g_mm before_angle_deg after_g_mm after_angle_deg permissible_g_mm u_g_mm guard_g_mm speed_rpm grade_mm_s rotor_mass_kg grade_before_mm_s grade_after_mm_s " +
	"rim_speed_m_s swaps fewest_proven fewest_at_least swaps_after_dressing weighed_in_g_mm arranged bound_g_mm best_proven arrangement heights couple next warnings"

// Whoever has the list can recompute the answer from its arrangement alone: the unbalance, and the arrangement from the swaps.
func TestTheAnswerHoldsTogether(t *testing.T) {
	for _, c := range []struct {
		file    string
		arrange bool
	}{{"disc.csv", false}, {"disc.csv", true}, {"disc-proud.csv", false}, {"disc-new.csv", true}, {"disc-new.csv", false}} {
		b := ask(t, c.file, answers.Question{Arrange: c.arrange})
		keys(t, b, contract)
		var x, y float64
		at := map[string]string{}
		for _, s := range b.Arrangement {
			sin, cos := math.Sincos(s.Angle * math.Pi / 180)
			x, y = x+s.Mass*s.Radius*cos, y+s.Mass*s.Radius*sin
			at[s.Position] = s.Position
		}
		if math.Abs(math.Hypot(x, y)-b.After) > 1e-5 {
			t.Errorf("%s: the arrangement leaves %g, and %g is told", c.file, math.Hypot(x, y), b.After)
		}
		for _, s := range b.Swaps {
			at[s[0]], at[s[1]] = at[s[1]], at[s[0]]
		}
		for _, s := range b.Arrangement {
			if at[s.Position] != s.From {
				t.Errorf("%s: after the swaps %s lies in %s, and %s is told", c.file, at[s.Position], s.Position, s.From)
			}
		}
		if b.State != string(disc.Meets) || b.After+b.Guard > b.Permissible {
			t.Errorf("%s: %s with %g ± %g of %g", c.file, b.State, b.After, b.Guard, b.Permissible)
		}
		if c.arrange && b.After != b.WeighedIn || b.WeighedIn > 0.01*b.Permissible {
			t.Errorf("%s: arranged, %g of %g are left, and %g afterwards", c.file, b.WeighedIn, b.Permissible, b.After)
		}
		again, err := json.Marshal(ask(t, c.file, answers.Question{Arrange: c.arrange}))
		first, err2 := json.Marshal(b)
		if err != nil || err2 != nil || string(first) != string(again) {
			t.Errorf("%s: other bytes the second time", c.file)
		}
	}
	if b := ask(t, "disc-proud.csv", answers.Question{}); b.Heights.Finishing || len(b.Heights.Proud) != 1 || b.Heights.Proud[0].Position != "31" || !strings.Contains(b.Warnings[0], "proud") {
		t.Errorf("%+v", b.Heights)
	}
}

func TestWhatIsTakenForGranted(t *testing.T) {
	read := func(text string) *disc.List {
		s, err := sheet.Read("d", strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		l, err := disc.Read(s)
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
	f := func(x float64) *float64 { return &x }
	const two = "position,angle_deg,radius_mm,mass_g,height_mm\n1,0,100,40,10\n2,180,100,40,10\n"
	full := answers.Question{Speed: f(1400), Grade: f(6.3), Rotor: f(12), Bearings: f(200)}
	b, err := answers.OfDisc("d", read(two), full)
	if err != nil || len(b.Warnings) != 5 || b.Heights.Band != answers.UsualBand || b.Couple.Each == nil {
		t.Errorf("%+v, %v", b, err)
	}
	full.Band, full.UMass, full.UPlace = f(0.2), f(0.5), f(0)
	if b, err = answers.OfDisc("d", read(two), full); err != nil || len(b.Warnings) != 2 || math.Abs(b.U-50*math.Sqrt2) > 1e-6 {
		t.Errorf("%+v, %v", b, err)
	}
	// A scale that cannot tell; a disc whose places are uneven, with an empty one.
	full.UMass = f(5)
	if b, err = answers.OfDisc("d", read("# body: 1 g mm at 5\nposition,angle_deg,radius_mm,mass_g,height_mm\n1,0,100,40,10\n2,170,100,0,\n"), full); err != nil || b.State == string(disc.Meets) || len(b.Warnings) != 4 {
		t.Errorf("%+v, %v", b, err)
	}
	for name, spoil := range map[string]func(q *answers.Question){"no speed": func(q *answers.Question) { q.Speed = nil }, "no grade": func(q *answers.Question) { q.Grade = nil }, "no rotor": func(q *answers.Question) { q.Rotor = nil },
		"a light rotor": func(q *answers.Question) { q.Rotor = f(0.05) }, "speed 0": func(q *answers.Question) { q.Speed = f(0) }, "a band below 0": func(q *answers.Question) { q.Band = f(-1) }} {
		q := full
		spoil(&q)
		_, err := answers.OfDisc("d", read(two), q)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Next == "" || told.Where == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestWearKeys(t *testing.T) {
	l, err := wear.Read(open(t, "disc-wear.csv"))
	if err != nil {
		t.Fatal(err)
	}
	w, err := answers.OfWear("disc-wear.csv", l, nil)
	if err != nil {
		t.Fatal(err)
	}
	keys(t, w, "file state unit days_used worked wear_um_per_unit height_mm left first_bit_left m2_per_day change_day change_day_earliest change_day_latest whole_ring new_bit_proud_mm ring_gives price_per_m2 "+
		"price_per_set bits left_out_days next warnings")
	if w.State != string(wear.Lasts) || w.Change == nil || *w.Earliest > *w.Change || *w.Change > *w.Latest || len(w.Bits) != 6 || w.PerSet.Expected == nil || !*w.Whole {
		t.Errorf("%+v", w)
	}
	band := 5.0
	if w, err = answers.OfWear("disc-wear.csv", l, &band); err != nil || *w.Whole || !strings.Contains(w.Next, "Single bits") {
		t.Errorf("%v, %v", w.Next, err)
	}
}
