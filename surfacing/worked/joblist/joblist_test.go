package joblist_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/sheet"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/worked/joblist"
	"slatewright/trouble"
)

func bridge() *machine.Machine {
	return &machine.Machine{Stages: []machine.Stage{{Name: "rough", FeedMin: 10, FeedMax: 40}, {Name: "very fine", FeedMin: 20, FeedMax: 20}}}
}

func read(text string) (*joblist.List, error) {
	s, err := sheet.Read("job.csv", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	return joblist.Read(s, bridge())
}

func TestAWholeList(t *testing.T) {
	l, err := read(`# piece: QH-1
# face: top
# date: 2026-11-20
# zero at: -10 650.5
# feed along: x
# first track: +y
# idle power kW: 1.5
# u bits: 20 um
# u thickness: 0.01 mm
# setting: 0.005 mm
# zero kept: 0.002 mm
# skin stress MPa: 2
# bits before: rough 8.00 8.10 7.90 8.05 7.95 8.00
# bits after: rough 7.80 7.91 7.69 7.86 7.74 7.80
# bits before: very fine mean 6.000 of 24
# bits after: very fine mean 5.990 of 12
stage,depth_mm,feed_m_per_min,power_kW,times
Rough,0.5,1.2,9.5,3
very fine,0.04,,,
very fine,0,1.2,,1
`)
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Passes) != 5 || l.Passes[2] != l.Passes[0] || math.Abs(l.Passes[0].Feed-20) > 1e-12 || l.Passes[0].Power != 8 || l.Passes[3].Stage != 1 || l.Passes[3].Feed != 20 || l.Passes[4].Depth != 0 {
		t.Errorf("%+v", l.Passes)
	}
	if l.Piece != "QH-1" || l.Face != "top" || l.Date != "2026-11-20" || *l.Zero != [2]float64{-10, 650.5} || !l.FeedAlongX || l.Begin != 1 || l.UThickness != 0.01 || l.Setting != 0.005 || l.Kept != 0.002 || l.Stress != 2 {
		t.Errorf("%+v", l)
	}
	// the six differ by 0.20 0.19 0.21 0.19 0.21 0.20: mean 0.2, standard deviation √(4·0.0001/5), over √6 less than a fourth of the caliper's 0.02·√(2/6)
	b := l.Bits[0]
	if math.Abs(b.Worn-0.2) > 1e-9 || b.Dof != 5 || b.N != 6 || math.Abs(b.U-math.Max(math.Sqrt(4e-4/5/6), 0.02*math.Sqrt(1.0/3)/4)) > 1e-9 {
		t.Errorf("%+v", b)
	}
	m := l.Bits[1]
	if math.Abs(m.Worn-0.01) > 1e-9 || !math.IsInf(m.Dof, 1) || math.Abs(m.U-0.02*math.Sqrt(1.0/24+1.0/12)) > 1e-12 {
		t.Errorf("%+v", m)
	}
}

// Other bits before than after: the means' own scatter, which holds how much bits differ.
func TestOtherBits(t *testing.T) {
	l, err := read("# bits before: rough 8.0 8.2 7.8 8.0\n# bits after: rough 7.5 7.7 7.3\nstage,depth_mm\nrough,0.5\n")
	if err != nil {
		t.Fatal(err)
	}
	b := l.Bits[0]
	if math.Abs(b.Worn-0.5) > 1e-9 || b.Dof != 2 || math.Abs(b.U-math.Sqrt(0.08/3/4+0.04/3)) > 1e-9 {
		t.Errorf("%+v", b)
	}
	if len(l.Warnings) != 2 { // the feed, and the caliper of few bits
		t.Errorf("%q", l.Warnings)
	}
}

func TestDecimalCommas(t *testing.T) {
	l, err := read("# bits before: rough 8,00 8,20\n# bits after: rough 7,50 7,70\nstage;depth_mm;feed_m_per_min\nrough;0,5;1,2\n")
	if err != nil || l.Passes[0].Depth != 0.5 || math.Abs(l.Bits[0].Worn-0.5) > 1e-9 {
		t.Errorf("%+v, %v", l, err)
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range []struct{ head, row, code, where string }{
		{"", "smooth,0.5,1", "no-stage", "job.csv:2"},
		{"", "rough,deep,1", "bad-number", "job.csv:2"},
		{"", "rough,0.5,fast", "bad-number", "job.csv:2"},
		{"# idle power kW: 9\n", "rough,0.5,1,8", "bad-power", "job.csv:3"},
		{"", "rough,0.5,1,,many", "bad-number", "job.csv:2"},
		{"", "rough,0.5,1,,0", "bad-number", "job.csv:2"},
		{"# zero at: middle\n", "rough,0.5,1", "bad-header", "job.csv:1"},
		{"# zero at: 1 2 3\n", "rough,0.5,1", "bad-header", "job.csv:1"},
		{"# feed along: z\n", "rough,0.5,1", "bad-header", "job.csv:1"},
		{"# first track: +y\n", "rough,0.5,1", "bad-header", "job.csv:1"},
		{"# u bits: 3\n", "rough,0.5,1", "bad-header", "job.csv:1"},
		{"# bits before: rough 8 8\n", "rough,0.5,1", "half-bits", "job.csv:1"},
		{"# bits after: rough 8 8\n", "rough,0.5,1", "half-bits", "job.csv:1"},
		{"# bits before: rough 8 8\n# bits after: rough mean 7 of 3\n", "rough,0.5,1", "half-bits", "job.csv:2"},
		{"# bits before: rough\n", "rough,0.5,1", "bad-bits", "job.csv:1"},
		{"# bits before: rough 8\n", "rough,0.5,1", "bad-bits", "job.csv:1"},
		{"# bits before: 8 8\n", "rough,0.5,1", "bad-bits", "job.csv:1"},
		{"# bits before: smooth 8 8\n", "rough,0.5,1", "no-stage", "job.csv:1"},
		{"# bits before: rough 8 -8\n", "rough,0.5,1", "bad-bits", "job.csv:1"},
		{"# bits before: rough mean 8 of none\n", "rough,0.5,1", "bad-bits", "job.csv:1"},
		{"# bits before: rough 8 8\n# bits before: rough 8 8\n", "rough,0.5,1", "bad-bits", "job.csv:2"},
	} {
		_, err := read(c.head + "stage,depth_mm,feed_m_per_min,power_kW,times\n" + c.row + "\n")
		if tr := new(trouble.Trouble); !errors.As(err, &tr) || tr.Code != c.code || tr.Where != c.where || tr.Next == "" {
			t.Errorf("%q %q: %v", c.head, c.row, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("# bits before: rough mean 8 of 3\n# bits after: rough 8 9\nstage,depth_mm\nrough,0.5\n")
	f.Add("# zero at: 0 0\n# first track: -x\nstage;depth_mm;power_kW;times\nrough;0,5;9;3\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := read(text)
		if err != nil {
			return
		}
		for _, b := range l.Bits {
			if !(b.U > 0) || math.IsNaN(b.Worn) || b.Dof <= 0 {
				t.Errorf("%+v", b)
			}
		}
	})
}
