package bedmap

import (
	"math"
	"sort"

	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/ink"
	"slatewright/internal/picture/look"
)

// Heights of a joint's panel, mm of paper.
const (
	jointHead = 7.0
	jointPlot = 12.0
	jointRow  = 3.1

	jointNames = 14.0 // for the names at the left; what is longer is set smaller
)

// JointsHeight is how high a joint's panel will be: with one row of figures more when there are predictions beside the
// measured steps.
func JointsHeight(m Map) float64 {
	h := jointHead + jointPlot + 3*jointRow + 2.0
	if m.Joints[0].Predicted != nil || m.Joints[1].Predicted != nil {
		h += jointRow
	}
	return h
}

// DrawJoints draws both joints side by side, [JointsHeight] high.
func DrawJoints(s ink.Sheet, m Map, x, y, width float64) {
	const gap = 8.0
	w := (width - gap) / 2
	for i := range m.Joints {
		DrawJoint(s, m, i, x+float64(i)*(w+gap), y, w)
	}
}

// DrawJoint draws the steps along joint i from left (−y) to right (+y): bars up where the foot side is proud, down where
// the head side is, and the figures beneath.
func DrawJoint(s ink.Sheet, m Map, i int, x, y, w float64) {
	j := m.Joints[i]
	low, high := m.Pieces[i], m.Pieces[i+1]
	drawJointTitle(s, m, j, i, x, y+3, w)
	if len(j.Steps) == 0 {
		s.Text(ink.Point{X: x, Y: y + 8}, m.Words.Say("map.no-steps"), look.Text)
		return
	}
	summary := jointSummary(m, j, low.Place, high.Place)
	s.Text(ink.Point{X: x, Y: y + 6.3}, summary, ink.Fit(s, summary, look.Small, w, 4.5))
	left, top := x+jointNames, y+jointHead+0.8
	right := x + w
	const inset = 2.6 // room for the figures of the outermost stations
	at := func(v float64) float64 { return left + inset + (v/m.SizeY+0.5)*(right-left-2*inset) }
	drawSteps(s, m, j, left, top, right, at)
	quiet := look.Map.In(look.Soft)
	middle := top + jointPlot/2
	for side, piece := range [2]Piece{high, low} {
		words := m.Words.Say("map.proud", "place", piece.Place)
		s.Text(ink.Point{X: left - 1.5, Y: middle - 2.2 + 6*float64(side)}, words, ink.Fit(s, words, quiet, jointNames-1.2, 4).To(ink.Right))
	}
	drawStepFigures(s, m, j, x, top+jointPlot, at)
}

// drawJointTitle names the joint and its limit, and says when the steps were not measured at the edge.
func drawJointTitle(s ink.Sheet, m Map, j Joint, i int, x, y, w float64) {
	title := m.Words.Say("map.joint", "number", i+1, "from", m.place(m.Pieces[i].Place), "to", m.place(m.Pieces[i+1].Place))
	s.Text(ink.Point{X: x, Y: y}, title, look.Strong)
	used := s.Width(title, look.Strong)
	if m.StepLimit > 0 {
		limit := m.Words.Say("map.limit", "amount", m.both(m.StepLimit))
		s.Text(ink.Point{X: x + w, Y: y}, limit, look.Map.In(look.Bad).To(ink.Right))
		w -= s.Width(limit, look.Map) + 2
	}
	if j.NotMeasured {
		says := m.Words.Say("map.not-at-edge")
		s.Text(ink.Point{X: x + used + 2, Y: y}, says, ink.Fit(s, says, look.Caption.In(look.Bad), w-used-2, 4))
	}
}

// jointSummary names the largest step.
func jointSummary(m Map, j Joint, low, high string) string {
	worst := j.Steps[0]
	for _, st := range j.Steps {
		if math.Abs(st.Height) > math.Abs(worst.Height) {
			worst = st
		}
	}
	proud := low
	if worst.Height > 0 {
		proud = high
	}
	key := "map.largest-predicted"
	if j.Predicted != nil {
		key = "map.largest-measured"
	}
	return m.Words.Say(key, "amount", m.both(math.Abs(worst.Height)), "place", proud, "y", m.Words.Signed(worst.Y, 0))
}

// drawSteps draws the bars between the limit lines, and the predictions as open bars behind measured ones.
func drawSteps(s ink.Sheet, m Map, j Joint, left, top, right float64, at func(float64) float64) {
	reach := m.StepLimit
	for i, st := range j.Steps {
		reach = math.Max(reach, math.Abs(st.Height))
		if j.Predicted != nil {
			reach = math.Max(reach, math.Abs(j.Predicted[i]))
		}
	}
	if reach == 0 {
		reach = 1
	}
	middle := top + jointPlot/2
	high := func(step float64) float64 { return middle - 0.94*jointPlot/2*step/reach }
	if m.StepLimit > 0 {
		for _, limit := range [2]float64{m.StepLimit, -m.StepLimit} {
			s.Stroke(ink.Segment(left, high(limit), right, high(limit)), ink.Pen{Colour: look.Bad, Width: 0.18, Dash: []float64{1.4, 0.9}})
		}
	}
	for i, p := range j.Predicted {
		mark := at(j.Steps[i].Y)
		s.Stroke(ink.Path(mark-1.6, middle, mark-1.6, high(p), mark+1.6, high(p), mark+1.6, middle), ink.Pen{Colour: look.Soft, Width: 0.2})
	}
	for _, st := range j.Steps {
		bar := high(st.Height)
		s.Fill([]contour.Line{ink.Rect(at(st.Y)-0.8, math.Min(bar, middle), 1.6, math.Max(0.01, math.Abs(bar-middle)))}, look.Good)
	}
	s.Stroke(ink.Segment(left, middle, right, middle), ink.Pen{Colour: look.Stone, Width: 0.22})
}

// rowNames are the names of the rows of figures.
func rowNames(m Map, j Joint) []string {
	if j.Predicted != nil {
		return []string{"y, mm", m.Words.Say("map.predicted"), m.Words.Say("map.measured"), m.Words.Say("map.measured-thou")}
	}
	return []string{"y, mm", m.Words.Say("map.step-mm"), m.Words.Say("map.step-thou")}
}

// drawStepFigures writes place and step under each bar, the largest steps first where there is not room for all.
func drawStepFigures(s ink.Sheet, m Map, j Joint, x, y float64, at func(float64) float64) {
	names := rowNames(m, j)
	for i, name := range names {
		s.Text(ink.Point{X: x, Y: y + jointRow*float64(i+1)}, name, ink.Fit(s, name, look.Map.In(look.Soft), jointNames-0.5, 4))
	}
	figure := look.Map.Sized(5.8)
	if n := len(j.Steps); n > 1 {
		pitch := math.Abs(at(j.Steps[n-1].Y)-at(j.Steps[0].Y)) / float64(n-1)
		figure = ink.Fit(s, "+0.000", figure, pitch-0.6, 5.2)
	}
	row := fence{gap: 0.55}
	for _, i := range largestFirst(j.Steps) {
		st := j.Steps[i]
		if !row.set(s, at(st.Y), y+jointRow*float64(len(names)-1), m.Words.Signed(st.Height, 3), figure) {
			continue
		}
		s.Text(ink.Point{X: at(st.Y), Y: y + jointRow}, m.Words.Signed(st.Y, 0), figure.In(look.Soft).To(ink.Middle))
		if j.Predicted != nil {
			s.Text(ink.Point{X: at(st.Y), Y: y + 2*jointRow}, m.Words.Signed(j.Predicted[i], 3), figure.In(look.Soft).To(ink.Middle))
		}
		s.Text(ink.Point{X: at(st.Y), Y: y + jointRow*float64(len(names))}, m.Words.Signed(look.Thou(st.Height), 1), figure.To(ink.Middle))
	}
}

func largestFirst(steps []Step) []int {
	order := make([]int, len(steps))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return math.Abs(steps[order[a]].Height) > math.Abs(steps[order[b]].Height) })
	return order
}

// fence sets words side by side and leaves out those that would touch ones already set.
type fence struct {
	gap   float64
	taken [][2]float64
}

func (f *fence) set(s ink.Sheet, x, y float64, words string, t ink.Type) bool {
	half := s.Width(words, t)/2 + f.gap/2
	for _, o := range f.taken {
		if x-half < o[1] && x+half > o[0] {
			return false
		}
	}
	f.taken = append(f.taken, [2]float64{x - half, x + half})
	s.Text(ink.Point{X: x, Y: y}, words, t.To(ink.Middle))
	return true
}
