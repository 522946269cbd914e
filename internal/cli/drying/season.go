// Package drying has the verb about the seasoning room: what is still to come in a piece or a layer, whether it may leave, and how the room's air was.
//
// It parses, asks package seasoning, and shows; it reckons nothing and reads no book.
package drying

import (
	"slatewright/internal/cli/verb"
	"slatewright/seasoning"
	"slatewright/seasoning/answers"
	air "slatewright/seasoning/room"
	"slatewright/sheet"
)

// Season asks whether pieces may leave the room.
type Season struct {
	File      string       `arg:"" help:"Weights or shapes: day, value of one piece, or piece, day, weight and shape of a layer; or a room's log: time, temperature, humidity. CSV; - is standard input."`
	Share     string       `default:"0.02" help:"How much may still be to come: 0.02mm or 5g; 2% of the whole change. A bare number is in the list's unit for a shape, and a share of the whole change for a weight."`
	MinDays   float64      `name:"min-days" default:"30" help:"Days that a piece stays at least."`
	Day       *float64     `help:"Day on which it is asked, counted from entering; without it that of the last reading."`
	Reason    string       `help:"The lead's reason for letting pieces go before their time."`
	Thickness *verb.Length `placeholder:"LENGTH" help:"Scale the time constant to another thickness; the list says its own by '# thickness: 25.4 mm'."`
}

// About is the help of the verb.
func (Season) About() verb.About {
	return verb.About{
		Text: `Fits how a piece's weight or shape runs to its end, and tells how much movement is still to come, with a limit that holds in 95 of 100
			cases. Where the readings do not bound how long it goes on, it cannot tell, and says so.

			A piece may leave when the limit is below its share, the mill's days have passed, and no sentinel of its layer still moves more than
			0.01 mm a week; or with the lead's reason. One wrong reading is found and left out; an instrument that was moved is said by
			'# moved: DAY'. An old dry piece that stays in the room ('# reference: NAME') takes the room's own ups and downs out.

			In a list of a layer, pieces with few readings borrow from the others. A list with the columns temperature and humidity is
			a room's log: hours out of band, dew on stone that comes in cold, and sensors that disagree.

			Exit status 1: a piece must stay, or the room was out of band. Exit status 2: it cannot be told.`,
		Examples: []verb.Example{
			{"slatewright season piece.csv --share 0.02mm", "what is still to come in one piece, and when it is ready"},
			{"slatewright season layer.csv --share 2% --json", "every piece of a layer, for programs"},
			{"slatewright season room.csv", "how the room's air was"},
		},
	}
}

// Run reads the list and answers.
func (v Season) Run(s *verb.Session) (verb.Report, error) {
	list, err := verb.Read(s, v.File, sheet.Read)
	if err != nil {
		return nil, err
	}
	if _, ok := list.Has("humidity"); ok {
		log, err := air.Read(list)
		if err != nil {
			return nil, err
		}
		return room{answers.OfRoom(list.Name, log)}, nil
	}
	q := answers.Question{Share: v.Share, MinDays: v.MinDays, Day: v.Day, Reason: v.Reason}
	if v.Thickness != nil {
		q.Thickness = &v.Thickness.MM
	}
	read, err := seasoning.Read(list)
	if err != nil {
		return nil, err
	}
	got, err := answers.Of(list.Name, read, q)
	if err != nil {
		return nil, err
	}
	return report{got}, nil
}
