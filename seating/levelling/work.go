package levelling

import (
	"fmt"

	"slatewright/bed"
	"slatewright/seating"
)

// Stage is one step of the mechanic's work: a piece is laid on its packs, and the level and the hand along the joint should then find
// what is written here. The centre piece comes first, since both joints are on it.
type Stage struct {
	Place  bed.Place
	Levels []seating.LevelReading
	Joint  float64 // largest step of the joint that is new, mm; −1: the first piece has none
}

// order is the order of work (common practice, no source).
var order = [3]bed.Place{bed.Centre, bed.Head, bed.Foot}

// levelBase is the length of the level's base between the places where it stands, mm.
const levelBase = 200.0

// marks are the ends of the level on the middle line of a piece, at its middle and a third of its width to either side, along and
// across; then the middle of the piece.
func marks(p seating.Measured) (at [][2]float64) {
	const half = levelBase / 2
	for _, y := range levelLines(p) {
		at = append(at, [2]float64{-half, y}, [2]float64{half, y}, [2]float64{0, y - half}, [2]float64{0, y + half})
	}
	return append(at, [2]float64{})
}

func levelLines(p seating.Measured) [3]float64 {
	return [3]float64{float64(-p.SizeY) / 3, 0, p.SizeY / 3}
}

// work lists the stages for heights on packs.
func (j *job) work(heights [3][]float64) {
	unread := 0
	for _, place := range order {
		l := j.q.Layout
		p := l.Pieces[place]
		stage := Stage{Place: place, Joint: -1}
		at := j.marksAt[place]
		for _, y := range levelLines(p) {
			for _, along := range [2]bool{true, false} {
				a, b := j.pieces[place].at[at], j.pieces[place].at[at+1]
				_, ok1 := l.Height(place, a[0], a[1])
				_, ok2 := l.Height(place, b[0], b[1])
				if ok1 && ok2 {
					stage.Levels = append(stage.Levels, seating.LevelReading{Place: place, X: l.Middle[place], Y: y, Along: along, Foot: levelBase,
						Slope: (heights[place][at+1] - heights[place][at]) / levelBase})
				} else {
					unread++
				}
				at += 2
			}
		}
		if place != bed.Centre {
			stage.Joint = j.result.Steps[min(int(place), 1)]
		}
		j.result.Work = append(j.result.Work, stage)
	}
	if unread > 0 {
		j.result.Warnings = append(j.result.Warnings, fmt.Sprintf("what a level should read cannot be said at %d of 18 marks: the face was not read there", unread))
	}
}
