package casefile

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"slatewright/lining"
	"slatewright/sheet"
	"slatewright/trouble"
)

const whole = `# title: a batch
# grade: standard 12 mm
# piece: 914 x 1473 mm
# stone: 1 in
# stone modulus: 48 GPa, 40 to 56
# board: 12 ± 0.2 mm
# board modulus: 2.5 to 3.5 GPa
# board shear: 150 ± 50 MPa
# board density: 750 kg/m3
# moisture: 0.09, 0.07 to 0.11
# movement 65 to 30: -1.1 ± 0.1 mm/m
# movement 65 to 85: 0.1 %
# glue line: 0.2 mm, 40 MPa
# glue: 150 g/m2, 50 % water
# sensor: ± 2 %
# scale: 0.2 g
# press room: 47
# meter: 8.5
# least days: 6
# most change: 0.05 % a day
# slowest: 9 days
# tolerance: 20 thou
# share: 30 %
# creep: 10 to 40 %
# hysteresis: 15 %
# destination: 31 32 35 40 45 51 55 54 49 43 37 33 ± 4
# layout: full
# layout: strips 60 mm, lengths 150 mm, gaps 20 mm, 1 more
# layout: pads 80 x 120 mm, 3 x 4
day,humidity,mass_g
0,47.5,2500
1.5,,2510.2
3,48,
`

func read(text string) (lining.Case, []string, error) {
	list, err := sheet.Read("b.csv", strings.NewReader(text))
	if err != nil {
		return lining.Case{}, nil, err
	}
	return Read(list)
}

func TestWholeFile(t *testing.T) {
	c, warnings, err := read(whole)
	if err != nil || len(warnings) != 0 {
		t.Fatal(err, warnings)
	}
	span := func(what string, got lining.Span, want ...float64) {
		for i, g := range []float64{got.Value, got.Low, got.High} {
			if math.Abs(g-want[i]) > 1e-9 {
				t.Errorf("%s: %+v, want %v", what, got, want)
				return
			}
		}
	}
	span("stone", c.Piece.Thickness, 25.4, 25.4, 25.4)
	span("stone modulus", c.Piece.Modulus, 48000, 40000, 56000)
	span("board", c.Board.Thickness, 12, 11.8, 12.2)
	span("board modulus", c.Board.Modulus, 3000, 2500, 3500)
	span("board shear", c.Board.Shear, 150, 100, 200)
	span("moisture", c.Board.Moisture, 0.09, 0.07, 0.11)
	span("drying", c.Board.Drying, 1.1, 1.0, 1.2)
	span("wetting", c.Board.Wetting, 1, 0.8, 1.2)
	span("press room", *c.Room.Press, 47, 45, 49)
	span("meter", *c.Room.Meter, 8.5, 7.5, 9.5)
	span("creep", c.Creep, 0.25, 0.1, 0.4)
	span("hysteresis", c.Hysteresis, 0.15, 0.15, 0.15)
	span("January", c.Destination[0], 31, 27, 35)
	span("December", c.Destination[11], 33, 29, 37)
	water := 75.0 / (750 * 0.012) / 10 // g/m² over kg/m², in %
	span("glue water", c.Room.GlueWater, water/2, 0, water)
	if math.Abs(c.Limit-0.508*0.3) > 1e-12 || c.Board.Bond != 0.005 || c.Board.Source != lining.Measured || c.Board.Grade != "standard 12 mm" {
		t.Errorf("%+v", c)
	}
	r := c.Room
	if r.Sensor != 2 || r.Scale != 0.2 || r.LeastDays != 6 || r.MostRate != 0.05 || r.Slowest != 9 || len(r.Readings) != 3 || !math.IsNaN(r.Readings[1].Humidity) || !math.IsNaN(r.Readings[2].Mass) {
		t.Errorf("%+v", r)
	}
	want := []lining.Layout{{Kind: lining.Full}, {Kind: lining.Strips, Width: 60, Length: 150, Gap: 20, More: 1}, {Kind: lining.Pads, Width: 80, Length: 120, Along: 3, Across: 4}}
	for i, l := range want {
		if c.Layouts[i] != l {
			t.Errorf("layout %d: %+v", i, c.Layouts[i])
		}
		if again, ok := layout(l.String()); !ok || again != l {
			t.Errorf("%q is read as %+v", l, again)
		}
	}
}

// Without the board's own figures the equation stands in; a coupon takes the place of both; an example climate has a name.
func TestWhatStandsIn(t *testing.T) {
	cut := func(keys ...string) string {
		var kept []string
		for _, line := range strings.Split(whole, "\n") {
			keep := true
			for _, k := range keys {
				keep = keep && !strings.HasPrefix(line, "# "+k+":")
			}
			if keep {
				kept = append(kept, line)
			}
		}
		return strings.Join(kept, "\n")
	}
	c, _, err := read(cut("movement 65 to 30", "stone modulus", "board modulus", "board shear", "moisture", "creep", "hysteresis", "least days", "most change"))
	if err != nil || c.Board.Source != lining.Equation || c.Piece.Modulus != lining.UsualStone || c.Board.Modulus != lining.UsualModulus || c.Board.Shear != lining.UsualShear ||
		c.Board.Moisture != lining.UsualMoisture || c.Creep != lining.UsualCreep || c.Hysteresis != lining.UsualHysteresis || c.Room.LeastDays != lining.UsualLeastDays || c.Room.MostRate != lining.UsualMostRate {
		t.Errorf("%+v, %v", c, err)
	}
	coupon := lining.Coupon{PerHumidity: lining.Span{Value: 0.0113, Low: 0.0105, High: 0.0121}, Length: 1470}
	if c, _, err = read(coupon.String() + "\n" + whole); err != nil || c.Board.Source != lining.Coupons || c.Board.Coupon != coupon {
		t.Errorf("%+v, %v", c.Board, err)
	}
	if c, _, err = read("# destination: Cold  winters\n" + cut("destination")); err != nil || c.Destination != lining.Climates()[0].Rooms {
		t.Errorf("%+v, %v", c.Destination, err)
	}
	if _, warnings, err := read("# colour: blue\n" + whole); err != nil || len(warnings) != 1 {
		t.Errorf("%v, %v", warnings, err)
	}
}

func TestRefusals(t *testing.T) {
	for _, c := range [][2]string{
		{"# piece: 914 x 1473 mm", "# piece: large"}, {"# stone: 1 in", "# stone: 1 kg"}, {"# stone: 1 in", "# stone: thick"}, {"# board: 12 ± 0.2 mm", "# board: 12 mm ± 0.2 in"},
		{"48 GPa, 40 to 56", "48 GPa, 50 to 56"}, {"48 GPa, 40 to 56", "48 GPa, 56"}, {"2.5 to 3.5 GPa", "3.5 to 2.5 GPa"}, {"0.2 mm, 40 MPa", "0.2 mm"}, {"150 g/m2, 50 % water", "much"},
		{"# press room: 47", "# press room: dry"}, {"# meter: 8.5", "# meter: low"}, {"# share: 30 %", "# share: some"}, {"# tolerance: 20 thou\n", ""}, {"33 ± 4", "± 4"}, {"33 ± 4", "33 34 ± 4"}, {"33 ± 4", "33 ± some"},
		{"# layout: full", "# layout: full, 3"}, {"# layout: full", "# layout: some"}, {"80 x 120 mm, 3 x 4", "80 x 120 mm"}, {"80 x 120 mm, 3 x 4", "80 x 120 mm, 3"}, {"gaps 20 mm", "holes 20 mm"}, {"1 more", "-1 more"},
		{"day,humidity", "week,humidity"}, {"1.5,,2510.2", "0,,2510.2"}, {"1.5,,2510.2", ",,2510.2"}, {"0,47.5,2500", "0,47.5,heavy"}, {"# scale: 0.2 g", "# scale: 0.2 g\n# scale: 0.2 g"},
		{"# destination: 31", "# room: 31"},
	} {
		text := strings.Replace(whole, c[0], c[1], 1)
		_, _, err := read(text)
		if tr := new(trouble.Trouble); text == whole || !errors.As(err, &tr) || !strings.HasPrefix(tr.Where, "b.csv") || tr.Next == "" {
			t.Errorf("%q for %q: %v", c[1], c[0], err)
		}
	}
}

func TestExampleIsRead(t *testing.T) {
	f, err := os.Open("../../docs/examples/lining/batch.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	list, err := sheet.Read("batch.csv", f)
	if err != nil {
		t.Fatal(err)
	}
	if c, warnings, err := Read(list); err != nil || len(warnings) > 0 || len(c.Layouts) == 0 {
		t.Errorf("%v, %v", warnings, err)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(whole)
	f.Add("# stone: ± ± 3 mm\n# layout: pads 1 x 1 mm, x\nday\n1\n")
	f.Fuzz(func(t *testing.T, text string) {
		c, _, err := read(text)
		if err == nil {
			c.Layouts = []lining.Layout{{Kind: lining.Full}} // plate elements cost time
			_, err = lining.Ask(c)
		}
		if tr := new(trouble.Trouble); err != nil && (!errors.As(err, &tr) || tr.What == "") {
			t.Fatalf("%#v", err)
		}
	})
}
