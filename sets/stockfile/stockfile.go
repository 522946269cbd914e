// Package stockfile reads the lists of matching: the stock, a piece a row with its face as a file or as the few numbers that a floor has; orders by size
// and class; the plan before.
//
// It opens no file: the caller says how a name in the list becomes a face. It does not seat, choose or judge.
package stockfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"slatewright/bed"
	"slatewright/cores"
	"slatewright/face"
	"slatewright/measure"
	"slatewright/sets"
	"slatewright/sets/beds"
	"slatewright/sheet"
	"slatewright/trouble"
)

// MostPieces is how many pieces of one size are matched at once.
const MostPieces = 600

// Terms are what a list of the stock does not say itself.
type Terms struct {
	Spec bed.Spec // edge band, rules of joint rows, and the size of a piece whose row and file say none
	// Sized: the specification was given for these pieces, so its size holds where a file of readings says none.
	Sized bool
	// Today is the day of the question, YYYY-MM-DD: pieces that are ready later are left out. "": nobody asks for days.
	Today string
	// Open reads the face behind a name of the column file. It is called for several at once. nil: no file can be read.
	Open func(file string) (*face.Face, error)
}

// Stock is the list as it is matched.
type Stock struct {
	Name     string
	Pieces   []sets.Piece
	Lines    []int    // of each piece in the list
	Made     []bool   // the face was made of the few numbers of a floor
	Files    []string // as the list names them, "" none
	Warnings []string
}

// The titles. Lengths are mm where the title names no unit.
var (
	must  = []string{"id", "place"}
	plain = []string{"thickness", "layer", "l", "a", "b", "file", "lining", "batch", "size", "ready", "pockets", "turn"}
	bows  = []string{"bow along", "bow across", "twist"}
)

// stationsAlong is how many heights are read along a joint edge.
const stationsAlong = 9

// optional are the titles that may be missing.
func optional() []string {
	list := append(append([]string{}, plain...), bows...)
	for _, edge := range edges {
		for i := range stationsAlong {
			list = append(list, edge.name+" "+strconv.Itoa(i+1))
		}
	}
	return list
}

// Read reads the list of the stock. Errors are *trouble.Trouble with file and line.
func Read(list *sheet.Sheet, t Terms) (*Stock, error) {
	columns, err := list.Columns(must, optional()...)
	if err != nil {
		return nil, err
	}
	r := &reader{list: list, terms: t, columns: columns, lines: map[string]int{}}
	if r.rows, err = r.places(); err != nil {
		return nil, err
	}
	s := &Stock{Name: list.Name}
	sizes := map[string]int{}
	for _, row := range list.Rows {
		p, made, err := r.piece(row)
		if err != nil {
			return nil, err
		}
		if sizes[p.Size]++; sizes[p.Size] > MostPieces {
			return nil, r.bad(row, "too-many-pieces", fmt.Sprintf("more than %d pieces of one size: so many are matched at once", MostPieces),
				"give one bay of the racks at a time, or write the size of each piece")
		}
		s.Pieces, s.Lines, s.Made = append(s.Pieces, p), append(s.Lines, row.Line), append(s.Made, made)
		s.Files = append(s.Files, row.Text(columns["file"]))
	}
	if err := r.open(s); err != nil {
		return nil, err
	}
	s.Warnings = append(r.warnings(s), list.Rest()...)
	return s, nil
}

// reader reads one list.
type reader struct {
	list    *sheet.Sheet
	terms   Terms
	columns map[string]sheet.Column
	rows    rowPlaces
	lines   map[string]int // of every id
	both    int            // rows with a file and numbers of shape
	sizeOf  int            // faces made in the size of the specification, which nobody gave
}

// piece reads a row, all but its file.
func (r *reader) piece(row sheet.Row) (p sets.Piece, made bool, err error) {
	text := func(name string) string { return row.Text(r.columns[name]) }
	p = sets.Piece{ID: text("id"), Layer: text("layer"), Batch: text("batch"), Size: text("size")}
	if p.ID == "" {
		return p, false, r.bad(row, "no-id", "the piece has no id", "write the number or mark that stands on the stone")
	}
	if first, twice := r.lines[p.ID]; twice {
		return p, false, r.bad(row, "twice", fmt.Sprintf("the piece %s stands here and at line %d", p.ID, first), "keep one of the two rows, or give the other piece its own id")
	}
	r.lines[p.ID] = row.Line
	for _, step := range []func(sheet.Row, *sets.Piece) error{r.ways, r.thickness, r.colour, r.age} {
		if err := step(row, &p); err != nil {
			return p, false, err
		}
	}
	p.Face, err = r.made(row, p)
	if err != nil || p.Face == nil {
		return p, false, err
	}
	if text("file") != "" {
		r.both++
		p.Face = nil
	}
	return p, p.Face != nil, nil
}

func (r *reader) bad(row sheet.Row, code, what, next string) error {
	return r.list.Bad(row.Line, code, what, next)
}

// ways reads how the piece may lie: before pockets are cut in any place that is allowed, turned or not, afterwards only as the cuts allow.
func (r *reader) ways(row sheet.Row, p *sets.Piece) error {
	word := strings.ToLower(row.Text(r.columns["place"]))
	if word == "center" {
		word = bed.Centre.String()
	}
	var place bed.Place
	anywhere := word == "any"
	if !anywhere && place.UnmarshalText([]byte(word)) != nil {
		return r.bad(row, "no-place", fmt.Sprintf("%q is no place of a bed", row.Text(r.columns["place"])), "write head, centre, foot or any")
	}
	switch pockets := strings.ToLower(row.Text(r.columns["pockets"])); {
	case pockets != "" && pockets != "cut" && pockets != "uncut":
		return r.bad(row, "bad-word", fmt.Sprintf("pockets = %q is not known", pockets), "write cut or uncut")
	case pockets == "cut" && anywhere:
		return r.bad(row, "no-place", "the pockets are cut, and the place is any", "write the place that they were cut for: head, centre or foot")
	case pockets == "cut":
		p.Ways = beds.CutAs(place)
	case anywhere:
		p.Ways = beds.AnyWay()
	default:
		p.Ways = beds.In(place)
	}
	switch turn := strings.ToLower(row.Text(r.columns["turn"])); turn {
	case "", "free":
	case "fixed":
		p.Ways = p.Ways.Unturned()
	default:
		return r.bad(row, "bad-word", fmt.Sprintf("turn = %q is not known", turn), "write free or fixed")
	}
	return nil
}

// What a piece can measure, mm.
const (
	thinnest, thickest = 1.0, 500.0
	widest             = 1e5
)

// thickness reads what the piece measures at the screws: with its lining, or the stone alone where the lining has a column of its own.
func (r *reader) thickness(row sheet.Row, p *sets.Piece) error {
	p.Thickness = math.NaN()
	p.Least = r.least(r.terms.Spec.Lining)
	for _, name := range [2]string{"thickness", "lining"} {
		c := r.columns[name]
		if row.Text(c) == "" {
			continue
		}
		v, err := r.list.Length(row, c)
		if err != nil {
			return err
		}
		least := thinnest
		if name == "lining" {
			least = 0
		}
		if v < least || v > thickest {
			return r.bad(row, "bad-number", fmt.Sprintf("%s = %s mm is not that of a piece", name, measure.Decimal(v, 3)), fmt.Sprintf("write it in mm, from %g to %g", least, thickest))
		}
		if name == "thickness" {
			p.Thickness = v
		} else {
			p.Thickness += v // NaN where the stone's is not known
			p.Least = r.least(v)
		}
	}
	return nil
}

// least is what a piece may measure at least with a lining, mm; 0 where nobody gave a specification for it.
func (r *reader) least(lining float64) float64 {
	if !r.terms.Sized {
		return 0
	}
	return r.terms.Spec.ThicknessMin + lining
}

// colour reads L, a and b of CIELAB.
func (r *reader) colour(row sheet.Row, p *sets.Piece) error {
	var lab [3]float64
	given := 0
	for i, name := range [3]string{"l", "a", "b"} {
		c := r.columns[name]
		if row.Text(c) == "" {
			continue
		}
		v, err := r.list.Number(row, c)
		if err != nil {
			return err
		}
		if math.Abs(v) > 200 || i == 0 && (v < 0 || v > 100) {
			return r.bad(row, "bad-number", fmt.Sprintf("%s = %g is no colour", strings.ToUpper(name), v), "write L from 0 to 100, a and b about 0 (CIELAB)")
		}
		lab[i] = v
		given++
	}
	switch given {
	case 0:
	case 3:
		p.Lab = &lab
	default:
		return r.bad(row, "half-colour", fmt.Sprintf("%d of L, a and b are given", given), "give all three, or none")
	}
	return nil
}

// age reads since when the piece may be matched.
func (r *reader) age(row sheet.Row, p *sets.Piece) error {
	text := row.Text(r.columns["ready"])
	if text == "" {
		return nil
	}
	ready, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return r.bad(row, "bad-date", fmt.Sprintf("ready = %q is not a day of the calendar", text), "write year-month-day, such as 2026-11-25")
	}
	today, err := time.Parse(time.DateOnly, r.terms.Today)
	if err != nil {
		return nil
	}
	if p.AgeDays = today.Sub(ready).Hours() / 24; p.AgeDays < 0 {
		p.AgeDays, p.NotReady = 0, "it is ready on "+text
	}
	return nil
}

// open reads the files of a stock, several at once.
func (r *reader) open(s *Stock) error {
	var at []int
	for i, f := range s.Files {
		if f != "" {
			at = append(at, i)
		}
	}
	errs := make([]error, len(at))
	cores.Share(len(at), 1, func(from, to int) {
		for k := from; k < to; k++ {
			errs[k] = r.openOne(s, at[k])
		}
	})
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func (r *reader) openOne(s *Stock, i int) error {
	where := fmt.Sprintf("%s:%d", s.Name, s.Lines[i])
	if r.terms.Open == nil {
		return trouble.Data("no-files", where, fmt.Sprintf("the file %q cannot be read from here", s.Files[i]), "give the file with the list, or leave the column empty")
	}
	f, err := r.terms.Open(s.Files[i])
	if err != nil {
		return named(err, where, s.Files[i])
	}
	p := &s.Pieces[i]
	if f.SizeX == 0 {
		if x, y, err := measure.ParseSize(p.Size); err == nil {
			f.SizeX, f.SizeY = x, y
		} else if r.terms.Sized {
			f.SizeX, f.SizeY = r.terms.Spec.PieceSize()
		}
	}
	if f.TurnFixed {
		p.Ways = p.Ways.Unturned()
	}
	if math.IsNaN(p.Thickness) {
		p.Thickness = mean(f.Lined)
	}
	if math.IsNaN(p.Thickness) {
		p.Thickness, p.Least = mean(f.Thickness), r.least(0)
	}
	p.Face = f
	return nil
}

// named gives an error of a file that the list names the line of the list, where it has no line of its own.
func named(err error, where, file string) error {
	t, ok := err.(*trouble.Trouble)
	if !ok || t.Kind != trouble.KindIO {
		return err
	}
	return trouble.IO(t.Code, where, file+": "+t.What, "check the name: it is looked for from the folder of the list; leave it empty where there is no map").Because(err)
}

// mean is NaN of nothing.
func mean(list []face.Thickness) float64 {
	sum := 0.0
	for _, t := range list {
		sum += t.T
	}
	return sum / float64(len(list))
}

// mostWarnings is how many remarks about files are told one by one.
const mostWarnings = 5

// warnings tells what was taken otherwise than it was written.
func (r *reader) warnings(s *Stock) (out []string) {
	if r.both > 0 {
		out = append(out, fmt.Sprintf("%s with a file and with numbers of shape: the file counts", trouble.Count(r.both, "row", "rows")))
	}
	made := 0
	for _, m := range s.Made {
		if m {
			made++
		}
	}
	if made > 0 {
		out = append(out, fmt.Sprintf("%s made of bow, twist and heights along the joints: what lies between is not known", trouble.Count(made, "face was", "faces were")))
	}
	if r.sizeOf > 0 {
		x, y := r.terms.Spec.PieceSize()
		out = append(out, fmt.Sprintf("no size is given for %s made so: %.0f x %.0f mm was taken", trouble.Count(r.sizeOf, "face", "faces"), x, y))
	}
	told, odd := 0, 0
	x, y := r.terms.Spec.PieceSize()
	for _, p := range s.Pieces {
		if p.Face == nil {
			continue
		}
		if max(math.Abs(p.Face.SizeX-x), math.Abs(p.Face.SizeY-y)) > r.terms.Spec.SizeTolerance && p.Face.SizeX > 0 {
			odd++
		}
		for _, w := range p.Face.Warnings {
			if told++; told <= mostWarnings {
				out = append(out, w)
			}
		}
	}
	if odd > 0 && r.terms.Sized {
		out = append(out, fmt.Sprintf("%s not of the size of the specification, %s x %s mm: match them by that of their own table", trouble.Count(odd, "piece is", "pieces are"),
			measure.Decimal(x, 0), measure.Decimal(y, 0)))
	}
	if told > mostWarnings {
		out = append(out, fmt.Sprintf("the files say %d more such things: look at them with slatewright flatness", told-mostWarnings))
	}
	return out
}
