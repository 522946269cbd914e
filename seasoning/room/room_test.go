package room_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"slatewright/seasoning/room"
	"slatewright/sheet"
)

// Dew points of the ASHRAE formulas as another library gives them (psychrolib 2.5: 20 °C and 50 % give 9.272 °C), and those of a full saturation.
func TestDewPoint(t *testing.T) {
	if d := room.DewPoint(20, 50); math.Abs(d-9.272) > 0.03 {
		t.Errorf("20 °C, 50 %%: %g", d)
	}
	for c := -40.0; c <= 60; c += 5 {
		if d := room.DewPoint(c, 100); math.Abs(d-c) > 1e-9 {
			t.Errorf("%g °C, full: %g", c, d)
		}
		if a, b := room.DewPoint(c, 40), room.DewPoint(c, 41); a >= b {
			t.Errorf("%g °C: wetter air has no higher dew point", c)
		}
	}
}

func log(t *testing.T, text string) *room.Answer {
	t.Helper()
	s, err := sheet.Read("room.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	l, err := room.Read(s)
	if err != nil {
		t.Fatal(err)
	}
	return l.Ask()
}

func TestRoomLog(t *testing.T) {
	text := "# stone: 10 C\n# humidity: 40 to 55\ntime,sensor,temperature,humidity\n"
	for h := range 24 {
		wet := 50
		if h >= 6 && h < 10 {
			wet = 60
		}
		text += fmt.Sprintf("2026-11-25 %02d:00,low,20,%d\n", h, wet)
		if h < 12 || h > 20 {
			text += fmt.Sprintf("2026-11-25 %02d:05,high,24,%d\n", h, wet-8)
		}
	}
	a := log(t, text)
	low, high := a.Sensors[0], a.Sensors[1]
	if low.OutHumid != 4 || low.OutTemperature != 0 || low.Hours != 23 || a.InBand || low.MaxRH != 60 {
		t.Errorf("%+v", low)
	}
	if high.Gaps != 7 || high.OutTemperature != 16 || math.Abs(high.Hours-16) > 1e-9 {
		t.Errorf("%+v", high)
	}
	if p := a.Apart[0]; !p.Disagree || p.Temperature != -4 || p.Humidity != 8 || p.Pairs != 15 {
		t.Errorf("%+v", p)
	}
	if !a.Dew || math.Abs(a.DewPoint-room.DewPoint(24, 42)) > 1e-12 {
		t.Errorf("dew %v at %g", a.Dew, a.DewPoint)
	}
	if b := log(t, "# stone: 15 C\ntime,temperature,humidity\n2026-11-25T08:00,20,50\n2026-11-25T09:00,20,50\n"); b.Dew || !b.InBand || len(b.Warnings) != 1 {
		t.Errorf("%+v", b)
	}
}

func TestRefusedLogs(t *testing.T) {
	for _, text := range []string{
		"time,temperature,humidity\nnoon,20,50\n", "time,temperature,humidity\n2026-11-25 08:00,warm,50\n", "time,temperature,humidity\n2026-11-25 08:00,20,0\n",
		"time,temperature,humidity\n2026-11-25 08:00,200,50\n", "# humidity: dry\ntime,temperature,humidity\n2026-11-25 08:00,20,50\n",
		"# stone: cold\ntime,temperature,humidity\n2026-11-25 08:00,20,50\n", "time,humidity\n2026-11-25 08:00,50\n",
	} {
		s, err := sheet.Read("room.csv", strings.NewReader(text))
		if err == nil {
			_, err = room.Read(s)
		}
		if err == nil {
			t.Errorf("%q is not refused", text)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("# stone: 10 C\n# humidity: 40 to 55\ntime,sensor,temperature,humidity\n2026-11-25 08:00,a,20,50\n2026-11-25 09:00,b,20,50\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := sheet.Read("room.csv", strings.NewReader(text))
		if err != nil {
			return
		}
		if l, err := room.Read(s); err == nil {
			if a := l.Ask(); len(a.Sensors) != len(l.Sensors) {
				t.Errorf("%d sensors, %d answers", len(l.Sensors), len(a.Sensors))
			}
		}
	})
}
