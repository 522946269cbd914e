package machine

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"slatewright/trouble"
)

// word is a G or M word as a control lists it.
var word = regexp.MustCompile(`^[GM](0|[1-9][0-9]{0,2})(\.[1-9])?$`)

// needed are the words without which no program can be written.
var needed = []string{"G0", "G1", "G2", "G3", "G17", "G21", "G90", "G94"}

// Check is the trouble with a machine that cannot be: a value missing, not positive, or against another. Where names the value as a machine file does. The
// error is a *trouble.Trouble.
func (m *Machine) Check() error {
	c := &checker{}
	c.control(m.Control)
	c.span("travel.x", m.X)
	c.span("travel.y", m.Y)
	c.span("travel.z", m.Z)
	if !slices.Contains(m.Control.Knows, m.Work) {
		c.fail("work.word", fmt.Sprintf("the control does not know %q", m.Work), "give the word of the work's zero, such as G54, and list it under control.knows")
	}
	if m.ZeroXY != Middle && m.ZeroXY != Lower {
		c.fail("zero.xy", fmt.Sprintf("%q is no zero of the work", m.ZeroXY), "write middle or corner")
	}
	if m.ZeroZ != Stone && m.ZeroZ != Board {
		c.fail("zero.z", fmt.Sprintf("%q is no zero of the work", m.ZeroZ), "write stone or board")
	}
	c.positive("heights.near", m.Near, 100)
	c.positive("heights.clear", m.Clear, 1000)
	if m.Clear <= m.Near {
		c.fail("heights.clear", "the height of travel is not above the one where the feed begins", "give a clear height above near")
	}
	c.positive("router.lead", m.Lead, 100)
	c.positive("router.ramp", m.Ramp, 1)
	c.positive("router.over", m.Over, 0.5)
	c.positive("rapid.xy", m.Rapid.XY, 1e6)
	c.positive("rapid.z", m.Rapid.Z, 1e6)
	c.notNegative("acceleration.xy", m.Accelerate.XY)
	c.notNegative("acceleration.z", m.Accelerate.Z)
	if (m.Accelerate.XY > 0) != (m.Accelerate.Z > 0) {
		c.fail("acceleration", "the acceleration of one axis is missing", "give xy and z, or neither")
	}
	c.breakthrough(m.Break)
	c.notNegative("times.change", m.ChangeTime)
	c.notNegative("times.spindle", m.SpindleTime)
	c.notNegative("water", m.Flow)
	if len(m.Tools) == 0 {
		c.fail("tools", "the machine has no tool", "list its tools, each with its number and kind")
	}
	for i, t := range m.Tools {
		c.tool(fmt.Sprintf("tools[%d]", i+1), t)
		if m.Tool(t.Number) != &m.Tools[i] {
			c.fail(fmt.Sprintf("tools[%d].number", i+1), fmt.Sprintf("two tools have the number %d", t.Number), "give each tool its own")
		}
	}
	return c.err
}

// checker keeps the first trouble.
type checker struct{ err error }

func (c *checker) fail(where, what, next string) {
	if c.err == nil {
		c.err = trouble.Data("bad-machine", where, what, next)
	}
}

func (c *checker) positive(where string, v, most float64) {
	if !(v > 0) || v > most {
		c.fail(where, fmt.Sprintf("%g is missing, not above zero or above %g", v, most), "give it")
	}
}

func (c *checker) notNegative(where string, v float64) {
	if !(v >= 0) || math.IsInf(v, 0) {
		c.fail(where, fmt.Sprintf("%g is below zero", v), "give zero or more")
	}
}

func (c *checker) span(where string, s Span) {
	if !(s.Low < s.High) || math.IsInf(s.High-s.Low, 0) {
		c.fail(where, "the travel is missing, or ends before it begins", `write it like "0 to 3000 mm"`)
	}
}

func (c *checker) control(k Control) {
	for i, w := range k.Knows {
		if !word.MatchString(w) {
			c.fail(fmt.Sprintf("control.knows[%d]", i+1), fmt.Sprintf("%q is no G or M word", w), "write it like G0 or M8")
		}
		if slices.Contains([]string{"G18", "G19", "G20", "G91", "G95", "G41", "G42"}, w) {
			c.fail(fmt.Sprintf("control.knows[%d]", i+1), w+" is not followed by the replay, so a program may not have it", "take it out of the list")
		}
	}
	must := needed
	if k.Canned {
		must = append(slices.Clone(needed), "G80", "G81", "G83", "G98")
	}
	for _, w := range must {
		if !slices.Contains(k.Knows, w) {
			c.fail("control.knows", "the word "+w+" is missing, and no program can be written without it", "list it, or see whether this control can be written for")
		}
	}
	if k.Places < 2 || k.Places > 6 {
		c.fail("control.decimals", fmt.Sprintf("%d decimals of a place are not between 2 and 6", k.Places), "write 3")
	}
	if k.Numbers < 0 || k.Numbers > 100 {
		c.fail("control.numbers", "the step of the line numbers is not between 0 and 100", "write 10, or 0 for none")
	}
	if !strings.Contains(k.Change, "{tool}") {
		c.fail("control.change", "the words that change the tool do not say which", `write them like "T{tool} M6"`)
	}
	c.lines("control.header", k, k.Header)
	c.lines("control.footer", k, k.Footer)
	c.lines("control.change", k, []string{k.Change})
	c.lines("control.length", k, []string{k.Length})
	if header := strings.Fields(strings.Join(k.Header, " ")); !slices.Contains(header, "G21") || !slices.Contains(header, "G90") {
		c.fail("control.header", "it does not state millimetres and absolute places", "give G21 and G90 among its words")
	}
	if footer := strings.Fields(strings.Join(k.Footer, " ")); !slices.Contains(footer, "M2") && !slices.Contains(footer, "M30") {
		c.fail("control.footer", "it does not end the program", "give M30 or M2 among its words")
	}
	for _, w := range []struct{ where, text string }{{"spindle_on", k.Start}, {"spindle_off", k.Stop}, {"water_on", k.Water}, {"water_off", k.Dry}, {"pause", k.Pause}} {
		if strings.TrimSpace(w.text) == "" {
			c.fail("control."+w.where, "it is missing", "give the words of the control, such as M3, M5, M8, M9 or M0")
		}
		for _, f := range strings.Fields(w.text) {
			if !slices.Contains(k.Knows, f) {
				c.fail("control."+w.where, fmt.Sprintf("the control does not know %q", f), "list it under control.knows, or mend it")
			}
		}
	}
}

// lines holds the G and M words of whole lines against those that the control knows.
func (c *checker) lines(where string, k Control, lines []string) {
	for _, line := range lines {
		for _, f := range strings.Fields(line) {
			if (f[0] == 'G' || f[0] == 'M') && !slices.Contains(k.Knows, f) {
				c.fail(where, fmt.Sprintf("the control does not know %q", f), "list it under control.knows, or mend it; write words apart, such as G17 G21")
			}
		}
	}
}

func (c *checker) breakthrough(b Breakthrough) {
	switch b.Way {
	case OnBoard:
		c.positive("breakthrough.board", b.Board, 200)
		c.positive("breakthrough.into", b.Into, 100)
		if b.Into >= b.Board {
			c.fail("breakthrough.into", "cuts go through the board into the table", "give a depth into the board that is less than its thickness")
		}
	case BothFaces:
		c.positive("breakthrough.overlap", b.Overlap, 20)
	default:
		c.fail("breakthrough.way", fmt.Sprintf("%q is no way to keep the far face whole", b.Way), "write board or both")
	}
	c.positive("breakthrough.last", b.Last, 100)
	c.positive("breakthrough.feed", b.Share, 1)
	c.positive("breakthrough.web", b.Web, 100)
}

func (c *checker) tool(where string, t Tool) {
	if !slices.Contains(Kinds(), t.Kind) {
		c.fail(where+".kind", fmt.Sprintf("%q is no kind of tool", t.Kind), "write one of: core, drill, router, sink")
	}
	if t.Number < 1 || t.Number > 9999 {
		c.fail(where+".number", "the number is missing, or not between 1 and 9999", "give the number of its place")
	}
	c.positive(where+".diameter", t.Diameter, 1000)
	c.positive(where+".reach", t.Reach, 1000)
	c.positive(where+".speed", t.Speed, 1e5)
	c.positive(where+".plunge", t.Plunge, 1e5)
	c.notNegative(where+".step", t.Step)
	switch t.Kind {
	case Core:
		c.positive(where+".wall", t.Wall, t.Diameter/2)
	case Router:
		c.positive(where+".feed", t.Feed, 1e5)
		c.positive(where+".step", t.Step, 1000)
	case Sink:
		c.positive(where+".angle", t.Angle, 179)
		c.notNegative(where+".tip", t.Tip)
		if t.Tip >= t.Diameter {
			c.fail(where+".tip", "the tip is as wide as the tool", "give the diameter of the flat end, less than that of the tool")
		}
	}
}
