package machine_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/surfacing/machine"
	"slatewright/trouble"
)

// small is a machine with one head and two stages that holds together.
func small() machine.Machine {
	disc := machine.Disc{Diameter: 400, Bits: 96, BitArea: 50, BitHeight: 8}
	stage := machine.Stage{Name: "rough", Disc: disc, Speed: 1400, DepthMin: 0.1, DepthMax: 0.5, Step: 0.1, FeedMin: 10, FeedMax: 30, RimMin: 20000, RimMax: 35000,
		G: machine.Known{Value: 1000, U: 250}, Energy: machine.Known{Value: 5, U: 1}, Normal: machine.Known{Value: 3, U: 0.5}, Damage: 0.2}
	fine := stage
	fine.Name, fine.DepthMin, fine.DepthMax, fine.Step = "fine", 0.02, 0.1, 0.01
	return machine.Machine{Name: "small", Heads: []machine.Head{{Power: 15, Stiffness: machine.Known{Value: 30000, U: 5000}}}, Stages: []machine.Stage{stage, fine},
		Table: machine.Table{X: 2000, Y: 1000, Pitch: 300}}
}

func TestMachineHoldsTogether(t *testing.T) {
	m := small()
	if err := m.Check(); err != nil {
		t.Fatal(err)
	}
	// π · 400 mm · 1400 / 60 s, and 48 cm² in all
	if got := m.Stages[0].Rim(); math.Abs(got-29321.53) > 0.01 {
		t.Errorf("rim %v mm/s", got)
	}
	if got := m.Stages[0].Disc.Area(); got != 4800 {
		t.Errorf("area %v mm²", got)
	}
	for width, want := range map[float64]int{300: 1, 400: 1, 401: 2, 600: 2, 601: 3, 1000: 4} {
		if got := m.Tracks(0, width); got != want {
			t.Errorf("%v mm wide: %d tracks, want %d", width, got, want)
		}
	}
	if got := m.Cut(0, 1000); got != 350 {
		t.Errorf("the first of several tracks is %v mm wide, want half of 400 and half of 300", got)
	}
	if got := m.Cut(0, 310); got != 310 {
		t.Errorf("a narrow piece is cut %v mm wide", got)
	}
	if m.Priced() || m.Line() {
		t.Error("it has no prices, and one head")
	}
}

func TestMachinesThatCannotBe(t *testing.T) {
	for where, spoil := range map[string]func(*machine.Machine){
		"heads":               func(m *machine.Machine) { m.Heads = nil },
		"stages":              func(m *machine.Machine) { m.Stages = nil },
		"heads[1].power":      func(m *machine.Machine) { m.Heads[0].Power = 0 },
		"heads[1].stiffness":  func(m *machine.Machine) { m.Heads[0].Stiffness.U = 40000 },
		"heads[1].tilt_along": func(m *machine.Machine) { m.Heads[0].TiltAlong.Value = math.NaN() },
		"stages[2].head":      func(m *machine.Machine) { m.Stages[1].Head = 1 },
		"stages[1].bits":      func(m *machine.Machine) { m.Stages[0].Disc.Bits = 0 },
		"stages[1].bit_area":  func(m *machine.Machine) { m.Stages[0].Disc.BitArea = 5000 },
		"stages[1].bit_price": func(m *machine.Machine) { p := -1.0; m.Stages[0].Disc.Price = &p },
		"stages[1].speed":     func(m *machine.Machine) { m.Stages[0].Speed = 500 },
		"stages[1].depth":     func(m *machine.Machine) { m.Stages[0].DepthMax = 0.01 },
		"stages[1].feed":      func(m *machine.Machine) { m.Stages[0].FeedMin = math.NaN() },
		"stages[1].g_ratio":   func(m *machine.Machine) { m.Stages[0].G = machine.Known{} },
		"table.pitch":         func(m *machine.Machine) { m.Table.Pitch = 401 },
		"hold.pressure":       func(m *machine.Machine) { m.Hold.Pressure = -1 },
		"times.flip":          func(m *machine.Machine) { m.Times.Flip = math.Inf(1) },
		"prices.hour":         func(m *machine.Machine) { p := math.NaN(); m.Prices.Hour = &p },
	} {
		m := small()
		spoil(&m)
		at := new(trouble.Trouble)
		if err := m.Check(); !errors.As(err, &at) || at.Where != where || strings.TrimSpace(at.Next) == "" {
			t.Errorf("%s: %v", where, err)
		}
	}
}
