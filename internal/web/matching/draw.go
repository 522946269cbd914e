package matching

import (
	"html/template"
	"strings"

	"slatewright/internal/picture/chart"
	"slatewright/internal/web/shell"
)

// The picture of the racks: one column for each set, head above, centre, foot below, as the beds are seen from above; what is left over stands below.
// All in px.
const (
	columnLeast = 92.0
	stoneHigh   = 34.0
	between     = 16.0 // the words of a joint stand there
	headHigh    = 22.0
	bandGap     = 18.0
	rowNames    = 58.0
)

// sketch is what the picture shows, whether it comes from the book or from a list.
type sketch struct {
	Title, Left string    // Left heads what is left over
	Places      [3]string // names of the rows
	Beds        []sketchBed
	Loose       []string
}

// sketchBed is a set in it.
type sketchBed struct {
	Letter string
	IDs    [3]string
	Turned [3]bool
	Joints [2]string
	Quiet  bool // nobody waits for it
}

// sketchIn is an empty picture in a reader's words.
func sketchIn(v *shell.Visit) sketch {
	s := sketch{Title: v.Say("racks.picture"), Left: v.Say("racks.left-over")}
	for i, place := range placesOfABed {
		s.Places[i] = v.Word("place", place)
	}
	return s
}

func (l asking) draw(width float64) template.HTML {
	s := sketchIn(l.Visit)
	for k, x := range l.plan.Sets {
		b := sketchBed{Letter: letter(k), IDs: [3]string(l.idsOf(x)), Turned: x.Turned, Quiet: x.Order < 0 && len(l.stock.Wants) > 0}
		if x.Seated {
			b.Joints = [2]string{l.Length(x.Steps[0]), l.Length(x.Steps[1])}
		}
		s.Beds = append(s.Beds, b)
	}
	for _, u := range l.plan.Unused {
		s.Loose = append(s.Loose, l.stock.Pieces[u.Index].ID)
	}
	return s.draw(width)
}

// draw draws the racks.
func (s sketch) draw(width float64) template.HTML {
	names := rowNames
	if width < chart.Wide {
		names = 0
	}
	columns := max(1, int((width-names)/columnLeast))
	wide := (width - names) / float64(columns)
	bands := (len(s.Beds) + columns - 1) / columns
	bandHigh := headHigh + 3*stoneHigh + 2*between
	looseRows := (len(s.Loose) + columns - 1) / columns
	height := float64(bands)*(bandHigh+bandGap) + 4
	if looseRows > 0 {
		height += headHigh + float64(looseRows)*(stoneHigh+6)
	}
	p := chart.New(width, height, s.Title)
	for k, b := range s.Beds {
		top := float64(k/columns) * (bandHigh + bandGap)
		if k%columns == 0 && names > 0 {
			for i, place := range s.Places {
				p.Text("tick", "start", 0, top+headHigh+float64(i)*(stoneHigh+between)+stoneHigh/2+4, place)
			}
		}
		s.bed(p, b, names+float64(k%columns)*wide, top, wide)
	}
	s.loose(p, names, float64(bands)*(bandHigh+bandGap), columns, wide)
	return p.End()
}

// bed draws a set into its column.
func (s sketch) bed(p *chart.Pen, b sketchBed, x, top, column float64) {
	class := "kept"
	if b.Quiet {
		class = "stone"
	}
	middle, wide := x+column/2, column-12
	p.Text("name", "middle", middle, top+15, b.Letter)
	for i, id := range b.IDs {
		y := top + headHigh + float64(i)*(stoneHigh+between)
		p.Rect(class, x+6, y, wide, stoneHigh)
		arrow(p, x+16, y+stoneHigh/2, b.Turned[i])
		p.Text("number", "middle", middle+6, y+stoneHigh/2+4, ending(id))
		if i < len(b.Joints) && b.Joints[i] != "" {
			p.Text("tick", "middle", middle, y+stoneHigh+12, strings.ReplaceAll(b.Joints[i], "\u00a0", " "))
		}
	}
}

// arrow points to the head of the piece as it was marked: up the page, or down where it is turned end for end.
func arrow(p *chart.Pen, x, y float64, turned bool) {
	up := -1.0
	if turned {
		up = 1
	}
	p.Line("value", x, y-7*up, x, y+7*up)
	p.Run("value", [][2]float64{{x - 4, y + 3*up}, {x, y + 7*up}, {x + 4, y + 3*up}}, false)
}

// loose draws what is left over.
func (s sketch) loose(p *chart.Pen, x, top float64, columns int, column float64) {
	if len(s.Loose) == 0 {
		return
	}
	p.Text("name", "start", x+6, top+14, s.Left)
	for k, id := range s.Loose {
		left, y := x+float64(k%columns)*column, top+headHigh+float64(k/columns)*(stoneHigh+6)
		p.Rect("later", left+6, y, column-12, stoneHigh)
		p.Text("number", "middle", left+column/2, y+stoneHigh/2+4, ending(id))
	}
}

// ending is the end of a number that is too long for a stone: numbers of one mill differ there.
func ending(id string) string {
	const most = 10
	if letters := []rune(id); len(letters) > most {
		return "…" + string(letters[len(letters)-most+1:])
	}
	return id
}
