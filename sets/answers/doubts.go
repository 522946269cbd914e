package answers

import (
	"fmt"
	"strings"

	"slatewright/cores"
	"slatewright/face"
	"slatewright/judge"
	"slatewright/trouble"
)

// doubts says of the proposed sets which steps were not read at the edge, and which pieces could not be judged as they were read.
func (m *Matched) doubts(a Ask) {
	ready := make([][3]bool, len(m.Sets))
	cores.Share(len(m.Sets), 1, func(from, to int) { // a scan of a hundred thousand readings takes its time
		for i := from; i < to; i++ {
			ready[i] = m.look(a, i)
		}
	})
	far := 0
	var unready []string
	for i, s := range m.Plan.Sets {
		if m.Sets[i].StepRead != nil && !*m.Sets[i].StepRead {
			far++
		}
		for place, at := range s.Pieces {
			if !ready[i][place] {
				unready = append(unready, m.Question.Pieces[at].ID)
			}
		}
	}
	if far > 0 {
		m.Warnings = append(m.Warnings, fmt.Sprintf("%s a joint that was not read at the edge: the step there is carried on from further inside", trouble.Count(far, "set has", "sets have")))
	}
	if len(unready) > 0 {
		const most = 5
		names := strings.Join(unready[:min(most, len(unready))], ", ")
		if len(unready) > most {
			names += ", …"
		}
		m.Warnings = append(m.Warnings, fmt.Sprintf("%s could not be judged as read: certify says why: %s", trouble.Count(len(unready), "proposed piece", "proposed pieces"), names))
	}
}

// look looks at the faces of one set.
func (m *Matched) look(a Ask, i int) (ready [3]bool) {
	s, read := m.Plan.Sets[i], true
	for place, at := range s.Pieces {
		f := m.Question.Pieces[at].Face
		if ready[place] = true; !s.Seated {
			continue
		}
		if place < 2 {
			read = read && a.readAt(f, s.Turned[place], face.JointPlus)
		}
		if place > 0 {
			read = read && a.readAt(f, s.Turned[place], face.JointMinus)
		}
		ready[place] = !a.Judged || a.Stock.Made[at] || judge.Ready(f, a.Spec, "")
	}
	if s.Seated {
		m.Sets[i].StepRead = &read
	}
	return ready
}

// readAt tells whether a face was read close enough to an edge, at as many places as the specification asks for. The edge is that of the piece as it lies.
func (a Ask) readAt(f *face.Face, turned bool, edge face.Row) bool {
	if turned {
		edge = face.JointPlus + face.JointMinus - edge
	}
	c, err := f.Centred()
	if err != nil {
		return false
	}
	sign := 1.0
	if edge == face.JointMinus {
		sign = -1
	}
	rule, near, row, rowNear := a.Spec.JointRow, 0, 0, 0
	const rounding = 1e-6
	for i, x := range c.X {
		close := c.SizeX/2-sign*x <= rule.MaxFromArris+rounding
		switch {
		case c.Row != nil && c.Row[i] == edge:
			row++
			if close {
				rowNear++
			}
		case close:
			near++
		}
	}
	if row > 1 { // a joint row goes before everything else
		return row == rowNear && row >= rule.MinStations
	}
	return near >= rule.MinStations
}
