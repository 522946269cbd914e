package surfacing

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"strings"
	"testing"
	"time"
)

// ringList is a disc of six bits, the first two of which may be heavier or higher.
func ringList(mass, height float64) string {
	text := "position,angle_deg,radius_mm,mass_g,height_mm,new\n"
	for i := range 6 {
		m, h, fresh := 40.0, 10.0, ""
		if i < 2 {
			m, h, fresh = mass, height, "yes"
		}
		text += fmt.Sprintf("%d,%d,100,%g,%g,%s\n", i+1, 60*i, m, h, fresh)
	}
	return text
}

func TestDiscIsAnswered(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	plain := []string{"speed", "1400", "grade", "2,5", "rotor", "12 kg"}
	for _, c := range []struct {
		name, list string
		more       []string
		says       []string
	}{
		{"balanced", ringList(40, 10), nil, []string{"balanced as it is", "Nothing has to change places"}},
		{"two heavy", ringList(43, 10), nil, []string{"Balanced after 1 change of places; no fewer do it", "Change places, one after the other", `class="trend"`}},
		{"weighed in", ringList(43, 10), []string{"way", "arrange"}, []string{"Put in as listed", "All other bits stay as listed"}},
		{"proud", ringList(43, 10.5), nil, []string{"Heights first: 2 bits stand proud by up to", "after dressing in, 1 would", "Standing proud"}},
		{"a spare", ringList(43, 10) + "S,,,40,10,yes\n", nil, []string{"Balanced after 1 change"}},
		{"a gap", strings.Replace(ringList(40, 10), "6,300,100,40,10,", "6,300,100,0,,", 1), nil, []string{"No change of places brings it back", "1 place holds no bit: 6"}},
		{"a coarse scale", "# u mass: 5 g\n" + ringList(40, 10), nil, []string{"Cannot tell", "finer scale"}},
		{"bearings near", "# bearings: 10 mm\n" + strings.Replace(ringList(40, 10), "5,240,100,40,10,", "5,240,100,40,10.09,", 1), nil, []string{"second plane may be needed"}},
	} {
		code, text, page := b.Ask(t, at+"/disc", append(append([]string{"list", c.list}, plain...), c.more...)...)
		text += page
		if code != http.StatusOK {
			t.Errorf("%s: %d %.300s", c.name, code, text)
		}
		for _, want := range c.says {
			if !strings.Contains(text, want) && !strings.Contains(strings.Join(strings.Fields(text), " "), want) {
				t.Errorf("%s: nothing says %q", c.name, want)
			}
		}
	}
}

func TestDiscIsRefused(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	good := map[string]string{"list": ringList(40, 10), "speed": "1400", "grade": "6.3", "rotor": "12"}
	for _, c := range []struct{ field, value, says string }{
		{"speed", "fast", "is no speed"}, {"speed", "0", "must be above 0"}, {"grade", "best", "is no balance grade"}, {"rotor", "12 stone", "is no mass"}, {"rotor", "0.1", "the bits weigh 0.24 kg"}, {"speed", "", "the speed of the disc is not given"},
		{"list", "a,b\n1,2\n", "there is no column"}, {"list", strings.Replace(ringList(40, 10), "2,60", "1,60", 1), "stands twice"}, {"list", "position,angle_deg,radius_mm,mass_g,height_mm\n1,0,100,0,\n2,90,100,0,\n", "no place holds a bit"},
	} {
		var pairs []string
		for _, f := range []string{"list", "speed", "grade", "rotor"} {
			v := good[f]
			if f == c.field {
				v = c.value
			}
			pairs = append(pairs, f, v)
		}
		if code, text, _ := b.Ask(t, at+"/disc", pairs...); code/100 != 4 || !strings.Contains(text, c.says) {
			t.Errorf("%s = %.20q: %d, and it does not say %q", c.field, c.value, code, c.says)
		}
	}
}

func TestWearIsAnswered(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	log := func(n int, step float64, head string) string {
		text := head + "day,height_mm,area_m2\n"
		for i := range n {
			text += fmt.Sprintf("%s,%.3f,50\n", time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC).AddDate(0, 0, 7*i).Format(time.DateOnly), 10-step*float64(i))
		}
		return text
	}
	for _, c := range []struct{ name, list, says string }{
		{"lasts", log(9, 0.2, "# usable height: 2 mm\n"), "The first bit is used up on"},
		{"used up", log(9, 0.2, "# usable height: 8.4 mm\n"), "The bits are used up"},
		{"too few", log(2, 0.2, "# usable height: 2 mm\n"), "Cannot tell when the bits are used up"},
		{"prices", log(9, 0.2, "# usable height: 2 mm\n# bits: 96\n# bit price: 5\n# m2 per set: 8\n"), "A set costs"},
	} {
		if code, text, _ := b.Ask(t, at+"/wear", "list", c.list); code != http.StatusOK || !strings.Contains(text, c.says) {
			t.Errorf("%s: %d, and nothing says %q", c.name, code, c.says)
		}
	}
	for name, list := range map[string]string{"too many": log(mostWearDays+1, 0.01, "# usable height: 2 mm\n"), "no usable height": log(9, 0.2, ""), "no day": "# usable height: 2 mm\nday,height_mm\nmonday,3\n"} {
		if code, _, _ := b.Ask(t, at+"/wear", "list", list); code/100 != 4 {
			t.Errorf("%s: %d", name, code)
		}
	}
}

// What can be taken away is what the command line prints.
func TestDiscAsJSON(t *testing.T) {
	list, err := os.ReadFile("examples/disc-proud.csv")
	if err != nil {
		t.Fatal(err)
	}
	_, _, text := own.SignIn(t, mux, "visitor-1").Ask(t, at+"/disc", "list", string(list), "as", "json")
	var got struct {
		After   float64     `json:"after_g_mm"`
		State   string      `json:"state"`
		Swaps   [][2]string `json:"swaps"`
		Heights struct {
			Finishing bool `json:"fit_to_finish"`
		} `json:"heights"`
	}
	if err := json.Unmarshal([]byte(text), &got); err != nil || got.State != "meets" || len(got.Swaps) != 2 || got.Heights.Finishing || got.After <= 0 {
		t.Errorf("%+v, %v", got, err)
	}
}
