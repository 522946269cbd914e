package rehearsal

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"slatewright/bed"
)

// Move is what the seating does with a piece: turned end for end about z or not, then height + tiltX·x + tiltY·y in the
// frame of the piece as turned is added to its face. Height in mm, tilts in mm per mm.
type Move struct {
	Turned               bool
	Height, TiltX, TiltY float64
}

// Step is one reading over a joint in a dry lay-up: positive where the piece nearer the foot is proud.
type Step struct {
	Joint string  // "head-centre" or "centre-foot"
	Y     float64 // mm, bed frame
	Step  float64 // mm
}

// LayUp is a set laid dry on the bench, shimmed as planned, with the steps that were read over its joints.
type LayUp struct {
	Pieces [3]string // serials: head, centre, foot
	Date   string    // the day after the last of the pieces was read
	Steps  []Step
}

const stepGauge = "step gauge QH-D5, 0.001 mm, read 5 mm from each arris"

// How a lay-up is done and read, mm.
const (
	layUpStations = 7
	layUpReach    = 660.0
	tipFromArris  = 5.0   // where the tip and the foot of the step gauge stand
	shimSigma     = 0.006 // what a hand-built pack is off, as height of a piece
	shimTiltSigma = 8e-6  // and as tilt
)

// LayUp lays head, centre and foot with their moves and reads the steps over both joints: seven stations a joint, with
// small errors of the packs and of the gauge. The same pieces and moves give the same readings.
func (m *Mill) LayUp(pieces [3]*Piece, moves [3]Move) *LayUp {
	l := &LayUp{}
	for i, p := range pieces {
		l.Pieces[i] = p.Serial
		l.Date = max(l.Date, p.Read.AddDate(0, 0, 1).Format(time.DateOnly))
	}
	draw := pieces[0].drawing.Split("lay-up " + strings.Join(l.Pieces[:], " "))
	for i := range moves {
		moves[i].Height += float64(shimSigma * draw.Normal())
		moves[i].TiltX += float64(shimTiltSigma * draw.Normal())
		moves[i].TiltY += float64(shimTiltSigma * draw.Normal())
	}
	x := SizeX/2 - tipFromArris
	for joint := range 2 {
		for _, y := range stations(layUpStations, layUpReach) {
			head, foot := laid(pieces[joint], moves[joint], x, y), laid(pieces[joint+1], moves[joint+1], -x, y)
			step := foot - head + float64(readingSigma*draw.Normal())
			l.Steps = append(l.Steps, Step{jointName(joint), y, rounded(step, 1000)})
		}
	}
	return l
}

// laid returns the height of the moved piece at x, y in the frame of its place.
func laid(p *Piece, m Move, x, y float64) float64 {
	plane := m.Height + float64(m.TiltX*x) + float64(m.TiltY*y)
	if m.Turned {
		x, y = -x, -y
	}
	return p.True(x, y) + plane
}

func jointName(joint int) string {
	return bed.Place(joint).String() + "-" + bed.Place(joint+1).String()
}

// WriteCSV writes the lay-up as joint,y_mm,step_mm under header lines.
func (l *LayUp) WriteCSV(w io.Writer) error {
	var b strings.Builder
	for _, line := range []string{
		"# " + Notice,
		"# pieces: " + strings.Join(l.Pieces[:], ", "),
		"# date: " + l.Date,
		"# unit: mm",
		"# support: bench",
		"# instrument: " + stepGauge,
		"# u: " + shortest(readingSigma) + " mm",
		"joint,y_mm,step_mm",
	} {
		b.WriteString(line + "\n")
	}
	for _, s := range l.Steps {
		fmt.Fprintf(&b, "%s,%s,%s\n", s.Joint, shortest(s.Y), shortest(s.Step))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func shortest(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
