package answers

import (
	"fmt"
	"math"
	"strings"

	"slatewright/surfacing/machine"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/surfacing/worked"
	"slatewright/surfacing/worked/belief"
)

// school holds what the job teaches, until it is written.
type school struct {
	q     Question
	w     *Work
	put   []machinefile.Learnt
	lines []machine.Observation
	known bool // the job stands in the history already
}

// job is how the history calls it.
func (s *school) job() string {
	return strings.TrimSpace(mark(s.w.Piece) + " " + s.w.Face)
}

// value is one that may be learnt.
type value struct {
	of, in, path, unit string
	by                 float64 // what one of the unit is in the program's
	now                machine.Known
	inverse            bool
	check              [2]string // what to look at when it is less than believed, and when it is more
}

var (
	fewStone = "Were the bits measured before and after by the same hand, were they changed between, is the stone another, does the water run?"
	manyG    = "Are all the same bits in the disc, was the caliper read right, is the stone another, or have the bits gone dull, so that they wear less?"
)

// first is what was believed before the first job of the history, and jobs what they showed that is believed.
func (s *school) history(v value) (first machine.Known, jobs []belief.Shown, begun bool) {
	first = v.now
	for _, o := range s.q.Machine.History {
		if o.Of != v.of || o.In != v.in {
			continue
		}
		if o.First.Said() {
			first, begun, jobs = o.First, true, nil // a later one begins anew
			continue
		}
		if o.Date == s.w.Date && o.Job == s.job() {
			s.known = true
		}
		if o.Aside == "" {
			jobs = append(jobs, belief.Shown{Value: o.Seen.Value, U: o.Seen.U, Inverse: v.inverse})
		}
	}
	return first, jobs, begun
}

// learn takes one value in, or sets it aside, and returns what is believed afterwards.
func (s *school) learn(v value, seen machine.Known, l Lesson) machine.Known {
	first, jobs, begun := s.history(v)
	shown := belief.Shown{Value: seen.Value, U: seen.U, Inverse: v.inverse}
	var side int
	l.Of, l.In, l.Unit, l.Was, l.WasU = v.of, v.in, v.unit, v.now.Value/v.by, v.now.U/v.by
	l.Far, l.Chance, side = belief.Far(first, jobs, shown)
	o := machine.Observation{Of: v.of, In: v.in, Date: s.w.Date, Job: s.job(), Seen: seen}
	switch {
	case l.Far && s.q.Accept == "":
		l.Aside, o.Aside = true, "far from what was believed"
		l.Check = v.check[(side+1)/2]
		s.w.warn(fmt.Sprintf("the %s of %q in this job lies far from what was believed (%s): it is set aside and not averaged in. %s If it is right, say why with --accept", word(v.of), v.in, chanceOf(l.Chance), l.Check))
	case l.Far:
		s.w.warn(fmt.Sprintf("the %s of %q in this job lies far from what was believed (%s) and is taken in all the same: %s", word(v.of), v.in, chanceOf(l.Chance), s.q.Accept))
		jobs = append(jobs, shown)
	default:
		jobs = append(jobs, shown)
	}
	h := belief.From(first, jobs)
	l.Is, l.IsU, l.IsLow, l.IsHigh, l.Spread, l.Jobs = h.Next.Value/v.by, h.Next.U/v.by, h.Low/v.by, h.High/v.by, 100*h.Spread, h.Used
	s.w.Learned = append(s.w.Learned, l)
	if !begun {
		s.lines = append(s.lines, machine.Observation{Of: v.of, In: v.in, First: first})
	}
	s.lines = append(s.lines, o)
	if l.Aside {
		return v.now
	}
	s.put = append(s.put, machinefile.Learnt{Path: v.path, Value: h.Next})
	return h.Next
}

func word(of string) string {
	switch of {
	case machine.GRatio:
		return "G ratio"
	case machine.Stiffness:
		return "stiffness"
	}
	return "specific energy"
}

func chanceOf(p float64) string {
	if p < 0.0001 {
		return "less than once in 10000 jobs"
	}
	return fmt.Sprintf("once in %.0f jobs", 1/p)
}

// energies learns what cutting takes, and puts it into the machine for the reckoning that follows.
func (s *school) energies(f *worked.Found, m *machine.Machine) (any bool) {
	for _, st := range f.Stages {
		e := st.Energy
		if e == nil {
			continue
		}
		v := value{of: machine.Energy, in: m.Stages[st.Index].Name, path: fmt.Sprintf("stages[%d].energy", st.Index+1), unit: "J/mm3", by: 1, now: m.Stages[st.Index].Energy,
			check: [2]string{"Is the idle power right, and did every pass cut the whole face?", "Are the bits dull, is the water short, is the stone harder?"}}
		lesson := Lesson{Seen: number(e.Mean.Value), SeenLo: number(e.Mean.Value - 1.96*e.Mean.U), SeenHi: number(e.Mean.Value + 1.96*e.Mean.U)}
		m.Stages[st.Index].Energy = s.learn(v, machine.Known{Value: e.Mean.Value, U: e.Mean.U}, lesson)
		any = true
	}
	return any
}

// ratios learns what the bits paid.
func (s *school) ratios(f *worked.Found) {
	for _, st := range f.Stages {
		if st.G == nil || !(st.Stone.Value > 0) {
			continue
		}
		name := s.q.Machine.Stages[st.Index].Name
		if u := st.UStone / st.Stone.Value; u > mostDoubt {
			s.w.warn(fmt.Sprintf("how much stone %q took is known to %.0f %% only: its G ratio is not learnt from this job. Map the face between the stages, or measure it over more stone", name, 100*u))
			continue
		}
		inverse := st.BitVolume.Value / st.Stone.Value
		u := math.Hypot(st.UBit, math.Abs(st.BitVolume.Value)*st.UStone/st.Stone.Value) / st.Stone.Value
		v := value{of: machine.GRatio, in: name, path: fmt.Sprintf("stages[%d].g_ratio", st.Index+1), by: 1, now: s.q.Machine.Stages[st.Index].G, inverse: true, check: [2]string{fewStone, manyG}}
		s.learn(v, machine.Known{Value: inverse, U: u}, Lesson{Seen: number(st.G.Value), SeenLo: number(st.G.Low), SeenHi: number(st.G.High)})
	}
}

// mostDoubt is the largest doubt of the stone, as a share, with which one over the G ratio is normal enough to be learnt from.
const mostDoubt = 0.25

// stiffness learns how far the loop yields.
func (s *school) stiffness(f *worked.Found) {
	g := f.Give
	if g == nil || math.IsInf(g.PerForce.U, 0) {
		return
	}
	head := f.Stages[0].Index
	for _, st := range f.Stages {
		if s.q.Machine.Stages[st.Index].Head != s.q.Machine.Stages[head].Head {
			return // more than one loop has a part in it
		}
	}
	k := s.q.Machine.Stages[head].Head
	h := s.q.Machine.Heads[k]
	if g.PerForce.U*h.Stiffness.Value > 3 { // it says nothing: three times what is believed, and more
		return
	}
	if !g.Agree {
		s.w.warn("what was left of the depth and what of the uneven stock printed through do not agree on how far the machine yields: it is not learnt from this job. Look at the zero, and whether the piece lay fast")
		return
	}
	v := value{of: machine.Stiffness, in: h.Name, path: fmt.Sprintf("heads[%d].stiffness", k+1), unit: "N/µm", by: 1000, now: h.Stiffness, inverse: true,
		check: [2]string{"Was the disc brought to the stone where the list says, are slides, spindle and bed fast, are the bits dull?", "Was the disc brought to the stone where the list says, and is the setting's doubt as small as the machine file has it?"}}
	s.learn(v, machine.Known{Value: g.PerForce.Value, U: g.PerForce.U}, Lesson{Seen: scaled(g.Stiffness.Value, 1e-3), SeenLo: scaled(g.Stiffness.Low, 1e-3), SeenHi: scaled(g.Stiffness.High, 1e-3)})
}

// write makes the new file. A job that stands in the history already is not taken twice.
func (s *school) write() error {
	if s.known {
		s.w.Learned = []Lesson{}
		s.w.warn(fmt.Sprintf("the job %q of %s stands in the machine's history already: it teaches nothing a second time. If it is another, say its date or its piece in the list of passes", s.job(), first(s.w.Date, "no day")))
		return nil
	}
	if len(s.lines) == 0 || s.q.MachineText == nil {
		return nil
	}
	text, err := machinefile.Put(s.q.MachineName, s.q.MachineText, s.put...)
	if err == nil {
		text, err = machinefile.Add(s.q.MachineName, text, s.lines...)
	}
	if err != nil {
		return err
	}
	s.w.file = text
	return nil
}
