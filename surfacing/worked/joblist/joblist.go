// Package joblist reads what was done to a face on a surfacing machine, as people write it down: one line a pass, and above them the heights of the bits
// before and after, where the disc was brought to the stone, and which way it fed.
//
// It checks the form and computes nothing but the wear of bits; what the numbers mean is the affair of package worked, and where the calipers stood it does not know: the maps do.
package joblist

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/worked"
)

// List is a job as written.
type List struct {
	worked.Job
	Piece, Face, Date string
	// UThickness is the standard uncertainty of one caliper thickness, mm; 0: not said.
	UThickness float64
	// Kept is the standard uncertainty of a zero that was kept between the maps, mm; 0: it was not.
	Kept float64
	// Stress is the standard deviation of what stress the skin may have held, MPa; negative: not said.
	Stress   float64
	Warnings []string
}

// UsualUBits is the standard uncertainty of one height of a bit by caliper, mm. Common practice, no source.
const UsualUBits = 0.01

// Read reads a list against the machine whose stages it names. Errors are *trouble.Trouble with file and line.
func Read(s *sheet.Sheet, m *machine.Machine) (*List, error) {
	l := &List{Stress: -1}
	c, err := s.Columns([]string{"stage", "depth"}, "feed m per min", "power kw", "times")
	if err != nil {
		return nil, err
	}
	idle, _, err := s.TakeNumber("idle power kw")
	if err != nil {
		return nil, err
	}
	for _, row := range s.Rows {
		if err := l.row(s, row, c, m, idle); err != nil {
			return nil, err
		}
	}
	for _, take := range []func(*sheet.Sheet) error{l.lengths, l.where, l.words} {
		if err := take(s); err != nil {
			return nil, err
		}
	}
	if err := l.bits(s, m); err != nil {
		return nil, err
	}
	l.Warnings = append(l.Warnings, s.Rest()...)
	return l, nil
}

// mostTimes is the most that one line stands for.
const mostTimes = 100

func (l *List) row(s *sheet.Sheet, row sheet.Row, c map[string]sheet.Column, m *machine.Machine, idle float64) error {
	stage, err := stageOf(s, row.Line, row.Text(c["stage"]), m)
	if err != nil {
		return err
	}
	p := worked.Pass{Stage: stage}
	if p.Depth, err = s.Length(row, c["depth"]); err != nil {
		return err
	}
	feed := m.Stages[stage].FeedMax
	if text := row.Text(c["feed m per min"]); text != "" {
		v, err := s.Number(row, c["feed m per min"])
		if err != nil {
			return err
		}
		feed = v * 1000 / 60
	} else if m.Stages[stage].FeedMin < feed {
		feed = math.Sqrt(m.Stages[stage].FeedMin * feed)
		l.warn(fmt.Sprintf("%s:%d: no feed is given: the middle of what the stage may have is taken, %s m/min", s.Name, row.Line, measure.Decimal(feed*60/1000, 2)))
	}
	p.Feed = feed
	if row.Text(c["power kw"]) != "" {
		if p.Power, err = s.Number(row, c["power kw"]); err != nil {
			return err
		}
		if p.Power -= idle; p.Power <= 0 {
			return s.Bad(row.Line, "bad-power", fmt.Sprintf("a power of %s kW is no more than idle", row.Text(c["power kw"])), "give what the drive shows while the disc cuts, in kW, and '# idle power kW:' of the turning disc alone")
		}
	}
	times := 1
	if text := row.Text(c["times"]); text != "" {
		if times, err = strconv.Atoi(text); err != nil || times < 1 || times > mostTimes {
			return s.Bad(row.Line, "bad-number", fmt.Sprintf("times = %q", text), fmt.Sprintf("write how many such passes were made, 1 to %d", mostTimes))
		}
	}
	for range times {
		l.Passes = append(l.Passes, p)
	}
	return nil
}

func (l *List) warn(text string) {
	for _, w := range l.Warnings {
		if w == text {
			return
		}
	}
	l.Warnings = append(l.Warnings, text)
}

func stageOf(s *sheet.Sheet, line int, name string, m *machine.Machine) (int, error) {
	var names []string
	for i, st := range m.Stages {
		if strings.EqualFold(st.Name, strings.TrimSpace(name)) {
			return i, nil
		}
		names = append(names, st.Name)
	}
	return 0, s.Bad(line, "no-stage", fmt.Sprintf("the machine has no stage %q", name), "its stages are "+strings.Join(names, ", "))
}

func (l *List) lengths(s *sheet.Sheet) error {
	for _, v := range []struct {
		key  string
		into *float64
	}{{"u thickness", &l.UThickness}, {"zero kept", &l.Kept}, {"setting", &l.Setting}} {
		mm, ok, err := s.TakeLength(v.key)
		if err != nil {
			return err
		}
		if ok && mm == 0 {
			mm = 1e-4 // nothing is known better than to a tenth of a micrometre
		}
		*v.into = mm
	}
	v, ok, err := s.TakeNumber("skin stress mpa")
	if ok {
		l.Stress = v
	}
	return err
}

// where reads the place of the zero and the way of the feed.
func (l *List) where(s *sheet.Sheet) error {
	h, ok, err := s.Take("zero at")
	if err != nil {
		return err
	}
	if ok {
		words := strings.Fields(strings.NewReplacer(";", " ", "mm", " ").Replace(h.Value))
		var at [2]float64
		for i := range at {
			if len(words) != 2 {
				err = fmt.Errorf("%d numbers", len(words))
				break
			}
			if at[i], err = measure.ParseNumber(words[i]); err != nil {
				break
			}
		}
		if err != nil {
			return s.Bad(h.Line, "bad-header", fmt.Sprintf("# zero at: %q is not a place", h.Value), "write x and y in mm from the middle of the piece, such as '# zero at: 0 -650'")
		}
		l.Zero = &at
	}
	h, ok, err = s.Take("feed along")
	if err != nil {
		return err
	}
	if ok {
		switch strings.ToLower(h.Value) {
		case "x":
			l.FeedAlongX = true
		case "y":
		default:
			return s.Bad(h.Line, "bad-header", fmt.Sprintf("# feed along: %q", h.Value), "write x or y: the way in which the head travels while it cuts")
		}
	}
	h, ok, err = s.Take("first track")
	if err != nil || !ok {
		return err
	}
	across := "x"
	if l.FeedAlongX {
		across = "y"
	}
	switch strings.ReplaceAll(strings.ToLower(h.Value), "−", "-") {
	case "-" + across, "-":
		l.Begin = -1
	case "+" + across, "+":
		l.Begin = 1
	default:
		return s.Bad(h.Line, "bad-header", fmt.Sprintf("# first track: %q", h.Value), fmt.Sprintf("write -%s or +%s: the side on which the first track lay", across, across))
	}
	return nil
}

func (l *List) words(s *sheet.Sheet) error {
	for _, v := range []struct {
		key  string
		into *string
	}{{"piece", &l.Piece}, {"face", &l.Face}, {"date", &l.Date}, {"machine", new(string)}} {
		h, ok, err := s.Take(v.key)
		if err != nil {
			return err
		}
		if ok {
			*v.into = h.Value
		}
	}
	return nil
}
